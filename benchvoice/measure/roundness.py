"""Out-of-round, taper and wear of a bore or a journal, from any set of readings at levels and in directions.

Three levels by two directions are the usual set (US Navy NAVEDTRA 14076); fewer give fewer figures. Formulas: out of
round is the difference of the readings at one level, taper that of the readings in one direction (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from benchvoice.measure.uncertainty import Amount, difference


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One diameter: where along the bore or journal (`level`), and in which direction it was taken; None: not said.

    told: False for a direction that nobody said, only concluded from readings that one direction can't explain.
    """

    amount: Amount
    level: str | None = None
    direction: str | None = None
    told: bool = True


def spread(amounts: Sequence[Amount]) -> Amount:
    """Largest less smallest, in the unit of the first.

    Worked by hand: 4.0046, 4.0030 and 4.0012 spread over 0.0034.

    >>> from decimal import Decimal
    >>> taken = [Amount(value=Decimal(v), unit="in", u=0.0001) for v in ("4.0046", "4.0030", "4.0012")]
    >>> spread(taken).value
    Decimal('0.0034')

    Raises ValueError for fewer than two.
    """
    if len(amounts) < 2:
        raise ValueError("a spread needs two readings")
    unit = amounts[0].unit
    return difference(max(amounts, key=lambda a: a.to(unit).value), min(amounts, key=lambda a: a.to(unit).value))


def _worst(groups: Iterable[tuple[str | None, list[Spot]]]) -> tuple[Amount, str | None] | None:
    best: tuple[Amount, str | None] | None = None
    for key, spots in groups:
        if len(spots) < 2:
            continue
        found = spread([spot.amount for spot in spots])
        if best is None or found.value > best[0].to(found.unit).value:
            best = (found, key)
    return best


def out_of_round(spots: Sequence[Spot]) -> tuple[Amount, str | None] | None:
    """The largest spread at one level, and that level; None if no level was measured in two directions.

    Worked by hand (inches): top 4.0046 and 4.0031, bottom 4.0012 and 4.0009: 0.0015 at the top.

    >>> from decimal import Decimal
    >>> def spot(level, direction, value):
    ...     return Spot(level=level, direction=direction, amount=Amount(value=Decimal(value), unit="in"))
    >>> spots = [spot("top", "thrust", "4.0046"), spot("top", "pin", "4.0031"),
    ...          spot("bottom", "thrust", "4.0012"), spot("bottom", "pin", "4.0009")]
    >>> out_of_round(spots)[0].value, out_of_round(spots)[1]
    (Decimal('0.0015'), 'top')
    """
    levels = dict.fromkeys(spot.level for spot in spots)
    return _worst((level, [spot for spot in spots if spot.level == level]) for level in levels)


def taper(spots: Sequence[Spot]) -> tuple[Amount, str | None] | None:
    """The largest spread along one direction, and that direction; None if no direction has two levels.

    Worked by hand: thrust 4.0046 at the top and 4.0012 at the bottom: 0.0034.

    >>> from decimal import Decimal
    >>> spots = [Spot(level=level, direction="thrust", amount=Amount(value=Decimal(value), unit="in"))
    ...          for level, value in (("top", "4.0046"), ("bottom", "4.0012"))]
    >>> taper(spots)[0].value
    Decimal('0.0034')
    """
    directions = dict.fromkeys(spot.direction for spot in spots)
    groups = []
    for direction in directions:
        along = [spot for spot in spots if spot.direction == direction and spot.level is not None]
        if len({spot.level for spot in along}) >= 2:
            groups.append((direction, along))
    return _worst(groups)


def largest(spots: Sequence[Spot]) -> Spot:
    """The spot with the largest diameter. Raises ValueError without spots.

    >>> from decimal import Decimal
    >>> largest([Spot(amount=Amount(value=Decimal(v), unit="in")) for v in ("4.0012", "4.0046")]).amount.value
    Decimal('4.0046')
    """
    return max(spots, key=lambda spot: spot.amount.to(spots[0].amount.unit).value)


def smallest(spots: Sequence[Spot]) -> Spot:
    """The spot with the smallest diameter. Raises ValueError without spots.

    >>> from decimal import Decimal
    >>> smallest([Spot(amount=Amount(value=Decimal(v), unit="in")) for v in ("2.0985", "2.0979")]).amount.value
    Decimal('2.0979')
    """
    return min(spots, key=lambda spot: spot.amount.to(spots[0].amount.unit).value)
