"""Measurements as they were taken, each against its limit."""

from __future__ import annotations

from collections.abc import Iterator

from benchvoice.domain.figures import Figure, Note
from benchvoice.domain.findings import Place
from benchvoice.measure import clearance
from benchvoice.measure.case import Case, Reading, is_wet, judged, note, plain
from benchvoice.measure.compute.spots import differ, size_near, whole
from benchvoice.measure.compute.stepped import STEPPED, steps_before
from benchvoice.measure.uncertainty import repeated

DENIED_WITHIN = 3
"""Words between a denial and what it denies."""

_PER_SIZE = {"clearance": "clearance_per_size", "end_gap": "gap_per_size"}


def figures(case: Case) -> Iterator[Figure]:
    """One figure for each part, quantity and place; repeats are averaged, bounds are kept apart. Wet compression
    tests are left to the sealing group.
    """
    stepped = {part: steps_before(case, part) for part in STEPPED}
    for (part, quantity), readings in case.readings.items():
        by_place: dict[tuple[Place, str | None], list[Reading]] = {}
        for reading in readings:
            if not (quantity == "compression" and is_wet(reading, case.tables)):
                by_place.setdefault((reading.place, reading.bound), []).append(reading)
        before = stepped.get(part, {}) if quantity == "diameter" else {}
        for (place, bound), same in by_place.items():
            doubts = (note("sized_before"),) if whole(place) in before else ()
            yield from _one(case, part, quantity, place, bound, same, doubts)


def _one(
    case: Case, part: str, quantity: str, place: Place, bound: str | None, same: list[Reading], doubts: tuple[Note, ...]
) -> Iterator[Figure]:
    amount = repeated([reading.amount for reading in same])
    group = "sealing" if quantity in ("compression", "leakage") else case.tables.groups.get(part, "other")
    notes = (note("repeats", n=len(same)),) if len(same) > 1 else ()
    if len(same) > 1 and differ([reading.amount for reading in same]):
        notes = (*notes, note("repeats_differ"))
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
        notes=(*notes, *_air(case, quantity, same)), doubts=doubts,
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
    said = [reading.text.lower().split() for reading in same]
    return tuple(
        note("air_goes", path=name)
        for name, phrases in case.tables.air_paths
        if any(_says(words, phrase.split(), case.tables.air_denials) for words in said for phrase in phrases)
    )


def _says(words: list[str], phrase: list[str], denials: frozenset[str]) -> bool:
    """Whether the phrase stands in the words without a denial just before it ("nothing out the exhaust")."""
    return any(
        words[at : at + len(phrase)] == phrase and not denials.intersection(words[max(0, at - DENIED_WITHIN) : at])
        for at in range(len(words) - len(phrase) + 1)
    )
