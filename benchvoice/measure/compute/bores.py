"""Bores: out-of-round, taper, wear, the oversize that cleans up a bank, and what that does to the engine."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from benchvoice.domain.figures import Basis, Figure, Note, Verdict
from benchvoice.domain.findings import Place
from benchvoice.measure import machining, roundness
from benchvoice.measure.case import Case, exact, joined, judged, note, plain
from benchvoice.measure.clearance import taper_from_gaps
from benchvoice.measure.compute.spots import spots_of, whole
from benchvoice.measure.compute.stepped import banks, steps_before
from benchvoice.measure.roundness import Spot
from benchvoice.measure.uncertainty import Amount, combined, difference

GROUP = "bores"
PART = "cylinder_bore"


def figures(case: Case) -> Iterator[Figure]:
    """All figures of the bores."""
    bores = spots_of(case, PART)
    stroke = case.sized("crankshaft", "stroke")
    before = steps_before(case, PART)
    for place, spots in bores.items():
        yield from shape(case, PART, place, spots, GROUP, {"stroke": stroke})
        worst = roundness.largest(spots)
        yield plain(
            worst.amount, name="largest_diameter", part=PART, place=place, group=GROUP, formula="largest",
            notes=(note("at_level", level=worst.level),) if worst.level else (),
        )  # fmt: skip
        standard = case.sized(PART, "diameter", place)
        if standard:
            step = before.get(place)
            yield judged(
                case, difference(worst.amount, resized(standard, step)), name="wear", part=PART, place=place,
                group=GROUP, formula="largest_less_standard", sizes={"diameter": standard},
                notes=(note("bored_before", step=step.value.normalize(), unit=step.unit),) if step else (),
            )  # fmt: skip
    yield from _from_ring_gaps(case)
    yield from _oversizes(case, bores)


def resized(standard: Amount, step: Amount | None, sign: int = 1) -> Amount:
    """The standard size and the step that the part went to before: sign 1 for a bore, -1 for a journal."""
    if step is None:
        return standard
    to = step.to(standard.unit)
    return joined(replace(standard, value=standard.value + sign * to.value), step)


def shape(
    case: Case, part: str, place: Place, spots: list[Spot], group: str, sizes: Mapping[str, Amount | None]
) -> Iterator[Figure]:
    """Out-of-round and taper of one bore or journal, as far as its readings allow."""
    diameter = {"diameter": case.sized(part, "diameter", place) or spots[0].amount, **sizes}
    ovality = roundness.out_of_round(spots)
    if ovality:
        amount, level = ovality
        told = level is not None or any(spot.told and spot.direction for spot in spots)
        yield judged(
            case, amount, name="out_of_round", part=part, place=place, group=group, formula="spread_at_a_level",
            sizes=diameter, notes=_scatter(amount, (note("at_level", level=level),) if level else ()),
            doubts=() if told else (note("level_not_said"),),
        )  # fmt: skip
    tapered = roundness.taper(spots)
    if tapered:
        amount, direction = tapered
        said = any(spot.told for spot in spots if direction and spot.direction == direction)
        along = (note("in_direction", direction=direction) if said else note("direction_not_said"),)
        yield judged(
            case, amount, name="taper", part=part, place=place, group=group, formula="spread_in_a_direction",
            sizes=diameter, notes=_scatter(amount, along),
        )  # fmt: skip


def _scatter(amount: Amount, notes: tuple[Note, ...]) -> tuple[Note, ...]:
    """Warns when a difference is no larger than what the gauge alone would show on a perfect part."""
    return (*notes, note("no_more_than_the_gauge")) if float(amount.value) <= amount.expanded else notes


def _from_ring_gaps(case: Case) -> Iterator[Figure]:
    gaps: dict[Place, dict[str, Amount]] = {}
    for place in case.of("top_ring", "end_gap"):
        amount = case.amount("top_ring", "end_gap", place)
        if place.level and amount:
            gaps.setdefault(whole(place), {})[place.level] = amount
    for place, at in gaps.items():
        if "top" in at and "bottom" in at:
            yield judged(
                case, taper_from_gaps(at["top"], at["bottom"]), name="taper_from_ring_gap", part=PART, place=place,
                group=GROUP, formula="gap_growth_over_pi", judge_as="taper",
                sizes={"stroke": case.sized("crankshaft", "stroke")},
            )  # fmt: skip


def _oversizes(case: Case, bores: Mapping[Place, list[Spot]]) -> Iterator[Figure]:
    standard = case.sized(PART, "diameter")
    if standard is None:
        return
    widest: tuple[Decimal, Amount] | None = None
    for bank, members in banks(case, bores).items():
        needed = _needed(case, members, standard)
        steps, basis = case.steps(PART, "oversizes", needed.unit)
        choice = machining.next_oversize(needed, steps)
        place = Place(bank=bank)
        total = len(case.engine.cylinders_of_bank(bank)) if case.engine and bank else None
        if case.engine and not bank:
            total = case.engine.cylinders
        notes = [note("measured_n_of", n=len(members), total=total)] if total else []
        if choice.perhaps is not None:
            notes.append(note("smaller_step_possible", step=choice.perhaps.normalize(), unit=needed.unit))
        yield plain(
            needed, name="metal_to_remove", part=PART, place=place, group=GROUP, formula="bore_to_clean_up"
        )  # fmt: skip
        if choice.step is None:
            yield replace(_proposal(None, needed, place, basis), notes=(*notes, note("beyond_largest_oversize")))
            continue
        yield replace(_proposal(choice.step, needed, place, basis), notes=tuple(notes))
        yield from _consequences(case, standard, choice.step, needed, place)
        if widest is None or choice.step > widest[0]:
            widest = (choice.step, needed)
    if widest:
        yield from _displacement(case, standard, *widest)


def _needed(case: Case, members: Mapping[Place, list[Spot]], standard: Amount) -> Amount:
    """Metal to remove from the diameter: the worst bore over standard, both walls of its deepest scratch, honing."""
    hone = case.sized(PART, "hone_allowance")
    if hone is None:
        usual = case.default("hone_allowance")
        hone = exact(usual.value, usual.unit, usual.basis)
    worst: Amount | None = None
    for place, spots in members.items():
        over = difference(roundness.largest(spots).amount, standard)
        depth = case.amount(PART, "depth", place)
        terms = [(1.0, over), (1.0, hone)]
        value = over.value + hone.to(over.unit).value
        if depth:
            deep = depth.to(over.unit)
            value += 2 * deep.value
            terms.append((2.0, deep))
        found = combined(value, over.unit, [(c, a.to(over.unit)) for c, a in terms], digits=over.digits)
        if worst is None or found.value > worst.to(found.unit).value:
            worst = found
    assert worst is not None
    return worst


def _proposal(step: Decimal | None, needed: Amount, place: Place, basis: Basis) -> Figure:
    amount = exact(step if step is not None else Decimal(0), needed.unit, basis)
    figure = plain(
        joined(amount, needed), name="oversize", part=PART, place=place, group=GROUP, formula="smallest_that_cleans_up"
    )
    return replace(figure, uncertainty=None, value=step, digits=max(3, amount.digits))


def _displacement(case: Case, standard: Amount, step: Decimal, needed: Amount) -> Iterator[Figure]:
    """The engine's displacement with every bore at the largest of the proposed oversizes."""
    stroke = case.sized("crankshaft", "stroke")
    if not stroke or not case.engine:
        return
    bore = standard.to(needed.unit)
    sizes = (bore, replace(bore, value=bore.value + step))
    before, after = (
        machining.displacement(size.to("in").value, stroke.to("in").value, case.engine.cylinders) for size in sizes
    )
    growth = note("growth", percent=f"{(after / before - 1) * 100:.2f}")
    amount = joined(exact(after, "in3", digits=1), needed, standard, stroke)
    figure = plain(
        amount, name="displacement_after", part="engine", place=Place(), group=GROUP, formula="swept_volume",
        notes=(growth,),
    )  # fmt: skip
    yield replace(figure, uncertainty=None)


