"""Uncertainty and conformity against the published guides.

The guides' examples were written down from memory and recomputed; where the text says so, its number was not re-read.
"""

import math
from decimal import Decimal

import pytest
from uncertainties import ufloat, umath

from benchvoice.domain.figures import Basis, Limit, Mark, Verdict
from benchvoice.measure import clearance, sealing, uncertainty
from benchvoice.measure.conformity import judge, probability
from benchvoice.measure.uncertainty import Amount


def at(value, u, unit="in"):
    return Amount(value=Decimal(str(value)), u=u, unit=unit)


def limit(low=None, high=None, unit="in"):
    ends = (None if end is None else Decimal(str(end)) for end in (low, high))
    low, high = ends
    return Limit(low=low, high=high, unit=unit, basis=Basis(mark=Mark.SHEET, source="test"))


def test_resolution_is_a_rectangular_distribution():
    """JCGM 100:2008 (GUM), F.2.2.1: for a resolution dx, u^2 = dx^2/12, u = 0.29 dx."""
    assert uncertainty.of_resolution(1.0) == pytest.approx(0.29, abs=0.005)
    assert uncertainty.of_resolution(1.0) ** 2 == pytest.approx(1 / 12)


@pytest.mark.parametrize(
    ("dof", "k"),
    # JCGM 100:2008, table G.2, column p = 95.45 %.
    [(1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (6, 2.52), (8, 2.37), (10, 2.28), (20, 2.13), (50, 2.05)],
)
def test_coverage_factors_of_the_gum(dof, k):
    assert uncertainty.coverage_factor(float(dof)) == pytest.approx(k, abs=0.005)


def test_effective_degrees_of_freedom():
    """JCGM 100:2008, G.4.1, example: relative u of 0.25, 0.57, 0.82 % with 10, 5, 15 readings give 1.03 % and 19."""
    parts = [Amount(value=Decimal(1), unit="each", u=u, dof=dof) for u, dof in ((0.25, 9.0), (0.57, 4.0), (0.82, 14.0))]
    found = uncertainty.combined(Decimal(1), "each", [(1.0, part) for part in parts])
    assert found.u == pytest.approx(1.03, abs=0.005)
    assert found.dof == pytest.approx(19.0, abs=0.05)


def test_end_gauge_of_the_gum():
    """JCGM 100:2008, H.1.3.2: mean of five comparisons, pooled s = 13 nm: 13/sqrt(5) = 5.8 nm."""
    assert 13 / math.sqrt(5) == pytest.approx(5.8, abs=0.05)
    # Five readings about 0 with s = 13 reproduce it through the program.
    scatter = [-16.0, -9.0, 1.0, 5.0, 19.0]
    s = math.sqrt(sum((x - sum(scatter) / 5) ** 2 for x in scatter) / 4)
    readings = [at(x * 13 / s, 0.0, "mm") for x in scatter]
    assert uncertainty.repeated(readings).u == pytest.approx(5.8, abs=0.05)


def test_propagation_agrees_with_the_uncertainties_package():
    hole, shaft = ufloat(4.0046, 0.0002), ufloat(4.0012, 0.0003)
    ours = clearance.fit(at(4.0046, 0.0002), at(4.0012, 0.0003))
    theirs = hole - shaft
    assert float(ours.value) == pytest.approx(theirs.nominal_value)
    assert ours.u == pytest.approx(theirs.std_dev)

    ours = clearance.per_size(at(0.0020, 0.0003), at(2.000, 0.01))
    theirs = ufloat(0.0020, 0.0003) / ufloat(2.000, 0.01)
    assert ours.u == pytest.approx(theirs.std_dev)

    ours = clearance.taper_from_gaps(at(0.0306, 0.0005), at(0.0180, 0.0004))
    theirs = (ufloat(0.0306, 0.0005) - ufloat(0.0180, 0.0004)) / math.pi
    assert ours.u == pytest.approx(theirs.std_dev)

    ours = sealing.share_of_highest([at(170, 3, "psi"), at(140, 2, "psi")])
    theirs = 100 * ufloat(140, 2) / ufloat(170, 3)
    assert ours.u == pytest.approx(theirs.std_dev)

    ours = sealing.rise(at(100, 3, "psi"), at(150, 4, "psi"))
    theirs = 100 * (ufloat(150, 4) / ufloat(100, 3) - 1)
    assert ours.u == pytest.approx(theirs.std_dev)
    assert umath.sqrt(ufloat(4, 0.1)).nominal_value == 2


@pytest.mark.parametrize(
    ("y", "u", "low", "high", "expected"),
    [
        # JCGM 106:2012, 7.3.3, example 1 (breakdown voltage of a Zener diode, at most -5.40 V): 0.92. From memory.
        (-5.47, 0.05, None, -5.40, 0.92),
        # JCGM 106:2012, 7.3.3, example 2 (burst strength of a container, at least 490 kPa): 0.99. From memory.
        (509.7, 8.6, 490, None, 0.99),
        # Phi(0.4), any table of the normal distribution; K-91's figures.
        (0.0019, 0.00025, None, 0.0020, 0.6554),
    ],
)
def test_conformance_probability(y, u, low, high, expected):
    digits = len(str(expected).split(".")[1])
    assert round(probability(at(y, u), limit(low, high)), digits) == expected


def test_two_sided_conformance_probability():
    """JCGM 106:2012, 7.4: Phi((T_U - y)/u) - Phi((T_L - y)/u), here from the error function of the standard library."""
    y, u, low, high = 13.6, 1.8, 12.5, 16.3

    def phi(x):
        return (1 + math.erf(x / math.sqrt(2))) / 2

    expected = phi((high - y) / u) - phi((low - y) / u)
    assert probability(at(y, u), limit(low, high)) == pytest.approx(expected, abs=1e-12)


def test_guard_band_of_u_accepts_at_the_published_level():
    """JCGM 106:2012, 8.3.2.2 and ILAC-G8: a guard band w = U leaves at most 2.3 % that an accepted item is beyond."""
    u = 0.00025
    edge = at(0.0020 - 2 * u, u)
    assert judge(edge, limit(high=0.0020)).verdict is Verdict.WITHIN
    assert 1 - probability(edge, limit(high=0.0020)) == pytest.approx(0.0228, abs=0.0001)


def test_k91_out_of_round_near_its_limit():
    """K-91: 0.0019 in against 0.0020 in with U = 0.0005 in can't be told (rule of ILAC-G8 and ISO 14253-1)."""
    assert judge(at(0.0019, 0.00025), limit(high=0.0020)).verdict is Verdict.CANT_TELL


def test_k92_two_gauges_by_root_sum_square():
    """K-92, computed: micrometer 0.0001 and bore gauge 0.0002 give 0.00022 in."""
    assert clearance.fit(at(4.0046, 0.0002), at(4.0012, 0.0001)).u == pytest.approx(0.00022, abs=0.000005)
