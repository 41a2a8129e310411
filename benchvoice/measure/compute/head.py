"""Head and valve train: what resurfacing costs, lobe lift, springs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from benchvoice.domain.figures import Figure
from benchvoice.domain.findings import Place
from benchvoice.measure import clearance, hardness, machining, units, valvetrain
from benchvoice.measure.case import Case, exact, joined, judged, note, plain
from benchvoice.measure.uncertainty import Amount

HEAD, VALVE_TRAIN = "head", "valve_train"


def figures(case: Case) -> Iterator[Figure]:
    """All figures of head and valve train that are more than a reading."""
    yield from _resurfacing(case)
    yield from _lifts(case)
    yield from _springs(case)
    yield from _dents(case)


def _resurfacing(case: Case) -> Iterator[Figure]:
    for part in ("cylinder_head", "deck"):
        for place in case.of(part, "flatness"):
            amount = case.amount(part, "flatness", place)
            if amount is None or amount.value <= 0:
                continue
            yield judged(
                case, amount, name="least_cut", part=part, place=place, group=HEAD, formula="flatness_is_least_cut",
                judge_as="cut", notes=(note("cut_leaves_no_allowance"),),
            )  # fmt: skip
            yield from _per_length(case, part, amount, place)
            yield from _ratio_after(case, part, amount, place)


def _per_length(case: Case, part: str, amount: Amount, place: Place) -> Iterator[Figure]:
    """Flatness over the length that it was measured on, where that is known."""
    length = case.amount(part, "length", place) or case.sized(part, "length", place)
    if length and length.value > 0:
        yield judged(
            case, clearance.per_size(amount, length), name="flatness_per_length", part=part, place=place, group=HEAD,
            formula="over_length",
        )  # fmt: skip


def _ratio_after(case: Case, part: str, cut: Amount, place: Place) -> Iterator[Figure]:
    bore = case.sized("cylinder_bore", "diameter")
    stroke, ratio = case.sized("crankshaft", "stroke"), case.sized("engine", "compression_ratio")
    if not bore or not stroke or not ratio:
        return
    size, length, depth = (item.to(stroke.unit) for item in (bore, stroke, cut))
    try:
        after = machining.ratio_after(ratio.value, size.value, length.value, cut=depth.value, new_bore=size.value)
    except ValueError:
        return
    figure = plain(
        joined(exact(after, "each", digits=2), cut, ratio, stroke), name="ratio_after_cut", part=part, place=place,
        group=HEAD, formula="ratio_cut", notes=(note("ratio_before", value=ratio.value),),
    )  # fmt: skip
    yield replace(figure, uncertainty=None, value=None, high=after)


def _lifts(case: Case) -> Iterator[Figure]:
    for place in case.of("cam_lobe", "length"):
        tall, base = (case.amount("cam_lobe", quantity, place) for quantity in ("length", "diameter"))
        if tall and base:
            yield judged(
                case, valvetrain.lobe_lift(tall, base), name="lift", part="cam_lobe", place=place, group=VALVE_TRAIN,
                formula="lift",
            )  # fmt: skip


def _springs(case: Case) -> Iterator[Figure]:
    for place in case.of("valve_spring", "length"):
        amount = case.amount("valve_spring", "length", place)
        new = case.sized("valve_spring", "length", place)
        if amount and new:
            yield judged(
                case, valvetrain.shrinkage(amount, new), name="shrinkage", part="valve_spring", place=place,
                group=VALVE_TRAIN, formula="shrinkage", notes=(note("length_is_not_load"),),
            )  # fmt: skip


def _dents(case: Case) -> Iterator[Figure]:
    """Hardness from a dent's diameter, which is what a hardness said in a unit of length is."""
    for part, quantity in case.readings:
        for place in case.of(part, quantity) if quantity == "hardness" else ():
            dent = case.amount(part, quantity, place)
            if dent is None or not units.same_kind(dent.unit, "mm"):
                continue
            try:
                found = hardness.brinell(dent)
            except ValueError:
                continue
            group = case.tables.groups.get(part, "other")
            yield judged(
                case, found, name="hardness_by_dent", part=part, place=place, group=group, formula="dent",
                judge_as="hardness", notes=(note("dent_of_usual_test"),),
            )  # fmt: skip
