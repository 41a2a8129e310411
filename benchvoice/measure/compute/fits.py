"""Clearances of a hole and its shaft, for every pair that was measured."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
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
    found, warmth = _at_bench(case, fit, clearance.fit(bore, body), body)
    if abs(found.value) > units.convert(fit.apart, fit.unit, found.unit):
        return
    notes = [note("largest_of_readings")] if len(hole) + len(shaft) > 2 else []
    yield judged(
        case, found, name=fit.name, quantity="clearance", judge_as="clearance", part=fit.part, place=place,
        group=fit.group, formula="hole_less_shaft", sizes={"diameter": body},
        notes=(*notes, *warmth),
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
    found, warmth = _at_bench(case, fit, clearance.fit(bore, body), body)
    yield judged(
        case, found, name="least_clearance", quantity="clearance", judge_as="clearance",
        part=fit.part, place=place, group=fit.group, formula="hole_less_shaft", sizes={"diameter": body},
        notes=(note("smallest_of_readings"), *warmth),
    )  # fmt: skip


def _at_bench(case: Case, fit: Fit, found: Amount, body: Amount) -> tuple[Amount, tuple[Note, ...]]:
    """A piston's clearance on a bench that isn't at 20 deg C: what the cold or warmth may account for, were the piston
    of aluminium and the bore of iron, goes into the uncertainty as a bound (rectangular, JCGM 100, 4.3.7), not into the
    value, since neither material was measured.
    """
    if fit.name != "piston_clearance" or case.bench.temperature in (None, REFERENCE_C):
        return found, ()
    apart = case.default("aluminium_expansion").value - case.default("iron_expansion").value
    degrees = (case.bench.temperature or 0.0) - REFERENCE_C
    shift = clearance.thermal_shift(float(body.to(found.unit).value), float(apart), degrees)
    widened = replace(found, u=math.hypot(found.u, shift / math.sqrt(3)))
    return widened, (note("clearance_at_20", shift=f"{Decimal(shift):+.4f}", unit=found.unit),)
