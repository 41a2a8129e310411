"""How well a value is known: resolution, gauge and repeats, carried through every computation.

After JCGM 100:2008 (GUM): a reading in steps of d is a rectangular distribution of half-width d/2, standard
uncertainty d/sqrt(12) (F.2.2.1); repeats give s/sqrt(n) with n - 1 degrees of freedom (4.2.3); parts are combined by
the law of propagation (5.1.2) and their degrees of freedom by the Welch-Satterthwaite formula (G.4.1). Readings count
as independent; two taken with one gauge share its zero error, so their difference is known a little better than stated.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from benchvoice.domain.figures import Basis
from benchvoice.measure import units

COVERAGE = 0.9545
"""Of expanded uncertainties: k = 2 for a normal distribution (GUM 6.2.1, G.6.6)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A value in `unit` with its standard uncertainty `u` (same unit) and degrees of freedom.

    digits: decimal places worth showing. inputs: ids of the entries it stands on. assumed: numbers taken from
    elsewhere. hedged: one of its inputs was said with reserve.
    """

    value: Decimal
    unit: str
    u: float = 0.0
    dof: float = math.inf
    digits: int = 4
    inputs: tuple[str, ...] = ()
    assumed: tuple[Basis, ...] = ()
    hedged: bool = False

    @property
    def expanded(self) -> float:
        """U, about 95 %: k times u, k from Student's t when few repeats stand behind it.

        >>> Amount(value=Decimal("3.542"), unit="in", u=0.0003).expanded
        0.0006
        """
        return coverage_factor(self.dof) * self.u

    def to(self, unit: str) -> Amount:
        """The same amount in another unit.

        >>> Amount(value=Decimal("0.001"), unit="in", u=0.0001).to("mm").value
        Decimal('0.0254')
        """
        if unit == self.unit:
            return self
        digits = units.digits_of(units.step_after(Decimal(1).scaleb(-self.digits), self.unit, unit))
        return replace(
            self,
            value=units.convert(self.value, self.unit, unit),
            unit=unit,
            u=self.u * float(units.factor(self.unit, unit)),
            digits=digits,
        )


@lru_cache(maxsize=512)
def coverage_factor(dof: float) -> float:
    """k for 95.45 %: 2 for many degrees of freedom, larger for few (GUM table G.2).

    >>> coverage_factor(math.inf)
    2.0
    >>> round(coverage_factor(2), 2)
    4.53
    """
    if math.isinf(dof) or dof > 1000:
        return 2.0
    from scipy.special import stdtrit

    return float(stdtrit(dof, 0.5 + COVERAGE / 2))


def of_resolution(step: float) -> float:
    """Standard uncertainty of a reading in steps of `step`: step/sqrt(12), about 0.29 of a step (GUM F.2.2.1).

    >>> round(of_resolution(0.001), 6)
    0.000289
    """
    return step / math.sqrt(12)


def combined(value: Decimal, unit: str, terms: Iterable[tuple[float, Amount]], digits: int | None = None) -> Amount:
    """A computed value whose derivative by each amount is given: u = sqrt(sum (c u)^2).

    `digits` None: as many as the first significant digit of u. Amounts may be in any unit, the derivatives are by
    the amount in its own unit.

    Worked by hand: a sum of two readings with u = 3 and 4 thou has u = 5 thou.

    >>> a = Amount(value=Decimal(1), unit="in", u=0.003)
    >>> b = Amount(value=Decimal(2), unit="in", u=0.004)
    >>> round(combined(Decimal(3), "in", [(1.0, a), (1.0, b)]).u, 6)
    0.005
    """
    listed = list(terms)
    parts = [(abs(c) * amount.u, amount.dof) for c, amount in listed]
    u = math.sqrt(math.fsum(part * part for part, _ in parts))
    spread = math.fsum(part**4 / dof for part, dof in parts if part and not math.isinf(dof))
    if digits is None:
        digits = first_digit(u)
    return Amount(
        value=value,
        unit=unit,
        u=u,
        dof=u**4 / spread if spread else math.inf,
        digits=digits,
        inputs=tuple(dict.fromkeys(name for _, amount in listed for name in amount.inputs)),
        assumed=tuple(dict.fromkeys(basis for _, amount in listed for basis in amount.assumed)),
        hedged=any(amount.hedged for _, amount in listed),
    )


def first_digit(u: float) -> int:
    """Decimal places that reach the first significant digit of an uncertainty, 6 if there is none.

    >>> first_digit(0.00029), first_digit(3.1)
    (4, 0)
    """
    return 6 if u <= 0 else max(0, -math.floor(math.log10(u)))


def difference(a: Amount, b: Amount) -> Amount:
    """a - b in the unit of a.

    Worked by hand: a bore of 4.0046 less 4.0012, each with u = 0.0001: 0.0034, u = 0.000141.

    >>> top = Amount(value=Decimal("4.0046"), unit="in", u=0.0001)
    >>> low = Amount(value=Decimal("4.0012"), unit="in", u=0.0001)
    >>> difference(top, low).value, round(difference(top, low).u, 6)
    (Decimal('0.0034'), 0.000141)
    """
    b = b.to(a.unit)
    return combined(a.value - b.value, a.unit, [(1.0, a), (-1.0, b)], digits=max(a.digits, b.digits))


def scaled(a: Amount, by: Decimal, unit: str | None = None) -> Amount:
    """a times an exact number, in another unit if `unit` is given.

    >>> gap = Amount(value=Decimal("0.0126"), unit="in", u=0.0003)
    >>> round(scaled(gap, 1 / Decimal(math.pi)).value, 4)
    Decimal('0.0040')
    """
    return combined(a.value * by, unit or a.unit, [(float(by), a)])


def repeated(readings: Sequence[Amount]) -> Amount:
    """The mean of repeat readings in the unit of the first: scatter s/sqrt(n), and never better than one gauge's own
    error, which repeating does not average out.

    Worked by hand: 2.4985, 2.4987, 2.4986 have mean 2.4986 and s = 0.0001, so s/sqrt(3) = 0.0000577.

    >>> out = repeated([Amount(value=Decimal(v), unit="in") for v in ("2.4985", "2.4987", "2.4986")])
    >>> out.value, round(out.u, 7), out.dof
    (Decimal('2.4986'), 5.77e-05, 2.0)

    Raises ValueError without readings.
    """
    if not readings:
        raise ValueError("no readings")
    first = readings[0]
    if len(readings) == 1:
        return first
    same = [reading.to(first.unit) for reading in readings]
    n = len(same)
    mean = sum((reading.value for reading in same), Decimal(0)) / n
    scatter = math.sqrt(math.fsum(float(reading.value - mean) ** 2 for reading in same) / (n - 1) / n)
    gauge = max(reading.u for reading in same)
    u = math.hypot(scatter, gauge)
    dof = (n - 1) * (u / scatter) ** 4 if scatter else math.inf
    merged = combined(mean, first.unit, [(1.0, reading) for reading in same], digits=max(r.digits for r in same))
    return replace(merged, u=u, dof=dof)
