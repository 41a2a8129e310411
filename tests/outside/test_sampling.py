"""Sampling without replacement, acceptance sampling and the rule of three, against published values."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from benchvoice.judge import sampling

# Limiting quality, percent defective that a plan with no defect allowed still accepts 10 times in 100, single sampling:
# MIL-STD-105D (1963), table VI-A; the same plans stand in ISO 2859-1. Sample size -> percent. Figures from memory.
LIMITING_QUALITY = {2: 68, 3: 54, 5: 37, 8: 25, 13: 16, 20: 11, 32: 6.9, 50: 4.5, 80: 2.8}


@pytest.mark.parametrize(("size", "percent"), LIMITING_QUALITY.items())
def test_operating_characteristic_of_plans_with_acceptance_number_zero(size: int, percent: float) -> None:
    """A large lot of that quality is accepted about 10 times in 100, to the table's two digits."""
    lot = 1_000_000
    accepted = sampling.chance_missed(lot, size, round(lot * percent / 100))
    assert accepted == pytest.approx(0.10, abs=0.006)
    assert 100 * sampling.upper_bound(size, 0.90) == pytest.approx(percent, rel=0.03)


# Rule of three: Hanley and Lippman-Hand, JAMA 249 (1983) 1743: no event in n trials, 95 percent bound 3/n, good from
# about 30 trials on (from memory). The exact bound is 1 - 0.05^(1/n).
@pytest.mark.parametrize("trials", [30, 50, 100, 1000])
def test_rule_of_three_meets_the_exact_bound(trials: int) -> None:
    exact, rule = sampling.upper_bound(trials), sampling.rule_of_three(trials)
    assert rule >= exact
    assert rule == pytest.approx(exact, rel=0.06)


# Exact bounds as printed in a note on the rule of three (ASQ Quality Progress, November 2007, read in excerpts).
@pytest.mark.parametrize(("trials", "bound"), [(5, 0.45), (8, 0.31), (20, 0.139)])
def test_exact_bound_for_few(trials: int, bound: float) -> None:
    assert sampling.upper_bound(trials) == pytest.approx(bound, abs=0.005)


# One bad among N alike, k opened: missed in (N - k)/N (hypergeometric argument, stats.stackexchange.com/q/502243).
@pytest.mark.parametrize(("total", "opened", "missed"), [(5, 2, 0.60), (8, 4, 0.50), (16, 4, 0.75)])
def test_one_bad_among_alike(total: int, opened: int, missed: float) -> None:
    assert sampling.chance_missed(total, opened, 1) == pytest.approx(missed)


@given(st.integers(1, 40).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n), st.integers(0, n))))
def test_chance_missed_is_the_count_of_samples(sizes: tuple[int, int, int]) -> None:
    """Counting the samples that hold no bad one gives the same number."""
    total, looked, bad = sizes
    expected = math.comb(total - bad, looked) / math.comb(total, looked)
    assert sampling.chance_missed(total, looked, bad) == pytest.approx(expected, abs=1e-12)


@given(
    st.integers(1, 24).flatmap(
        lambda n: st.integers(0, n).flatmap(lambda k: st.tuples(st.just(n), st.just(k), st.integers(0, k)))
    ),
    st.floats(0.02, 0.9),
    st.floats(0.3, 30),
)
def test_the_rest_is_beta_binomial(sizes: tuple[int, int, int], mean: float, weight: float) -> None:
    """A beta-binomial prior is conjugate to drawing without replacement: the rest is beta-binomial with the counts
    added (Johnson, Kotz and Kemp, Univariate Discrete Distributions; from memory).
    """
    total, looked, bad = sizes
    got = sampling.rest_bad(total, looked, bad, sampling.prior_bad(total, mean, weight))
    a, b = mean * weight + bad, (1 - mean) * weight + looked - bad
    rest = total - looked
    assert got == pytest.approx(stats.betabinom.pmf(np.arange(rest + 1), rest, a, b), abs=1e-9)


# Laplace's rule of succession, 1774: uniform prior, n successes in n trials, next one succeeds with (n + 1)/(n + 2).
@pytest.mark.parametrize("seen", [1, 4, 10, 98])
def test_rule_of_succession(seen: int) -> None:
    uniform = sampling.prior_bad(seen + 1, 0.5, 2.0)
    assert uniform == pytest.approx(np.full(seen + 2, 1 / (seen + 2)))
    assert sampling.rest_bad(seen + 1, seen, 0, uniform)[0] == pytest.approx((seen + 1) / (seen + 2))


def test_impossible_looks_are_refused() -> None:
    with pytest.raises(ValueError, match="2 bad of 1"):
        sampling.rest_bad(3, 1, 2, sampling.prior_bad(3, 0.2, 2))
