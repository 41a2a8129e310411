"""Clearances: a hole less its shaft, per inch of size, and at another temperature."""

from __future__ import annotations

import math
from decimal import Decimal

from benchvoice.measure.uncertainty import Amount, combined, difference, scaled


def fit(hole: Amount, shaft: Amount) -> Amount:
    """Diametral clearance: hole less shaft, in the hole's unit; negative where the two interfere.

    Worked by hand: a lifter bore of 1.3130 with a lifter of 1.3105: 0.0025.

    >>> bore, body = (Amount(value=Decimal(v), unit="in", u=0.0001) for v in ("1.3130", "1.3105"))
    >>> fit(bore, body).value
    Decimal('0.0025')
    """
    return difference(hole, shaft)


def per_size(clearance: Amount, size: Amount) -> Amount:
    """Clearance for each unit of diameter, dimensionless (inch an inch).

    Worked by hand: 0.0020 on a journal of 2.000: 0.001 in an inch.

    >>> thin, thick = Amount(value=Decimal("0.0020"), unit="in"), Amount(value=Decimal("2.000"), unit="in")
    >>> per_size(thin, thick).value
    Decimal('0.001')

    Raises ValueError for a size of zero.
    """
    thick = size.to(clearance.unit)
    if not thick.value:
        raise ValueError("a size of zero")
    ratio = clearance.value / thick.value
    return combined(ratio, "each", [(1 / float(thick.value), clearance), (-float(ratio / thick.value), thick)])


def taper_from_gaps(at_top: Amount, at_bottom: Amount) -> Amount:
    """Bore taper from one ring's end gap at two levels: a ring's gap opens by pi times the growth in diameter.

    Worked by hand: a gap that grows by 0.0126 in shows a taper of 0.0126 / 3.1416 = 0.0040 in.

    >>> gaps = [Amount(value=Decimal(v), unit="in", u=0.0005) for v in ("0.0306", "0.0180")]
    >>> round(taper_from_gaps(*gaps).value, 4)
    Decimal('0.0040')
    """
    return scaled(difference(at_top, at_bottom), 1 / Decimal(math.pi))


def thermal_shift(diameter: float, coefficient: float, degrees: float) -> float:
    """How much a diameter grows over `degrees` (K), in its own unit; coefficient in 1/K.

    Linear expansion: d alpha dT. Worked by hand: 4 in of aluminium (21e-6) against iron (10.8e-6) over 10 K:
    4 x 10.2e-6 x 10 = 0.0004 in.

    >>> round(thermal_shift(4.0, 21e-6 - 10.8e-6, 10.0), 5)
    0.00041
    """
    return diameter * coefficient * degrees
