"""Value of information against a textbook decision tree."""

from __future__ import annotations

import numpy as np
import pytest

from benchvoice.judge.deciding import chance_seen, gain_of_knowing, value_of_sample

# The oil wildcatter, H. Raiffa, Decision Analysis, 1968 (figures as reprinted in the user's guide of a decision-tree
# procedure, SAS/OR, and in Shenoy 1992; in thousands of dollars): a hole is dry, wet or soaking with 0.5, 0.3, 0.2;
# drilling costs 70, a wet hole brings 120, a soaking one 270; soundings show no, open or closed structure.
PRIOR = np.array([0.5, 0.3, 0.2])
PAYOFFS = np.array([[-70.0, 50.0, 200.0], [0.0, 0.0, 0.0]])
SOUNDINGS = np.array([[0.6, 0.3, 0.1], [0.3, 0.4, 0.4], [0.1, 0.3, 0.5]])


def test_drilling_is_worth_twenty() -> None:
    assert (PAYOFFS @ PRIOR).max() == pytest.approx(20.0)


def test_perfect_information_is_worth_thirty_five() -> None:
    assert value_of_sample(PRIOR, np.eye(3), PAYOFFS) == pytest.approx(35.0)


def test_soundings_are_worth_twelve_and_a_half() -> None:
    """22.5 with soundings that cost 10, against 20 without."""
    assert value_of_sample(PRIOR, SOUNDINGS, PAYOFFS) == pytest.approx(12.5)


def test_naming_the_cause_is_the_same_reckoning() -> None:
    """Two causes even, an observation that one shows nine times in ten and the other once: right 9 times in 10."""
    assert gain_of_knowing(np.array([0.5, 0.5]), np.array([0.9, 0.1])) == pytest.approx(0.4)
    assert gain_of_knowing(np.array([0.7, 0.3]), np.array([0.4, 0.4])) == pytest.approx(0.0)


def test_a_likelihood_ratio_raises_the_odds_of_the_plain_rate() -> None:
    assert chance_seen(1.0, 1.0, 0.2) == pytest.approx(0.2)
    assert chance_seen(4.0, 1.0, 0.2) == pytest.approx(0.5)
