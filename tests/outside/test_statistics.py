"""The odd one out, against published examples and tables."""

from statistics import median

import pytest
from scipy import stats

from benchvoice.measure.outliers import dixon, grubbs, grubbs_critical, modified_z, odd_ones

# NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1 (Tietjen and Moore 1972): eight mass-spectrometer values.
NIST_EIGHT = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
# Dean and Dixon's ten values, as in the common textbook example (K-93).
DIXON_TEN = [0.189, 0.167, 0.187, 0.183, 0.186, 0.182, 0.181, 0.184, 0.181, 0.177]


def test_grubbs_on_the_handbook_s_example():
    """NIST e-Handbook 1.3.5.17.1: G = 2.46876, critical value of the one-sided test at 5 % 2.032."""
    assert grubbs(NIST_EIGHT) == pytest.approx(2.46876, abs=5e-6)
    assert grubbs_critical(8, two_sided=False) == pytest.approx(2.0317, abs=5e-5)


@pytest.mark.parametrize(("n", "published"), [(3, 1.15), (4, 1.48), (5, 1.71), (6, 1.89), (7, 2.02), (8, 2.13)])
def test_grubbs_critical_values(n, published):
    """K-95: table after ASTM E178 (public copy), two-sided 5 %, two decimals (truncated or rounded there)."""
    assert grubbs_critical(n) == pytest.approx(published, abs=0.01)


def test_grubbs_critical_values_recomputed_from_students_t():
    """K-95, K-96: recomputed with scipy's distribution object, which the program does not use."""
    for n, expected in ((4, 1.481), (6, 1.887), (8, 2.127), (10, 2.290)):
        t = stats.t.ppf(1 - 0.05 / (2 * n), n - 2)
        assert (n - 1) / n**0.5 * (t * t / (n - 2 + t * t)) ** 0.5 == pytest.approx(expected, abs=5e-4)
        assert grubbs_critical(n) == pytest.approx(expected, abs=5e-4)


def test_dixon_on_the_textbook_example():
    """K-93: Q = 0.455 beats 0.412 (10 %) but not 0.466 (5 %); values as in the LibreTexts appendix on Dixon's test."""
    found = odd_ones(DIXON_TEN)
    assert dixon(DIXON_TEN) == pytest.approx(0.455, abs=0.0005)
    assert found.dixon == (pytest.approx(0.4545, abs=1e-4), 0.466)
    assert not found.dixon[0] > found.dixon[1]


def test_dixon_critical_values_by_simulation():
    """K-94: two-tailed values (N=4 0.829 at 5 %), not the one-tailed 0.765; checked against 40,000 normal samples."""
    import numpy as np

    random = np.random.default_rng(20)
    for n, critical in ((4, 0.829), (6, 0.625), (8, 0.526)):
        samples = np.sort(random.standard_normal((40_000, n)), axis=1)
        whole = samples[:, -1] - samples[:, 0]
        q = np.maximum(samples[:, 1] - samples[:, 0], samples[:, -1] - samples[:, -2]) / whole
        share = float((q > critical).mean())
        # Testing both ends doubles the 2.5 % of each; a one-tailed table would give 10 %.
        assert share == pytest.approx(0.05, abs=0.006)


def test_modified_z_against_scipy_s_mad():
    """Iglewicz and Hoaglin (1993): 0.6745 (x - median)/MAD, beyond 3.5 flagged. K-97: the last stands at +30."""
    mad = stats.median_abs_deviation(NIST_EIGHT)
    expected = 0.6745 * (NIST_EIGHT[7] - median(NIST_EIGHT)) / mad
    assert modified_z(NIST_EIGHT)[7] == pytest.approx(expected)
    assert modified_z(NIST_EIGHT)[7] == pytest.approx(30, abs=1)
    assert odd_ones(NIST_EIGHT).flagged == (7,)


def test_k98_two_bad_neighbours_hide_one_another():
    """K-98, computed: Q = 0.031, G = 1.65, both silent; modified z -16 for both."""
    found = odd_ones([160, 158, 100, 98, 162, 155, 160, 159])
    assert found.flagged == (2, 3)
    assert found.dixon[0] == pytest.approx(0.031, abs=0.0005)
    assert found.grubbs[0] == pytest.approx(1.65, abs=0.005)
    assert found.dixon[0] < found.dixon[1]
    assert found.grubbs[0] < found.grubbs[1]
    assert [round(found.scores[index]) for index in (2, 3)] == [-16, -16]


def test_k99_passes_the_ratio_rule_and_is_still_the_odd_one():
    """K-99, computed: 140 of 170 is 82 %; Q = 0.83 just over its critical value, z = -7."""
    values = [170, 168, 165, 140]
    found = odd_ones(values)
    assert min(values) / max(values) == pytest.approx(0.82, abs=0.005)
    assert found.flagged == (3,)
    assert found.dixon[0] == pytest.approx(0.83, abs=0.005)
    assert found.scores[3] == pytest.approx(-7, abs=0.2)
    assert found.agreed


def test_k100_three_values_are_too_few_for_grubbs():
    """K-100: for n = 3 G can't exceed (n-1)/sqrt(n) = 1.1547, and its critical value is 1.1543."""
    found = odd_ones([150, 149, 105])
    assert found.grubbs[0] <= 2 / 3**0.5 + 1e-12
    assert found.grubbs[1] == pytest.approx(1.1543, abs=5e-5)
