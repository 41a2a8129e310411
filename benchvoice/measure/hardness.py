"""Brinell hardness from the dent that a ball left."""

from __future__ import annotations

import math
from decimal import Decimal

from benchvoice.measure.uncertainty import Amount, combined

KGF, BALL_MM = 500.0, 10.0
"""The usual test of aluminium castings: 500 kgf by a ball of 10 mm (ASTM E10, from memory)."""
_SMALLEST, _LARGEST = 0.24, 0.60
"""Of the ball's diameter: dents outside of this are no valid test (ISO 6506-1, from memory)."""


def brinell(dent: Amount, kgf: float = KGF, ball: float = BALL_MM) -> Amount:
    """HB = 2 F/(pi D (D - sqrt(D^2 - d^2))), ASTM E10 and ISO 6506-1: F in kgf, ball D and dent d in mm.

    Worked by hand: d = 3.0: sqrt(100 - 9) = 9.539, 1000/(31.416 x 0.4606) = 69.1.

    >>> found = brinell(Amount(value=Decimal("3.0"), unit="mm", u=0.03))
    >>> round(found.value, 1), round(found.u, 1)
    (Decimal('69.1'), 1.4)

    Raises ValueError for a dent that is too small or too large for its ball.
    """
    mm = dent.to("mm")
    d = float(mm.value)
    if not _SMALLEST * ball <= d <= _LARGEST * ball:
        raise ValueError(f"a dent of {d} mm by a ball of {ball} mm")
    root = math.sqrt(ball * ball - d * d)
    value = 2 * kgf / (math.pi * ball * (ball - root))
    slope = -value * d / (root * (ball - root))
    return combined(Decimal(value), "HB", [(slope, mm)])
