"""What was computed from measurements: figures, their uncertainty, and what a limit says about them.

A figure holds no sentence: `name`, `formula` and the codes of its notes are keys into the wording files. A limit that
is only a rule of thumb never gives a verdict; what it hints at is kept apart in `hint`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Any

from benchvoice.domain.findings import Place


class Verdict(StrEnum):
    """What a limit says about a value, its uncertainty counted (decision rule: guard band as wide as U)."""

    WITHIN = "within"
    BEYOND = "beyond"
    CANT_TELL = "can't tell"
    """The limit lies inside the uncertainty: this gauge can't decide it."""
    NO_LIMIT = "no limit on record"


class Mark(StrEnum):
    """Where a number comes from. Only SHEET and SOURCE can carry a verdict."""

    SHEET = "sheet"
    """The person's spec sheet, with its own source."""
    SOURCE = "source"
    """A published source, named."""
    COMMON_PRACTICE = "common practice, no source"
    MEMORY = "from memory"

    @property
    def decides(self) -> bool:
        return self in (Mark.SHEET, Mark.SOURCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """The mark of a number and, in words, where it can be looked up."""

    mark: Mark
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """The values that are allowed, `low` to `high` inclusive, None where open, in `unit`.

    A limit of other engines, however well published, is a rule of thumb for this one.
    """

    low: Decimal | None = None
    high: Decimal | None = None
    unit: str
    basis: Basis
    rule_of_thumb: bool = False

    @property
    def decides(self) -> bool:
        """False for a limit that may only hint."""
        return self.basis.mark.decides and not self.rule_of_thumb


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Something that a reader must know about a figure: a code of the wording file and the values that go into it."""

    code: str
    values: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One computed number of one part at one place.

    name: what was computed ("taper", "out_of_round", "oil_clearance"...); "reading" for a measurement as it was taken.
    value is in `unit`, exact as far as the arithmetic is; show it to `digits` decimal places. uncertainty is the
    expanded one (about 95 %), same unit, None where none can be given. low and high are set where the result is an
    interval (heat, a size that can only be bounded). verdict is None for a number that is not there to be judged (a
    displacement, a proposed oversize). probability is the chance that the true value conforms to `limit`. `hint` is
    what a rule of thumb (`thumb`) would say. inputs are the ids of the entries that it stands on, assumed names what
    was taken from elsewhere (the sheet, a default gauge) and its mark.
    """

    name: str
    part: str
    place: Place = field(default_factory=Place)
    group: str = ""
    quantity: str = ""
    value: Decimal | None = None
    unit: str
    digits: int = 4
    uncertainty: float | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    limit: Limit | None = None
    verdict: Verdict | None = None
    probability: float | None = None
    thumb: Limit | None = None
    hint: Verdict | None = None
    region: str = ""
    hedged: bool = False
    inputs: tuple[str, ...] = ()
    formula: str = ""
    assumed: tuple[Basis, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def basis(self) -> Basis | None:
        """Where the number that it is judged by comes from: the limit's basis, else the rule of thumb's."""
        limit = self.limit or self.thumb
        return limit.basis if limit else None

    def shown(self) -> str:
        """The value with the digits that it deserves, without its unit; "" when there is none."""
        return "" if self.value is None else f"{self.value:.{self.digits}f}"


def figure_to_json(figure: Figure) -> dict[str, Any]:
    """The figure as `benchvoice figures --json` prints it; numbers rounded to the digits that they deserve."""

    def number(value: Decimal | None) -> float | None:
        return None if value is None else float(round(value, figure.digits + 1))

    def limit(item: Limit | None) -> dict[str, Any] | None:
        if item is None:
            return None
        low, high = (None if end is None else float(end) for end in (item.low, item.high))
        source = {"mark": item.basis.mark.value, "source": item.basis.source}
        return {"low": low, "high": high, "unit": item.unit, **source}

    out: dict[str, Any] = {
        "name": figure.name,
        "group": figure.group,
        "part": figure.part,
        "place": figure.place.as_dict(),
        "quantity": figure.quantity,
        "value": number(figure.value),
        "unit": figure.unit,
        "digits": figure.digits,
        "uncertainty": None if figure.uncertainty is None else float(f"{figure.uncertainty:.3g}"),
        "low": number(figure.low),
        "high": number(figure.high),
        "verdict": figure.verdict.value if figure.verdict else None,
        "limit": limit(figure.limit),
        "probability": None if figure.probability is None else round(figure.probability, 4),
        "rule_of_thumb": limit(figure.thumb),
        "hint": figure.hint.value if figure.hint else None,
        "region": figure.region,
        "hedged": figure.hedged,
        "inputs": list(figure.inputs),
        "formula": figure.formula,
        "assumed": [{"mark": basis.mark.value, "source": basis.source} for basis in figure.assumed],
        "notes": [{"code": note.code, **dict(note.values)} for note in figure.notes],
    }
    return out
