"""Within, beyond, or can't tell: a limit against a value that is only known so well.

Decision rule, after JCGM 106:2012 (8.3.2, guarded acceptance and guarded rejection with a guard band of w = U) and the
simple rule of ISO 14253-1: within only if the whole interval value +/- U lies within the limits, beyond only if all of
it lies outside, otherwise this gauge can't decide it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from statistics import NormalDist

from benchvoice.domain.figures import Limit, Verdict
from benchvoice.measure import units
from benchvoice.measure.uncertainty import Amount

_STANDARD_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """verdict, the probability that the true value conforms, and the guard band (in the amount's unit)."""

    verdict: Verdict
    probability: float
    guard: float


def _below(bound: float, amount: Amount) -> float:
    """The probability that the true value is at most `bound` (bound in the amount's unit)."""
    distance = bound - float(amount.value)
    if amount.u <= 0:
        return 1.0 if distance >= 0 else 0.0
    if math.isinf(amount.dof) or amount.dof > 1000:
        return _STANDARD_NORMAL.cdf(distance / amount.u)
    from scipy.special import stdtr

    return float(stdtr(amount.dof, distance / amount.u))


def limits_in(limit: Limit, unit: str) -> tuple[Decimal | None, Decimal | None]:
    """Low and high end of a limit in another unit.

    >>> from benchvoice.domain.figures import Basis, Mark
    >>> limits_in(Limit(high=Decimal("0.002"), unit="in", basis=Basis(mark=Mark.SHEET)), "mm")
    (None, Decimal('0.0508'))
    """
    low, high = (None if end is None else units.convert(end, limit.unit, unit) for end in (limit.low, limit.high))
    return low, high


def probability(amount: Amount, limit: Limit) -> float:
    """The probability that the true value lies within the limit: JCGM 106:2012, 7.2 and 7.4.

    Worked by hand: 0.0019 in with u = 0.00025 against at most 0.0020: Phi(0.4) = 0.655.

    >>> from benchvoice.domain.figures import Basis, Mark
    >>> limit = Limit(high=Decimal("0.0020"), unit="in", basis=Basis(mark=Mark.SHEET))
    >>> round(probability(Amount(value=Decimal("0.0019"), unit="in", u=0.00025), limit), 3)
    0.655
    """
    low, high = limits_in(limit, amount.unit)
    over = 1.0 if high is None else _below(float(high), amount)
    under = 0.0 if low is None else _below(float(low), amount)
    if amount.u <= 0 and low is not None and amount.value == low:
        under = 0.0
    return max(0.0, over - under)


def judge(amount: Amount, limit: Limit) -> Judged:
    """The verdict by the decision rule above.

    Worked by hand: out of round 0.0019, limit 0.0020, U = 0.0005: the true value may be 0.0014 to 0.0024.

    >>> from benchvoice.domain.figures import Basis, Mark
    >>> limit = Limit(high=Decimal("0.0020"), unit="in", basis=Basis(mark=Mark.SHEET))
    >>> judge(Amount(value=Decimal("0.0019"), unit="in", u=0.00025), limit).verdict.value
    "can't tell"
    >>> judge(Amount(value=Decimal("0.0026"), unit="in", u=0.00025), limit).verdict.value
    'beyond'

    Raises BenchvoiceError if the limit's unit is of another kind.
    """
    guard = amount.expanded
    low, high = limits_in(limit, amount.unit)
    value = amount.value
    margin = Decimal(repr(guard))
    beyond = (high is not None and value - margin > high) or (low is not None and value + margin < low)
    within = (high is None or value + margin <= high) and (low is None or value - margin >= low)
    if beyond:
        verdict = Verdict.BEYOND
    elif low is None and high is None:
        verdict = Verdict.NO_LIMIT
    else:
        verdict = Verdict.WITHIN if within else Verdict.CANT_TELL
    return Judged(verdict=verdict, probability=probability(amount, limit), guard=guard)
