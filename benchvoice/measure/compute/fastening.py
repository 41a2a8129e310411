"""Bolts: how much they have grown, and what tension a torque would mean."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from benchvoice.domain.figures import Figure, Note
from benchvoice.domain.findings import Place
from benchvoice.measure import bolts, units
from benchvoice.measure.case import Case, judged, note
from benchvoice.measure.uncertainty import Amount, difference

BOLTS = ("head_bolt", "main_bolt", "rod_bolt")


def figures(case: Case) -> Iterator[Figure]:
    """Growth in length, and the tension of a torque for bolts whose thread the sheet names."""
    for part in BOLTS:
        group = case.tables.groups.get(part, "other")
        for place in case.of(part, "length"):
            length, new = case.amount(part, "length", place), case.sized(part, "length", place)
            if length and new:
                yield judged(
                    case, difference(length, new), name="growth", part=part, place=place, group=group,
                    formula="length_less_new", notes=(note("growth_without_limit"),),
                )  # fmt: skip
        for place in case.of(part, "torque"):
            torque, thread = case.amount(part, "torque", place), case.sized(part, "diameter", place)
            if torque and torque.value > 0 and thread and thread.value > 0:
                yield _tension(case, part, place, group, torque, thread)


def _tension(case: Case, part: str, place: Place, group: str, torque: Amount, thread: Amount) -> Figure:
    """From the greatest to the least usual friction, the torque's own uncertainty counted."""
    low, high = (case.default(name) for name in ("nut_factor_oiled", "nut_factor_dry"))
    diameter = float(thread.to("mm").value)
    newton_metres = torque.to("N_m")
    ends = (float(newton_metres.value) - newton_metres.expanded, float(newton_metres.value) + newton_metres.expanded)
    least = bolts.preload(max(0.0, ends[0]), diameter, float(high.value))
    most = bolts.preload(ends[1], diameter, float(low.value))
    return Figure(
        name="tension", part=part, place=place, group=group, quantity="tension", unit="N", digits=0,
        low=units.round_to(Decimal(least), Decimal(100)), high=units.round_to(Decimal(most), Decimal(100)),
        hedged=torque.hedged, inputs=torque.inputs, formula="torque_over_friction",
        assumed=(*torque.assumed, *thread.assumed, low.basis, high.basis),
        notes=(note("tension_of_tightening"), *_share_of_proof(case, part, place, diameter, (least, most))),
    )  # fmt: skip


def _share_of_proof(case: Case, part: str, place: Place, diameter: float, ends: tuple[float, float]) -> Iterator[Note]:
    """The tension as a share of the bolt's proof load, if the sheet names pitch and property class."""
    pitch, grade = (case.sized(part, quantity, place) for quantity in ("pitch", "property_class"))
    row = bolts.proof_stress(str(grade.value), diameter, case.tables.proof) if grade else None
    if row is None or pitch is None or not 0 < float(pitch.to("mm").value) < diameter:
        return
    load = row.mpa * bolts.stress_area(diameter, float(pitch.to("mm").value))
    low, high = (f"{100 * end / load:.0f}" for end in ends)
    yield note("share_of_proof", low=low, high=high, grade=row.property_class, load=f"{load / 1000:.1f}")
