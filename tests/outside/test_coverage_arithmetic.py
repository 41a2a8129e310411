"""What a look at some of several alike parts leaves open, by the numbers worked out for the trade."""

from __future__ import annotations

import numpy as np
import pytest

from benchvoice.judge import sampling


def test_k101_k102_what_a_look_misses() -> None:
    """K-101: hypergeometric argument (stats.stackexchange.com/q/502243). K-102, computed: two bad of eight, four
    opened.
    """
    assert [round(sampling.chance_missed(*look, 1), 2) for look in ((5, 2), (8, 4), (16, 4))] == [0.60, 0.50, 0.75]
    assert sampling.chance_missed(8, 4, 2) == pytest.approx(0.214, abs=0.0005)


@pytest.mark.parametrize(("opened", "bound"), [(5, 0.45), (8, 0.31), (20, 0.139)])
def test_k103_none_bad_is_not_a_rate_of_zero(opened: int, bound: float) -> None:
    """K-103: 1 - 0.05^(1/n) (a note on the rule of three, ASQ Quality Progress, November 2007)."""
    assert sampling.upper_bound(opened) == pytest.approx(bound, abs=0.003)


def test_k109_what_is_left_after_a_clean_look() -> None:
    """K-109, computed: 0.30 that exactly one of five is bad, two opened clean: q (N-k)/N / (1 - q k/N) = 0.2045 for the
    rest, 0.068 for each of the three.
    """
    prior = np.array([0.7, 0.3, 0.0, 0.0, 0.0, 0.0])
    rest = sampling.rest_bad(5, 2, 0, prior)
    assert rest[1] == pytest.approx(0.30 * 3 / 5 / (1 - 0.30 * 2 / 5))
    assert rest[1] == pytest.approx(0.2045, abs=0.00005)
    assert rest[1] / 3 == pytest.approx(0.068, abs=0.0005)
