"""Clearances of a hole and its shaft, for every pair that was measured."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from benchvoice.domain.figures import Figure, Note
from benchvoice.domain.findings import Place
from benchvoice.measure import clearance, roundness, units
from benchvoice.measure.case import Case, judged, note, plain
from benchvoice.measure.compute.spots import spots_of
from benchvoice.measure.roundness import Spot
from benchvoice.measure.tables import Fit
from benchvoice.measure.uncertainty import Amount

REFERENCE_C = 20.0
"""Sizes are stated at 20 deg C (ISO 1)."""

_PER_SIZE = {"oil_clearance": "clearance_per_size"}


def figures(case: Case) -> Iterator[Figure]:
    """One clearance for each pair: the largest that the readings allow, hole at its largest and shaft at its
    smallest.
    """
    for fit in case.tables.fits:
        holes, shafts = _first(case, fit.holes), _first(case, fit.shafts)
        for hole_place, hole_spots in holes.items():
            key = _key(hole_place, fit)
            if key is None:
                continue
            for shaft_place, shaft_spots in shafts.items():
                if _key(shaft_place, fit) == key:
                    yield from _pair(case, fit, key, hole_spots, shaft_spots)


def _first(case: Case, parts: tuple[str, ...]) -> dict[Place, list[Spot]]:
    """Spots of the first of the parts that has any, those of the others where it has none."""
    out: dict[Place, list[Spot]] = {}
    for part in parts:
        for place, spots in spots_of(case, part).items():
            out.setdefault(place, spots)
    return out


def _key(place: Place, fit: Fit) -> Place | None:
    """The part of a place that a hole and its shaft share; None if the place doesn't say it."""
    keys = {name: value for name, value in place.as_dict().items() if name in fit.by}
    return Place.from_dict(keys) if len(keys) == len(fit.by) else None


def _pair(case: Case, fit: Fit, place: Place, hole: list[Spot], shaft: list[Spot]) -> Iterator[Figure]:
    bore, body = roundness.largest(hole).amount, roundness.smallest(shaft).amount
    if not units.same_kind(bore.unit, body.unit):
        return
    found = clearance.fit(bore, body)
    if abs(found.value) > units.convert(fit.apart, fit.unit, found.unit):
        return
    notes = [note("largest_of_readings")] if len(hole) + len(shaft) > 2 else []
    yield judged(
        case, found, name=fit.name, quantity="clearance", judge_as="clearance", part=fit.part, place=place,
        group=fit.group, formula="hole_less_shaft", sizes={"diameter": body},
        notes=(*notes, *_warmth(case, fit, body)),
    )  # fmt: skip
    if notes:
        yield from _tightest(case, fit, place, hole, shaft)
    if fit.name in _PER_SIZE:
        yield plain(
            clearance.per_size(found, body), name=_PER_SIZE[fit.name], part=fit.part, place=place, group=fit.group,
            formula="per_size",
        )  # fmt: skip


def _tightest(case: Case, fit: Fit, place: Place, hole: list[Spot], shaft: list[Spot]) -> Iterator[Figure]:
    """The least clearance that the readings allow: what a lower limit must be held against."""
    bore, body = roundness.smallest(hole).amount, roundness.largest(shaft).amount
    yield judged(
        case, clearance.fit(bore, body), name="least_clearance", quantity="clearance", judge_as="clearance",
        part=fit.part, place=place, group=fit.group, formula="hole_less_shaft", sizes={"diameter": body},
        notes=(note("smallest_of_readings"),),
    )  # fmt: skip


def _warmth(case: Case, fit: Fit, body: Amount) -> list[Note]:
    """What a bench that isn't at 20 deg C does to a piston's clearance (aluminium in iron)."""
    if fit.name != "piston_clearance" or case.bench.temperature is None:
        return []
    apart = case.default("aluminium_expansion").value - case.default("iron_expansion").value
    degrees = case.bench.temperature - REFERENCE_C
    shift = clearance.thermal_shift(float(body.value), float(apart), degrees)
    return [note("clearance_at_20", shift=f"{Decimal(shift):+.4f}", unit=body.unit)] if degrees else []
