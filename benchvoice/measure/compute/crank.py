"""Crank: taper, out-of-round and wear of its journals, and the undersize that cleans up the worst one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from benchvoice.domain.figures import Figure, Note
from benchvoice.domain.findings import Place
from benchvoice.measure import machining, roundness, units
from benchvoice.measure.case import Case, exact, joined, judged, note, plain
from benchvoice.measure.compute.bores import resized, shape
from benchvoice.measure.compute.spots import spots_of
from benchvoice.measure.compute.stepped import steps_before
from benchvoice.measure.roundness import Spot
from benchvoice.measure.uncertainty import Amount, combined, difference

GROUP = "crank"
JOURNALS = ("main_journal", "rod_journal")


def figures(case: Case) -> Iterator[Figure]:
    """All figures of the journals."""
    for part in JOURNALS:
        journals = spots_of(case, part)
        before = steps_before(case, part)
        for place, spots in journals.items():
            yield from shape(case, part, place, spots, GROUP, {})
            least = roundness.smallest(spots).amount
            yield plain(
                least, name="smallest_diameter", part=part, place=place, group=GROUP, formula="smallest"
            )  # fmt: skip
            standard = case.sized(part, "diameter", place)
            if standard:
                step = before.get(place)
                yield judged(
                    case, difference(resized(standard, step, -1).to(least.unit), least), name="wear", part=part,
                    place=place, group=GROUP, formula="standard_less_smallest",
                    notes=(note("ground_before", step=step.value.normalize(), unit=step.unit),) if step else (),
                )  # fmt: skip
        yield from _undersize(case, part, journals)


def _undersize(case: Case, part: str, journals: Mapping[Place, list[Spot]]) -> Iterator[Figure]:
    standard = case.sized(part, "diameter")
    if standard is None or not journals:
        return
    needed, worst = _worst(case, part, journals, standard)
    steps, basis = case.steps(part, "undersizes", needed.unit)
    choice = machining.next_undersize(needed, steps)
    notes = [*_count(case, part, len(journals)), *_class_now(case, journals, standard, steps)]
    notes.append(note("worst_at", **worst.as_dict()))
    if choice.perhaps is not None:
        notes.append(note("smaller_step_possible", step=choice.perhaps.normalize(), unit=needed.unit))
    if choice.step is None:
        notes.append(note("beyond_largest_undersize"))
    figure = plain(
        joined(exact(choice.step or Decimal(0), needed.unit, basis), needed),
        name="undersize", part=part, place=Place(), group=GROUP, formula="smallest_that_cleans_up", notes=notes,
    )  # fmt: skip
    yield replace(figure, value=choice.step, uncertainty=None, digits=max(3, figure.digits))


def _worst(case: Case, part: str, journals: Mapping[Place, list[Spot]], standard: Amount) -> tuple[Amount, Place]:
    """How far under standard the worst journal must be ground, its deepest groove counted on both sides."""
    found: list[tuple[Amount, Place]] = []
    for place, spots in journals.items():
        least = roundness.smallest(spots).amount
        short = difference(standard.to(least.unit), least)
        depth = case.amount(part, "depth", place)
        if depth:
            deep = depth.to(short.unit)
            terms = [(1.0, short), (2.0, deep)]
            short = combined(short.value + 2 * deep.value, short.unit, terms, digits=short.digits)
        found.append((short, place))
    unit = found[0][0].unit
    return max(found, key=lambda item: item[0].to(unit).value)


def _count(case: Case, part: str, n: int) -> list[Note]:
    if case.engine is None:
        return []
    total = case.engine.main_count if part == "main_journal" else case.engine.cylinders
    return [note("measured_n_of", n=n, total=total)]


def _class_now(
    case: Case, journals: Mapping[Place, list[Spot]], standard: Amount, steps: tuple[Decimal, ...]
) -> list[Note]:
    """The undersize that the shaft was ground to before, by its least worn journal."""
    best = max(
        (roundness.largest(spots).amount.to(standard.unit) for spots in journals.values()), key=lambda a: a.value
    )
    usual = case.default("size_class_within")
    within = units.convert(usual.value, usual.unit, standard.unit)
    unit = next(iter(journals.values()))[0].amount.unit
    in_unit = tuple(units.convert(step, unit, standard.unit) for step in steps)
    found = machining.size_class(standard.value - best.value, in_unit, within)
    if found is None:
        return [note("no_known_size")]
    return [note("ground_before", step=found.normalize(), unit=standard.unit)] if found else []
