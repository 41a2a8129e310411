"""Flow through the leakage tester's orifice, against compressible-flow tables."""

import math

import pytest

from benchvoice.measure.sealing import flow_function, leak_hole, share_of_highest
from benchvoice.measure.tables import load
from benchvoice.measure.uncertainty import Amount


def test_critical_ratio():
    """Isentropic flow of air, g = 1.4: p*/p0 = 0.5283 (White, Fluid Mechanics, table B.1; NACA report 1135)."""
    assert flow_function(0.5282) == 1.0
    assert flow_function(0.5300) < 1.0


@pytest.mark.parametrize(
    ("mach", "pressure_ratio", "area_ratio"),
    # NACA report 1135 (1953), table I, g = 1.4: p/p0 and A/A* by Mach number. The flow through a given area is A*/A of
    # the choked one.
    [(0.20, 0.9725, 2.9635), (0.40, 0.8956, 1.5901), (0.50, 0.8430, 1.3398), (0.60, 0.7840, 1.1882),
     (0.80, 0.6560, 1.0382)],
)  # fmt: skip
def test_flow_function_is_the_inverse_of_the_area_ratio(mach, pressure_ratio, area_ratio):
    assert (1 + 0.2 * mach**2) ** -3.5 == pytest.approx(pressure_ratio, abs=5e-5)
    assert flow_function((1 + 0.2 * mach**2) ** -3.5) == pytest.approx(1 / area_ratio, abs=5e-5)


def test_choked_mass_flow():
    """White, Fluid Mechanics, equation 9.46b (from memory): m = 0.6847 p0 A*/sqrt(R T0) for g = 1.4."""
    g = 1.4
    choked = math.sqrt(g) * (2 / (g + 1)) ** ((g + 1) / (2 * (g - 1)))
    assert choked == pytest.approx(0.6847, abs=5e-5)
    r = 0.75
    general = math.sqrt(2 * g / (g - 1) * (r ** (2 / g) - r ** ((g + 1) / g)))
    assert flow_function(r) == pytest.approx(general / choked, rel=1e-9)


def test_worked_example_of_a_leak():
    """By hand: 80 psi supply, 60 in the cylinder: the leak is about as large as the orifice. Mass must balance."""
    supply, ambient = 80 * 6.894757, 101.325
    hole = leak_hole(25.0, 1.0, supply, ambient)
    upstream, cylinder = supply + ambient, 0.75 * supply + ambient
    into = upstream * flow_function(cylinder / upstream)
    out = hole**2 * cylinder * flow_function(ambient / cylinder)
    assert into == pytest.approx(out)
    assert hole == pytest.approx(1.03, abs=0.005)


def test_other_testers_give_other_percentages_for_the_same_leak():
    """Why a percentage means nothing without the orifice: the same leak, two orifices of FAA AC 43.13-1B."""
    supply, ambient = 551.6, 101.325
    small = leak_hole(25.0, 0.040, supply, ambient)

    def percent(orifice: float) -> float:
        low, high = 0.001, 99.0
        for _ in range(80):
            middle = (low + high) / 2
            low, high = (middle, high) if leak_hole(middle, orifice, supply, ambient) < small else (low, middle)
        return low

    assert percent(0.040) == pytest.approx(25, abs=0.01)
    assert percent(0.060) < 10


def test_k53_the_threshold_of_the_faa():
    """K-53: FAA AC 43.13-1B, 8-14: 60 of 80 psi, 25 percent."""
    rule = load().rules["cylinder_bore", "leakage"]
    assert rule.high == (80 - 60) / 80 * 100
    assert "AC 43.13-1B" in rule.basis.source


def test_k51_k52_two_published_rules_for_compression():
    """K-51: 75 percent (car makers' manuals; here common practice, no source). K-52: 70 percent and 100 psi, worked
    150 to 105 psi in a car maker's manual.
    """
    from decimal import Decimal

    tables = load()
    share = share_of_highest([Amount(value=Decimal(v), unit="psi") for v in (150, 105)])
    assert share.value == 70
    assert tables.rules["cylinder_bore", "lowest_share"].low == 75
    assert tables.defaults["lowest_share_loose"].value == 70
    assert tables.defaults["lowest_pressure_loose"].value == 100
