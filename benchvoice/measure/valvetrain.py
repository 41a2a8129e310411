"""Valve gear: lift from two readings, and springs."""

from __future__ import annotations

from benchvoice.measure.uncertainty import Amount, combined, difference


def lobe_lift(heel_to_toe: Amount, base_circle: Amount) -> Amount:
    """Lift of a lobe: its height across heel and toe less the diameter of its base circle. Geometry.

    Worked by hand: 1.7300 less 1.4500: 0.2800.

    >>> from decimal import Decimal
    >>> tall, round_part = (Amount(value=Decimal(v), unit="in", u=0.0001) for v in ("1.7300", "1.4500"))
    >>> lobe_lift(tall, round_part).value
    Decimal('0.2800')
    """
    return difference(heel_to_toe, base_circle)


def shrinkage(length: Amount, new: Amount) -> Amount:
    """How much shorter a spring is than new, in percent.

    Worked by hand: 1.94 of 2.00 in: 3 % shorter.

    >>> from decimal import Decimal
    >>> shrinkage(Amount(value=Decimal("1.94"), unit="in"), Amount(value=Decimal("2.00"), unit="in")).value
    Decimal('3.00')

    Raises ValueError for a new length of zero.
    """
    free = new.to(length.unit)
    if not free.value:
        raise ValueError("a length of zero")
    ratio = length.value / free.value
    return combined(
        100 - 100 * ratio,
        "percent",
        [(-100 / float(free.value), length), (100 * float(ratio / free.value), free)],
    )
