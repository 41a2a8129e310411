"""Displacement, compression ratio and oversizes against handbook figures."""

import math
from decimal import Decimal

import pytest

from benchvoice.measure.machining import displacement, next_oversize, next_undersize, ratio_after, size_class
from benchvoice.measure.outliers import odd_ones
from benchvoice.measure.sealing import cranking_pressure
from benchvoice.measure.tables import load
from benchvoice.measure.uncertainty import Amount


@pytest.mark.parametrize(
    ("bore", "stroke", "cylinders", "volume"),
    [
        # K-67. The familiar handbook sizes 350, 302 and 355 cubic inches and a two-litre square four (86 x 86 mm).
        ("4.000", "3.48", 8, "349.848"),
        ("4.000", "3.00", 8, "301.593"),
        ("4.030", "3.48", 8, "355.115"),
        ("86", "86", 4, "1998229"),
    ],
)
def test_displacements(bore, stroke, cylinders, volume):
    found = displacement(Decimal(bore), Decimal(stroke), cylinders)
    assert found == pytest.approx(Decimal(volume), abs=Decimal("0.5") if bore == "86" else Decimal("0.0006"))
    assert float(found) == pytest.approx(math.pi / 4 * float(bore) ** 2 * float(stroke) * cylinders)


def test_cubic_inches_in_cubic_centimetres():
    """K-67: 349.848 in3 is 5,732.98 cm3."""
    assert displacement(Decimal("4.000"), Decimal("3.48"), 8) * Decimal("16.387064") == pytest.approx(
        Decimal("5732.98"), abs=Decimal("0.01")
    )


def test_k68_thirty_over():
    """K-68, computed: thirty over on four inches adds 1.5056 percent."""
    before, after = (displacement(Decimal(bore), Decimal("3.48"), 8) for bore in ("4.000", "4.030"))
    assert float(after / before - 1) * 100 == pytest.approx(1.5056, abs=5e-5)


def test_k56_a_rod_a_tenth_of_an_inch_short():
    """K-56, computed: 9.5 to 1 falls to 7.83, and the gauge to about 77 percent of the others (exponent 1.3)."""
    bore = Decimal("4.00")
    low = ratio_after(Decimal("9.5"), bore, Decimal("3.48"), cut=Decimal("-0.100"), new_bore=bore)
    assert float(low) == pytest.approx(7.83, abs=0.005)
    share = cranking_pressure(float(low), 1.25, 14.7) / cranking_pressure(9.5, 1.25, 14.7)
    assert share == pytest.approx(0.77, abs=0.01)


def test_k58_a_bent_rod_is_just_what_the_rule_misses():
    """K-58, a rebuilders' public bulletin (25 percent below the highest): the rod of K-56 pulls its cylinder to 77
    percent, so the usual rule of 75 passes it and the odd-one-out test has to find it.
    """
    assert load().rules["cylinder_bore", "lowest_share"].low == 100 - 25
    sound = [172.0, 168.0, 170.0, 171.0, 169.0]
    bent = 0.77 * max(sound)
    assert bent / max(sound) > 0.75
    assert odd_ones([*sound, bent], floor=2.9).flagged == (5,)


def test_k57_liquid_that_locks():
    """K-57, computed: clearance volume at 9.5 to 1, 4.00 x 3.48 in, is 84 cm3."""
    swept = displacement(Decimal("4.00"), Decimal("3.48"), 1) * Decimal("16.387064")
    assert float(swept) / 8.5 == pytest.approx(84, abs=0.5)


def test_k54_cranking_pressures():
    """K-54, computed (exponents from memory): 9.5 to 1 gives 204 psi at n = 1.20, 260 at 1.30."""
    assert cranking_pressure(9.5, 1.20, 14.7) == pytest.approx(204, abs=0.6)
    assert cranking_pressure(9.5, 1.30, 14.7) == pytest.approx(260, abs=0.6)


def test_k70_overbore_choice():
    """K-70, steps and honing allowance: common practice, no source."""
    steps = [Decimal(step) for step in ("0.020", "0.030", "0.040", "0.060")]
    needed = Amount(value=Decimal("0.0039") + Decimal("0.004"), unit="in", u=0.0002)
    assert next_oversize(needed, steps).step == Decimal("0.020")


def test_k42_regrind_steps():
    """K-42, US Army TM 5-3805-262-34: standard 2.748 to 2.749; 2.738, 2.728, 2.718 are 10, 20, 30 under."""
    steps = [Decimal(step) for step in ("0.010", "0.020", "0.030")]
    standard, within = Decimal("2.7485"), Decimal("0.0015")
    for size, step in (("2.7385", "0.010"), ("2.7285", "0.020"), ("2.7185", "0.030"), ("2.7483", "0")):
        assert size_class(standard - Decimal(size), steps, within) == Decimal(step)
    assert next_undersize(Amount(value=Decimal("0.0012"), unit="in"), steps).step == Decimal("0.010")