def _consequences(case: Case, standard: Amount, step: Decimal, needed: Amount, place: Place) -> Iterator[Figure]:
    """What boring a bank does to the compression ratio and to the cylinder walls."""
    bore = standard.to(needed.unit)
    stroke, ratio = case.sized("crankshaft", "stroke"), case.sized("engine", "compression_ratio")
    if stroke and ratio:
        length, bigger = stroke.to(bore.unit), bore.value + step
        after = machining.ratio_after(ratio.value, bore.value, length.value, cut=Decimal(0), new_bore=bigger)
        amount = joined(exact(after, "each", digits=2), needed, ratio, stroke)
        figure = plain(
            amount, name="ratio_after_boring", part="engine", place=place, group=GROUP, formula="ratio_bored"
        )
        yield replace(figure, uncertainty=None)
    wall = case.sized(PART, "wall")
    if wall:
        left = wall.to(needed.unit)
        left = joined(replace(left, value=left.value - step / 2), needed)
        figure = judged(
            case, left, name="wall_after", part=PART, place=place, group=GROUP, formula="wall_less_half",
            judge_as="wall", notes=(note("wall_by_sheet_only"),),
        )  # fmt: skip
        if figure.verdict is Verdict.WITHIN:
            figure = replace(figure, verdict=Verdict.CANT_TELL, probability=None)
        yield figure
