"""Agreement beyond chance, against published examples."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchvoice.judge import agreement
from benchvoice.judge.agreement import Scale, alpha, fleiss, kappa

# K-107: reference data of Krippendorff's alpha, 4 observers and 12 units, by unit (from memory).
FOUR_OBSERVERS = [
    [1, 1, 1], [2, 2, 3, 2], [3, 3, 3, 3], [3, 3, 3, 3], [2, 2, 2, 2], [1, 2, 3, 4], [4, 4, 4, 4], [1, 1, 2, 1],
    [2, 2, 2, 2], [5, 5, 5], [1, 1], [3],
]  # fmt: skip
# K-105: the demonstration data of Fleiss' kappa, 10 items and 14 raters, as in encyclopedias (from memory).
TEN_ITEMS = [
    [0, 0, 0, 0, 14], [0, 2, 6, 4, 2], [0, 0, 3, 5, 6], [0, 3, 9, 2, 0], [2, 2, 8, 1, 1], [7, 7, 0, 0, 0],
    [3, 2, 6, 3, 0], [2, 5, 3, 2, 2], [6, 5, 2, 1, 0], [0, 2, 2, 3, 7],
]  # fmt: skip


def test_k104_two_graders() -> None:
    """K-104: the usual 20/5/10/15 example (text copy of an encyclopedia)."""
    assert kappa([[20, 5], [10, 15]]) == pytest.approx(0.40, abs=1e-12)


def test_k105_fourteen_raters() -> None:
    assert fleiss(TEN_ITEMS) == pytest.approx(0.210, abs=0.0005)


def test_k106_ranks() -> None:
    """K-106, computed: squared distances 0.781, plain 0.617."""
    table = [[5, 2, 0], [1, 6, 1], [0, 1, 4]]
    assert kappa(table, weighted=True) == pytest.approx(0.781, abs=0.0005)
    assert kappa(table) == pytest.approx(0.617, abs=0.0005)


@pytest.mark.parametrize(
    ("scale", "published"),
    [(Scale.NOMINAL, 0.743), (Scale.ORDINAL, 0.815), (Scale.INTERVAL, 0.849), (Scale.RATIO, 0.797)],
)
def test_k107_gaps_and_scales(scale: Scale, published: float) -> None:
    assert alpha(FOUR_OBSERVERS, scale) == pytest.approx(published, abs=0.0005)


@given(st.lists(st.lists(st.integers(0, 20), min_size=3, max_size=3), min_size=3, max_size=3))
def test_never_above_full_agreement_and_two_grades_need_no_weights(table: list[list[int]]) -> None:
    if not any(map(any, table)):
        return
    for found in (kappa(table), kappa(table, weighted=True)):
        assert found is None or found <= 1
    small = [row[:2] for row in table[:2]]
    if any(map(any, small)):
        assert kappa(small) == kappa(small, weighted=True)


@given(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5)), min_size=1, max_size=30))
def test_two_graders_with_distances_are_nearly_alike_by_both_measures(pairs: list[tuple[int, int]]) -> None:
    """Alpha on an interval scale is a weighted kappa with pooled margins, corrected for few values; both call full
    agreement 1 and give nothing for one grade.
    """
    found = alpha(pairs, Scale.INTERVAL)
    if all(one == other for one, other in pairs):
        assert found == (None if len(set(pairs)) == 1 else 1)
    else:
        assert found is not None
        assert found < 1


def test_nothing_to_compare() -> None:
    assert kappa([[7, 0], [0, 0]]) is None
    assert fleiss([[3, 0], [3, 0]]) is None
    assert alpha([[1], [2]]) is None
    for wrong in ([[1, 2]], [[0, 0], [0, 0]], [[-1, 2], [2, 2]]):
        with pytest.raises(ValueError, match="square table"):
            kappa(wrong)
    with pytest.raises(ValueError, match="same number"):
        fleiss([[2, 0], [1, 0]])
    with pytest.raises(ValueError, match="positive"):
        alpha([[0, 1]], Scale.RATIO)


def test_worked_examples() -> None:
    assert doctest.testmod(agreement).failed == 0
