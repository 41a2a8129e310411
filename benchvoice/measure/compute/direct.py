"""Measurements as they were taken, each against its limit."""

from __future__ import annotations

from collections.abc import Iterator

from benchvoice.domain.figures import Figure, Note
from benchvoice.domain.findings import Place
from benchvoice.measure import clearance
from benchvoice.measure.case import Case, Reading, is_wet, judged, note, plain
from benchvoice.measure.compute.spots import size_near
from benchvoice.measure.uncertainty import repeated

_PER_SIZE = {"clearance": "clearance_per_size", "end_gap": "gap_per_size"}


def figures(case: Case) -> Iterator[Figure]:
    """One figure for each part, quantity and place; repeats are averaged, bounds are kept apart. Wet compression
    tests are left to the sealing group.
    """
    for (part, quantity), readings in case.readings.items():
        by_place: dict[tuple[Place, str | None], list[Reading]] = {}
        for reading in readings:
            if not (quantity == "compression" and is_wet(reading, case.tables)):
                by_place.setdefault((reading.place, reading.bound), []).append(reading)
        for (place, bound), same in by_place.items():
            yield from _one(case, part, quantity, place, bound, same)


def _one(
    case: Case, part: str, quantity: str, place: Place, bound: str | None, same: list[Reading]
) -> Iterator[Figure]:
    amount = repeated([reading.amount for reading in same])
    group = "sealing" if quantity in ("compression", "leakage") else case.tables.groups.get(part, "other")
    notes = (note("repeats", n=len(same)),) if len(same) > 1 else ()
    if quantity == "compression" and case.bench.altitude:
        yield plain(
            amount, name="reading", quantity=quantity, part=part, place=place, group=group, formula="as_measured",
            notes=(*notes, note("judged_at_sea_level")),
        )  # fmt: skip
        return
    size = size_near(case, part, place)
    yield judged(
        case, amount, name="reading", quantity=quantity, judge_as=quantity, part=part, place=place, group=group,
        formula="as_measured", bound=bound,
        sizes={"diameter": size, "stroke": case.sized("crankshaft", "stroke")},
        notes=(*notes, *_air(case, quantity, same)),
    )  # fmt: skip
    if quantity in _PER_SIZE and part in case.tables.size_of and size and bound is None:
        yield plain(
            clearance.per_size(amount, size),
            name=_PER_SIZE[quantity], part=part, place=place, group=group, formula="per_size",
        )  # fmt: skip


def _air(case: Case, quantity: str, same: list[Reading]) -> tuple[Note, ...]:
    """Where the air of a leakage test goes, if the finding's own words say so."""
    if quantity != "leakage":
        return ()
    padded = " ".join(f" {reading.text.lower()} " for reading in same)
    return tuple(
        note("air_goes", path=name)
        for name, words in case.tables.air_paths
        if any(f" {word} " in padded for word in words)
    )
