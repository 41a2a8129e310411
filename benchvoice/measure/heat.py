"""How hot it got, place by place, from what melted, what survived, and the colours of bright steel.

Each piece of evidence bounds the temperature of its region from below or from above; the narrowest bounds make the
interval. Bounds that contradict each other are reported as a conflict, not averaged: then the region was not one
temperature, or something was changed since.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from benchvoice.measure.tables import Colour, HeatTable, Material


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One bound in deg_C: at least `low`, at most `high`. what: a material or a colour; entry: where it was said."""

    region: str
    part: str
    what: str
    low: Decimal | None = None
    high: Decimal | None = None
    entry: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bracket:
    """The interval of a region. conflict: the lower bound lies above the upper one."""

    region: str
    low: Decimal | None
    high: Decimal | None
    evidence: tuple[Evidence, ...]

    @property
    def conflict(self) -> bool:
        return self.low is not None and self.high is not None and self.low > self.high


def from_melting(materials: Sequence[Material], *, gone: bool) -> tuple[Decimal | None, Decimal | None]:
    """Bounds from a part that melted (`gone`) or kept its shape, when it may be made of any of `materials`.

    What melted was above the lowest softening point among them; what survived was below the highest melting point.

    >>> from benchvoice.domain.figures import Basis, Mark
    >>> zinc = Material(name="zinc", soft=Decimal(380), melts=Decimal(419), spoils=None, check="",
    ...                 basis=Basis(mark=Mark.SOURCE))
    >>> from_melting([zinc], gone=True), from_melting([zinc], gone=False)
    ((Decimal('380'), None), (None, Decimal('419')))

    Raises ValueError without materials.
    """
    if not materials:
        raise ValueError("no material")
    if gone:
        return min(material.soft for material in materials), None
    return None, max(material.melts for material in materials)


def colour_in(text: str, colours: Iterable[Colour]) -> Colour | None:
    """The temper colour that an utterance names, the longest name winning; None if it names none.

    >>> pale = Colour(name="grey_blue", words=("pale blue",), deg_c=Decimal(317), half=Decimal(26))
    >>> blue = Colour(name="blue", words=("blue",), deg_c=Decimal(300), half=Decimal(22))
    >>> colour_in("the shaft is pale blue there", [blue, pale]).name
    'grey_blue'
    """
    padded = f" {text.lower()} "
    found = [(len(word), colour) for colour in colours for word in colour.words if f" {word} " in padded]
    return max(found, key=lambda item: item[0])[1] if found else None


def brackets(evidence: Iterable[Evidence]) -> tuple[Bracket, ...]:
    """The interval of each region, in the order in which regions first appear.

    Worked by hand: zinc melted (above 380) and aluminium did not (below 660): 380 to 660.

    >>> clues = [Evidence(region="top", part="carburettor", what="zinc", low=Decimal(380)),
    ...          Evidence(region="top", part="cylinder_head", what="aluminium", high=Decimal(660))]
    >>> [(b.region, b.low, b.high, b.conflict) for b in brackets(clues)]
    [('top', Decimal('380'), Decimal('660'), False)]
    """
    by_region: dict[str, list[Evidence]] = {}
    for item in evidence:
        by_region.setdefault(item.region, []).append(item)
    return tuple(
        Bracket(
            region=region,
            low=max((item.low for item in items if item.low is not None), default=None),
            high=min((item.high for item in items if item.high is not None), default=None),
            evidence=tuple(items),
        )
        for region, items in by_region.items()
    )


def spoiled(bracket: Bracket, part: str, table: HeatTable) -> tuple[str, Material] | None:
    """Whether a part of the region may have lost its temper: ("surely" or "perhaps", the material), else None.

    Surely: even the lower bound is above what the part stands, whatever it is made of. Perhaps: the interval reaches
    above it, or only one of its possible materials loses its temper, or the evidence contradicts itself.

    Worked by hand: springs lose their load above 200; zinc melted beside them, so it was over 380. A head may be of
    aluminium, which loses its temper above 200, or of iron, which doesn't.

    >>> from benchvoice.measure.tables import load
    >>> top = Bracket(region="top", low=Decimal(380), high=Decimal(660), evidence=())
    >>> [spoiled(top, part, load().heat)[0] for part in ("valve_spring", "cylinder_head")]
    ['surely', 'perhaps']
    """
    names, _ = table.parts[part]
    possible = [table.materials[name] for name in names]
    found = [material for material in possible if material.spoils is not None]
    if not found:
        return None
    material = min(found, key=lambda item: item.spoils or Decimal(0))
    limit = material.spoils or Decimal(0)
    known = len(found) == len(possible) and not bracket.conflict
    if known and bracket.low is not None and bracket.low > limit:
        return "surely", material
    if bracket.low is not None and (bracket.high is None or bracket.high > limit):
        return "perhaps", material
    return None
