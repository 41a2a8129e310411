"""What a machine shop could do about it: oversize, undersize, displacement, compression ratio."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from benchvoice.measure.uncertainty import Amount

_QUARTER_PI = Decimal(math.pi) / 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """The step to go to (None: none is large enough), and a smaller one that might also do if the gauge's error
    falls that way.
    """

    step: Decimal | None
    perhaps: Decimal | None = None


def _smallest(steps: Sequence[Decimal], needed: Amount) -> Step:
    sure = needed.value + Decimal(needed.expanded)
    fits = sorted(steps)
    step = next((s for s in fits if s >= sure), None)
    perhaps = next((s for s in fits if s >= needed.value), None)
    return Step(step=step, perhaps=perhaps if perhaps != step else None)


def next_oversize(needed: Amount, oversizes: Sequence[Decimal]) -> Step:
    """The smallest oversize that surely cleans up: at least the metal to be removed from the diameter plus U.

    needed: largest reading + twice the depth of the deepest scratch + honing allowance - standard size; oversizes in
    the same unit. Formula: common practice.

    Worked by hand: 0.0039 of wear and 0.004 of honing need 0.0079: twenty over.

    >>> steps = [Decimal(s) for s in ("0.020", "0.030", "0.040", "0.060")]
    >>> next_oversize(Amount(value=Decimal("0.0079"), unit="in", u=0.0002), steps).step
    Decimal('0.020')
    >>> next_oversize(Amount(value=Decimal("0.0199"), unit="in", u=0.0002), steps)
    Step(step=Decimal('0.030'), perhaps=Decimal('0.020'))
    """
    return _smallest(oversizes, needed)


def next_undersize(needed: Amount, undersizes: Sequence[Decimal]) -> Step:
    """The smallest undersize at which the worst journal surely cleans up.

    needed: standard size - smallest reading + twice the depth of the deepest groove; undersizes in the same unit,
    positive. Formula: common practice.

    Worked by hand: a journal 0.0085 under its standard needs ten under; one 0.0105 under needs twenty.

    >>> steps = [Decimal(s) for s in ("0.010", "0.020", "0.030")]
    >>> [next_undersize(Amount(value=Decimal(v), unit="in"), steps).step for v in ("0.0085", "0.0105", "0.031")]
    [Decimal('0.010'), Decimal('0.020'), None]
    """
    return _smallest(undersizes, needed)


def size_class(short: Decimal, undersizes: Sequence[Decimal], within: Decimal) -> Decimal | None:
    """The undersize that a shaft was ground to before: the step nearest to `short` (standard less measured), 0 for
    standard; None if none is nearer than `within`.

    Worked by hand: 0.0104 short is ten under, 0.0055 is neither standard nor ten under to within 0.0015.

    >>> steps = [Decimal("0.010"), Decimal("0.020")]
    >>> size_class(Decimal("0.0104"), steps, Decimal("0.0015"))
    Decimal('0.010')
    >>> size_class(Decimal("0.0055"), steps, Decimal("0.0015")) is None
    True
    """
    nearest = min((Decimal(0), *undersizes), key=lambda step: abs(short - step))
    return nearest if abs(short - nearest) <= within else None


def step_before(gap: Decimal, steps: Sequence[Decimal], within: Decimal) -> Decimal:
    """The step that worn parts were machined to: the largest that their least wear has reached to within `within`, 0
    for standard. gap: least worn bore less standard size, or standard size less least worn journal.

    Wear only ever opens the gap, so a step that has not been reached can't have been the size. Common practice.

    Worked by hand: bores that are 0.0238 over at their least worn were bored 0.020 over and wore 0.0038; 0.0060 over
    is wear from standard.

    >>> steps = [Decimal(s) for s in ("0.020", "0.030")]
    >>> [step_before(Decimal(gap), steps, Decimal("0.0015")) for gap in ("0.0238", "0.0060", "0.0290")]
    [Decimal('0.020'), Decimal('0'), Decimal('0.030')]
    """
    return max((step for step in steps if step <= gap + within), default=Decimal(0))


def displacement(bore: Decimal, stroke: Decimal, cylinders: int) -> Decimal:
    """Swept volume of the whole engine, pi/4 bore^2 stroke cylinders, in the cube of the unit of bore and stroke.

    Worked by hand: 4.000 x 4.000 x 3.48 x 0.785398 x 8 = 349.85 cubic inches.

    >>> round(displacement(Decimal("4.000"), Decimal("3.48"), 8), 1)
    Decimal('349.8')

    Raises ValueError for a size that is not positive.
    """
    if bore <= 0 or stroke <= 0 or cylinders <= 0:
        raise ValueError("bore, stroke and cylinders must be positive")
    return _QUARTER_PI * bore * bore * stroke * cylinders


def ratio_after(ratio: Decimal, bore: Decimal, stroke: Decimal, *, cut: Decimal, new_bore: Decimal) -> Decimal:
    """Compression ratio after taking `cut` off the head or deck and boring to `new_bore`, all in one unit.

    Swept volume V and clearance volume C = V / (ratio - 1). The cut takes at most its depth times the bore's area from
    C (less if the chamber is smaller than the bore at the joint): an upper bound. Boring leaves C as it is.
    Geometry. A negative cut is a piston that stops short of its mates: a bent rod.

    Worked by hand: 9.5 to 1 with 3.48 in of stroke: C is as high as 3.48/8.5 = 0.4094 in of bore. Less 0.010 in:
    1 + 3.48/0.3994 = 9.71.

    >>> bore = Decimal("4.000")
    >>> round(ratio_after(Decimal("9.5"), bore, Decimal("3.48"), cut=Decimal("0.010"), new_bore=bore), 2)
    Decimal('9.71')

    Raises ValueError if the ratio is not above one or the cut takes the whole clearance volume.
    """
    if ratio <= 1:
        raise ValueError("a compression ratio is above one")
    height = stroke / (ratio - 1) - cut
    if height <= 0:
        raise ValueError("the cut is deeper than the clearance volume")
    growth = (new_bore / bore) ** 2
    return 1 + growth * stroke / height
