"""The odd one out in every set of like figures: cylinders, journals, springs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from benchvoice.domain.figures import Figure, Limit, Note
from benchvoice.domain.findings import Place
from benchvoice.measure import outliers
from benchvoice.measure.case import Case, note

SMALL = 8
COMPARED = frozenset(
    {
        "compression", "leakage", "largest_diameter", "smallest_diameter", "oil_clearance", "clearance", "end_gap",
        "side_clearance", "piston_clearance", "guide_clearance", "lifter_clearance", "pressure", "length", "lift",
        "torque",
    }
)  # fmt: skip
"""Figures that should be alike over all positions of a healthy engine."""


def figures(case: Case, computed: Sequence[Figure]) -> Iterator[Figure]:
    """One figure for each position that is not like its mates; nothing for sets of fewer than three."""
    for members in _sets(computed):
        values = [float(figure.value or 0) for figure in members]
        floor = max((figure.uncertainty or 0.0) / 2 for figure in members)
        usual = case.default("odd_one_out")
        found = outliers.odd_ones(values, floor=floor, threshold=float(usual.value))
        limit = Limit(low=-usual.value, high=usual.value, unit="each", basis=usual.basis, rule_of_thumb=True)
        for index in found.flagged:
            member = members[index]
            yield Figure(
                name="odd_one_out", part=member.part, place=member.place, group=member.group,
                quantity=_kind(member), value=Decimal(found.scores[index]), unit="each", digits=1, thumb=limit,
                hedged=member.hedged, formula="modified_z",
                inputs=tuple(dict.fromkeys(name for figure in members for name in figure.inputs)),
                notes=tuple(_notes(found, len(members))),
            )  # fmt: skip


def _notes(found: outliers.Odd, n: int) -> Iterator[Note]:
    if n <= SMALL:
        yield note("few_values", n=n)
    if len(found.flagged) > 1:
        yield note("several_odd", n=len(found.flagged))
        return
    for name, test in (("grubbs", found.grubbs), ("dixon", found.dixon)):
        if test is not None:
            yield note(f"{name}_agrees" if test[0] > test[1] else f"{name}_silent",
                       statistic=f"{test[0]:.2f}", critical=f"{test[1]:.2f}")  # fmt: skip


def _kind(figure: Figure) -> str:
    return figure.quantity if figure.name == "reading" else figure.name


def _sets(computed: Sequence[Figure]) -> Iterator[list[Figure]]:
    """Figures of one name and part that differ only in cylinder or journal, one a position.

    Readings in different units were taken with different gauges, and make different sets.
    """
    out: dict[tuple[str, str, str, Place], dict[tuple[int | None, int | None], Figure]] = {}
    for figure in computed:
        place = figure.place
        numbered = place.cylinder is not None or place.journal is not None
        kind = _kind(figure)
        if kind not in COMPARED or figure.value is None or not numbered:
            continue
        key = (kind, figure.part, figure.unit, replace(place, cylinder=None, journal=None))
        out.setdefault(key, {}).setdefault((place.cylinder, place.journal), figure)
    for members in out.values():
        if len(members) >= 3:
            yield list(members.values())
