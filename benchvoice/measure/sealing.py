"""Compression and leakage: how well a cylinder holds."""

from __future__ import annotations

import math
from collections.abc import Sequence

from benchvoice.measure.uncertainty import Amount, combined

_GAMMA = 1.4


def share_of_highest(cylinders: Sequence[Amount]) -> Amount:
    """Lowest as a percentage of the highest, with its uncertainty.

    Worked by hand: 140 of 170 psi is 82.4 %.

    >>> from decimal import Decimal
    >>> out = share_of_highest([Amount(value=Decimal(v), unit="psi", u=2.0) for v in (170, 168, 165, 140)])
    >>> round(out.value, 1), round(out.u, 2)
    (Decimal('82.4'), 1.52)

    Raises ValueError for fewer than two cylinders, or a highest of zero.
    """
    if len(cylinders) < 2:
        raise ValueError("a share needs two cylinders")
    unit = cylinders[0].unit
    same = [cylinder.to(unit) for cylinder in cylinders]
    low, high = min(same, key=lambda a: a.value), max(same, key=lambda a: a.value)
    if high.value <= 0:
        raise ValueError("the highest is not above zero")
    share = 100 * low.value / high.value
    by_low, by_high = 100 / float(high.value), -float(share / high.value)
    return combined(share, "percent", [(by_low, low), (by_high, high)])


def rise(dry: Amount, wet: Amount) -> Amount:
    """How much a wet test lifts a cylinder, in percent of the dry reading.

    Worked by hand: 100 dry and 150 wet rise by 50 %.

    >>> from decimal import Decimal
    >>> rise(Amount(value=Decimal(100), unit="psi"), Amount(value=Decimal(150), unit="psi")).value
    Decimal('50.0')

    Raises ValueError if the dry reading is not above zero.
    """
    same = wet.to(dry.unit)
    if dry.value <= 0:
        raise ValueError("a dry reading of zero")
    ratio = same.value / dry.value
    return combined(
        100 * ratio - 100,
        "percent",
        [(100 / float(dry.value), same), (-100 * float(ratio / dry.value), dry)],
    )


def cranking_pressure(ratio: float, exponent: float, ambient_kpa: float) -> float:
    """Gauge pressure (kPa) of a sound cylinder at cranking speed: polytropic compression, p (ratio^n - 1).

    Worked by hand: 14.7 psi x (9.5^1.2 - 1) = 14.7 x 13.90 = 204 psi (101.325 x 13.90 = 1409 kPa).

    >>> round(cranking_pressure(9.5, 1.2, 101.325))
    1409
    """
    return float(ambient_kpa * (ratio**exponent - 1))


def flow_function(downstream_over_upstream: float) -> float:
    """Isentropic flow of air through a small hole, as a share of the choked flow of the same hole.

    De Saint-Venant and Wantzel: below the critical ratio (2/(g+1))^(g/(g-1)) = 0.5283 the hole is choked (1); above it
    the flow falls to nothing at equal pressures. Any compressible-flow text (White, Fluid Mechanics, chapter 9).

    >>> flow_function(0.3), round(flow_function(0.75), 3), flow_function(1.0)
    (1.0, 0.884, 0.0)

    Raises ValueError for a ratio outside 0..1.
    """
    r = downstream_over_upstream
    if not 0 <= r <= 1:
        raise ValueError(f"pressure ratio {r}")
    critical = (2 / (_GAMMA + 1)) ** (_GAMMA / (_GAMMA - 1))
    if r <= critical:
        return 1.0

    def flow(x: float) -> float:
        return math.sqrt(max(0.0, x ** (2 / _GAMMA) - x ** ((_GAMMA + 1) / _GAMMA)))

    return flow(r) / flow(critical)


def leak_hole(percent: float, orifice: float, supply_kpa: float, ambient_kpa: float) -> float:
    """Diameter of a round hole that leaks as the cylinder does, in the unit of the tester's orifice.

    What comes through the orifice (supply to cylinder) leaves through the leak (cylinder to air); at one temperature
    the flow through a hole is its area x upstream pressure x flow_function. Percent is of the gauge supply pressure.

    Worked by hand: 80 psi (551.6 kPa) to 60 (413.7): absolute 652.9, 515.0, 101.3. Ratios 0.789 and 0.197 (choked),
    flow 0.835 x 652.9 / (1 x 515.0) = 1.059, so a leak of sqrt(1.059) = 1.03 orifices.

    >>> round(leak_hole(25.0, 1.0, 551.6, 101.325), 2)
    1.03

    Raises ValueError for a leakage outside 0..100 or a supply that is not above zero.
    """
    if not 0 <= percent < 100 or supply_kpa <= 0:
        raise ValueError(f"leakage {percent} % of {supply_kpa} kPa")
    upstream = supply_kpa + ambient_kpa
    cylinder = supply_kpa * (1 - percent / 100) + ambient_kpa
    through = upstream * flow_function(cylinder / upstream)
    out = cylinder * flow_function(ambient_kpa / cylinder)
    return orifice * math.sqrt(through / out)
