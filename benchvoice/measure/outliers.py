"""The odd one out among few: which cylinder is not like the others.

Modified z-score by the median (Iglewicz and Hoaglin 1993) first, because two bad cylinders hide each other from the
mean-based tests; then Grubbs' test (NIST/SEMATECH e-Handbook 1.3.5.17.1) and Dixon's ratio for a single suspect. With
eight or fewer values all of them miss a good deal and none proves a fault: a flag says "look here first".
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import fmean, median, stdev

NORMAL_MAD = 0.6745
"""Median absolute deviation of a normal distribution, in standard deviations."""

DIXON_CRITICAL: dict[int, tuple[float, float, float]] = {
    3: (0.941, 0.970, 0.994),
    4: (0.765, 0.829, 0.926),
    5: (0.642, 0.710, 0.821),
    6: (0.560, 0.625, 0.740),
    7: (0.507, 0.568, 0.680),
    8: (0.468, 0.526, 0.634),
    9: (0.437, 0.493, 0.598),
    10: (0.412, 0.466, 0.568),
}
"""Critical Q, two-sided, at 10, 5 and 1 %: Rorabacher, Analytical Chemistry 63 (1991) 139, table 2 (from memory; the
values for 4, 6, 8 and 10 were compared with a published copy)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Odd:
    """What the tests say of one set. scores: modified z of each value; flagged: indices beyond the threshold.

    grubbs and dixon are the statistics with their two-sided 5 % critical values, None where they can't be used.
    """

    scores: tuple[float, ...]
    flagged: tuple[int, ...]
    grubbs: tuple[float, float] | None
    dixon: tuple[float, float] | None

    @property
    def agreed(self) -> bool:
        """One value is flagged and Grubbs' or Dixon's test speaks against it too."""
        return len(self.flagged) == 1 and any(
            test is not None and test[0] > test[1] for test in (self.grubbs, self.dixon)
        )


def modified_z(values: Sequence[float], floor: float = 0.0) -> tuple[float, ...]:
    """0.6745 (x - median) / MAD for each value. `floor`: what one reading's standard uncertainty is; the scale is never
    taken smaller, so that a coarse gauge (half the readings alike, MAD 0) makes nobody odd.

    Worked by hand: 170 168 165 140: median 166.5, deviations 3.5 1.5 1.5 26.5, MAD 2.5, last score -7.15.

    >>> [round(z, 2) for z in modified_z([170, 168, 165, 140])]
    [0.94, 0.4, -0.4, -7.15]
    >>> modified_z([160, 160, 160, 155], floor=2.9)[3] > -3.5
    True

    All zero if nothing scatters and there is no floor. Raises ValueError without values.
    """
    if not values:
        raise ValueError("no values")
    middle = median(values)
    scale = max(median(abs(value - middle) for value in values) / NORMAL_MAD, floor)
    return tuple((value - middle) / scale if scale else 0.0 for value in values)


def grubbs(values: Sequence[float]) -> float | None:
    """Largest distance from the mean in sample standard deviations; None for fewer than three or no scatter.

    Worked by hand: 1 2 3 8: mean 3.5, s = sqrt(29/3) = 3.109, (8 - 3.5)/3.109 = 1.447.

    >>> round(grubbs([1, 2, 3, 8]), 3)
    1.447
    """
    if len(values) < 3:
        return None
    scatter = stdev(values)
    if not scatter:
        return None
    mean = fmean(values)
    return max(abs(value - mean) for value in values) / scatter


@lru_cache(maxsize=128)
def grubbs_critical(n: int, alpha: float = 0.05, *, two_sided: bool = True) -> float:
    """Critical G from Student's t: (n-1)/sqrt(n) sqrt(t^2 / (n-2+t^2)), t at alpha/(2n) (alpha/n one-sided) with n-2
    degrees of freedom (NIST e-Handbook 1.3.5.17.1).

    >>> round(grubbs_critical(8), 3), round(grubbs_critical(8, two_sided=False), 3)
    (2.127, 2.032)

    Raises ValueError for fewer than three.
    """
    if n < 3:
        raise ValueError("Grubbs' test needs three values")
    from scipy.special import stdtrit

    t = float(stdtrit(n - 2, 1 - alpha / (2 * n if two_sided else n)))
    return (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))


def dixon(values: Sequence[float]) -> float | None:
    """Q: the gap beside the more isolated end, as a share of the range; None for fewer than three or no range.

    Worked by hand: 140 165 168 170: 25 of 30, 0.833.

    >>> round(dixon([170, 168, 165, 140]), 3)
    0.833
    """
    if len(values) < 3:
        return None
    ordered = sorted(values)
    whole = ordered[-1] - ordered[0]
    if not whole:
        return None
    return max(ordered[1] - ordered[0], ordered[-1] - ordered[-2]) / whole


def odd_ones(values: Sequence[float], *, floor: float = 0.0, threshold: float = 3.5) -> Odd:
    """All tests on one set of values.

    Two low neighbours among eight hide from the mean, not from the median:

    >>> out = odd_ones([160, 158, 100, 98, 162, 155, 160, 159])
    >>> out.flagged, out.grubbs[0] > out.grubbs[1], out.dixon[0] > out.dixon[1]
    ((2, 3), False, False)
    """
    scores = modified_z(values, floor)
    flagged = tuple(index for index, score in enumerate(scores) if abs(score) > threshold)
    n = len(values)
    g, q = grubbs(values), dixon(values)
    return Odd(
        scores=scores,
        flagged=flagged,
        grubbs=None if g is None else (g, grubbs_critical(n)),
        dixon=None if q is None or n not in DIXON_CRITICAL else (q, DIXON_CRITICAL[n][1]),
    )
