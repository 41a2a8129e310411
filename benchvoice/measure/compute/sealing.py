"""Compression and leakage over the cylinders."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from benchvoice.domain.figures import Figure, Note
from benchvoice.domain.findings import Place
from benchvoice.measure import atmosphere, outliers, roundness, sealing, units
from benchvoice.measure.case import Case, is_wet, joined, judged, note, plain
from benchvoice.measure.uncertainty import Amount, combined, repeated

GROUP = "sealing"
PART = "cylinder_bore"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tested:
    """Compression by cylinder, dry and wet."""

    dry: Mapping[int, Amount]
    wet: Mapping[int, Amount]


def compression(case: Case) -> Tested:
    """Readings of every part that was said to have compression, by cylinder; readings of no one cylinder are left."""
    dry: dict[int, list[Amount]] = {}
    wet: dict[int, list[Amount]] = {}
    for (_, quantity), readings in case.readings.items():
        if quantity != "compression":
            continue
        for reading in readings:
            if reading.place.cylinder is not None and reading.bound is None:
                into = wet if is_wet(reading, case.tables) else dry
                into.setdefault(reading.place.cylinder, []).append(reading.amount)
    return Tested(
        dry={cylinder: repeated(amounts) for cylinder, amounts in dry.items()},
        wet={cylinder: repeated(amounts) for cylinder, amounts in wet.items()},
    )


def figures(case: Case) -> Iterator[Figure]:
    """All figures of how the cylinders hold."""
    tested = compression(case)
    if len(tested.dry) >= 2:
        yield from _together(case, tested.dry)
        yield from _neighbours(case, tested.dry)
    yield from _at_sea_level(case, tested.dry)
    yield from _wet(case, tested)
    yield from _expected(case, tested.dry)
    yield from _holes(case)


def _together(case: Case, dry: Mapping[int, Amount]) -> Iterator[Figure]:
    readings = list(dry.values())
    lowest = min(dry, key=lambda cylinder: dry[cylinder].to(readings[0].unit).value)
    count = _count(case, len(dry))
    spread = joined(roundness.spread(readings), *readings)
    yield judged(
        case, spread, name="compression_spread", part=PART, place=Place(), group=GROUP, formula="spread",
        notes=count,
    )  # fmt: skip
    share = joined(sealing.share_of_highest(readings), *readings)
    yield judged(
        case, share, name="lowest_share", part=PART, place=Place(cylinder=lowest), group=GROUP,
        formula="lowest_of_highest", notes=(*count, *_loose_rule(case, share, _to_sea_level(case, dry[lowest]))),
    )  # fmt: skip


def _count(case: Case, n: int) -> tuple[Note, ...]:
    if case.engine is None or n >= case.engine.cylinders:
        return ()
    return (note("measured_n_of", n=n, total=case.engine.cylinders),)


def _loose_rule(case: Case, share: Amount, lowest: Amount) -> tuple[Note, ...]:
    """The other published rule, which disagrees with the usual one between 70 and 75 %. lowest: put to sea level."""
    floor, least = case.default("lowest_share_loose"), case.default("lowest_pressure_loose")
    if not units.same_kind(lowest.unit, least.unit):
        return ()
    over = [
        (amount.value - limit.value, Decimal(amount.expanded))
        for amount, limit in ((share, floor), (lowest.to(least.unit), least))
    ]
    if any(gap + margin < 0 for gap, margin in over):
        code = "loose_rule_missed"
    else:
        code = "loose_rule_met" if all(gap >= margin for gap, margin in over) else "loose_rule_open"
    return (note(code, percent=floor.value, pressure=least.value, unit=least.unit),)


def _neighbours(case: Case, dry: Mapping[int, Amount]) -> Iterator[Figure]:
    """Two adjacent low cylinders: the gasket between them comes first."""
    if case.engine is None or len(dry) < 3:
        return
    first = next(iter(dry.values()))
    same = {cylinder: amount.to(first.unit) for cylinder, amount in dry.items()}
    floor = max(amount.u for amount in same.values())
    scores = outliers.modified_z([float(amount.value) for amount in same.values()], floor)
    threshold = float(case.default("odd_one_out").value)
    low = {cylinder for cylinder, score in zip(same, scores, strict=True) if score < -threshold}
    for cylinder in sorted(low):
        if not case.engine.has(cylinder=cylinder):
            continue
        for other in case.engine.neighbours(cylinder):
            if other in low and cylinder < other:
                worse = min((same[cylinder], same[other]), key=lambda amount: amount.value)
                figure = plain(
                    joined(worse, same[cylinder], same[other]), name="low_neighbours", part="head_gasket",
                    place=Place(cylinder=cylinder), group=GROUP, formula="adjacent_and_low",
                    quantity="compression", notes=(note("gasket_between", first=cylinder, second=other),),
                )  # fmt: skip
                yield figure


def _to_sea_level(case: Case, amount: Amount) -> Amount:
    """A gauge pressure as it would have been at sea level; unchanged where no altitude is stated."""
    altitude = case.bench.altitude
    if not altitude:
        return amount
    kpa = amount.to("kPa")
    slope = atmosphere.SEA_LEVEL_KPA / atmosphere.pressure(altitude)
    value = Decimal(atmosphere.at_sea_level(float(kpa.value), altitude))
    corrected = combined(value, "kPa", [(slope, kpa)], digits=kpa.digits).to(amount.unit)
    return replace(corrected, digits=amount.digits)


def _at_sea_level(case: Case, dry: Mapping[int, Amount]) -> Iterator[Figure]:
    altitude = case.bench.altitude
    if not altitude:
        return
    for cylinder, amount in dry.items():
        yield judged(
            case, _to_sea_level(case, amount), name="compression_at_sea_level", part=PART,
            place=Place(cylinder=cylinder), group=GROUP, formula="standard_atmosphere", judge_as="compression",
            notes=(note("altitude", metres=round(altitude)),),
        )  # fmt: skip


def _wet(case: Case, tested: Tested) -> Iterator[Figure]:
    least = case.default("wet_rise").value
    for cylinder, wet in tested.wet.items():
        dry = tested.dry.get(cylinder)
        if dry is None or dry.value <= 0 or not units.same_kind(dry.unit, wet.unit):
            continue
        found = sealing.rise(dry, wet)
        margin = Decimal(found.expanded)
        if found.value - margin > least:
            says = "wet_rises"
        elif found.value + margin < least:
            says = "wet_stays"
        else:
            says = "wet_unclear"
        yield plain(
            found, name="wet_rise", part=PART, place=Place(cylinder=cylinder), group=GROUP, formula="wet_over_dry",
            notes=(note(says),),
        )  # fmt: skip


def _expected(case: Case, dry: Mapping[int, Amount]) -> Iterator[Figure]:
    """What sound cylinders of this compression ratio would show, as an interval (from memory)."""
    ratio = case.sized("engine", "compression_ratio")
    if ratio is None or not dry:
        return
    ambient = atmosphere.pressure(case.bench.altitude or 0.0)
    unit = next(iter(dry.values())).unit
    low, high = (
        units.convert(
            Decimal(sealing.cranking_pressure(float(ratio.value), float(case.default(name).value), ambient)),
            "kPa",
            unit,
        )
        for name in ("compression_exponent_low", "compression_exponent_high")
    )
    basis = case.default("compression_exponent_low").basis
    yield Figure(
        name="compression_expected", part=PART, group=GROUP, quantity="compression", unit=unit, digits=0, low=low,
        high=high, formula="polytropic", assumed=(basis, *ratio.assumed), notes=(note("rough"),),
    )  # fmt: skip


def _holes(case: Case) -> Iterator[Figure]:
    """The leak as a round hole, when the tester's orifice and supply are known: comparable between testers."""
    orifice, supply = case.bench.orifice, case.bench.supply
    if not orifice or not supply:
        return
    ambient = atmosphere.pressure(case.bench.altitude or 0.0)
    for place in case.of(PART, "leakage"):
        amount = case.amount(PART, "leakage", place)
        if amount is None or amount.unit != "percent" or not 0 < amount.value < 99:
            continue
        percent = float(amount.value)
        hole = sealing.leak_hole(percent, orifice, supply, ambient)
        slope = (sealing.leak_hole(percent + 0.5, orifice, supply, ambient) - hole) / 0.5
        yield plain(
            combined(Decimal(hole), "mm", [(slope, amount)]), name="leak_hole", part=PART, place=place, group=GROUP,
            formula="orifice_flow",
        )  # fmt: skip
