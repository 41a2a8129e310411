"""Bolts and hardness against published values."""

import math
from decimal import Decimal

import pytest

from benchvoice.domain.figures import Basis, Limit, Mark, Verdict
from benchvoice.measure import bolts, units
from benchvoice.measure.conformity import judge
from benchvoice.measure.hardness import brinell
from benchvoice.measure.tables import load
from benchvoice.measure.uncertainty import Amount


@pytest.mark.parametrize(("size", "pitch", "area"), [(8, 1.25, 36.6), (10, 1.5, 58.0), (12, 1.75, 84.3)])
def test_k73_stress_areas(size, pitch, area):
    """K-73: ISO 898-1 by public calculators, and computed."""
    assert bolts.stress_area(size, pitch) == pytest.approx(area, abs=0.05)


@pytest.mark.parametrize(
    ("grade", "size", "mpa"), [("8.8", 12, 580), ("8.8", 18, 600), ("10.9", 12, 830), ("12.9", 12, 970)]
)
def test_k72_proof_stresses(grade, size, mpa):
    """K-72: ISO 898-1 by public calculators."""
    assert bolts.proof_stress(grade, size, load().proof).mpa == mpa
    assert load().proof[0].basis.mark is Mark.SOURCE


def test_k72_proof_load():
    """K-72: M12 of class 8.8, 48,894 N (published with the area rounded to 84.3 mm2)."""
    row = bolts.proof_stress("8.8", 12, load().proof)
    assert row.mpa * 84.3 == pytest.approx(48_894, abs=0.5)
    assert row.mpa * bolts.stress_area(12, 1.75) == pytest.approx(48_894, rel=0.001)


def test_k71_torque_for_three_quarters_of_proof():
    """K-71, computed; nut factor 0.2 from memory: 36.67 kN take 88.0 N m or 64.9 lbf ft."""
    load_n = 0.75 * 580 * 84.3
    assert load_n == pytest.approx(36_670, abs=5)
    torque = 0.2 * 0.012 * load_n
    assert bolts.preload(torque, 12, 0.2) == pytest.approx(load_n)
    assert torque == pytest.approx(88.0, abs=0.05)
    assert float(units.convert(Decimal(torque), "N_m", "ft_lbf")) == pytest.approx(64.9, abs=0.05)
    assert load().defaults["nut_factor_dry"].basis.mark is Mark.MEMORY


@pytest.mark.parametrize(
    ("stretch", "verdict"),
    [("0.0160", Verdict.WITHIN), ("0.0200", Verdict.BEYOND), ("0.0120", Verdict.BEYOND), ("0.0184", Verdict.CANT_TELL)],
)
def test_k74_rod_bolt_stretch(stretch, verdict):
    """K-74, US Army TM 55-1905-223-24-1: 0.0135 to 0.0185 in accepted; over it the bolt is replaced."""
    limit = Limit(low=Decimal("0.0135"), high=Decimal("0.0185"), unit="in", basis=Basis(mark=Mark.SHEET, source="p"))
    assert judge(Amount(value=Decimal(stretch), unit="in", u=0.0002), limit).verdict is verdict


def test_k75_elastic_stretch():
    """K-75, computed (modulus 30 million psi): 170 ksi over 1.6 in of steel."""
    assert bolts.elastic_stretch(170e3, 1.6, 30e6) == pytest.approx(0.0091, abs=0.00005)
    mpa = float(units.convert(Decimal(30_000_000), "psi", "kPa")) / 1000
    assert mpa == pytest.approx(bolts.STEEL_MPA, rel=1e-5)


def test_k76_a_quarter_turn():
    """K-76, geometry: M10 x 1.5 by 90 degrees."""
    assert bolts.travel(90, 1.5) == 0.375


def test_no_thread_and_no_friction():
    with pytest.raises(ValueError, match="no thread"):
        bolts.stress_area(1.0, 2.0)
    with pytest.raises(ValueError, match="positive"):
        bolts.preload(88, 12, 0)


@pytest.mark.parametrize(("dent", "hb"), [("3.0", 69.1), ("3.1", 64.6), ("3.3", 56.8)])
def test_k81_hardness_of_dents(dent, hb):
    """K-81, computed by ASTM E10's formula (from memory), 500 kgf, ball of 10 mm."""
    assert float(brinell(Amount(value=Decimal(dent), unit="mm")).value) == pytest.approx(hb, abs=0.05)


@pytest.mark.parametrize(("dent", "hb"), [("2.50", 601), ("3.00", 415), ("4.00", 229), ("5.00", 143), ("6.00", 95.5)])
def test_hardness_of_the_standard_s_table(dent, hb):
    """ISO 6506-4, table of HBW 10/3000 by dent (from memory)."""
    assert float(brinell(Amount(value=Decimal(dent), unit="mm"), kgf=3000).value) == pytest.approx(hb, abs=0.6)


def test_the_dent_s_own_uncertainty():
    """By finite differences, which the program does not use."""
    at = Amount(value=Decimal("3.1"), unit="mm", u=0.05)

    def hb(d):
        return 2 * 500 / (math.pi * 10 * (10 - math.sqrt(100 - d * d)))

    assert brinell(at).u == pytest.approx(0.05 * (hb(3.099) - hb(3.101)) / 0.002, rel=1e-4)


def test_k80_the_floor_lies_in_the_published_ranges():
    """K-80: A356-T6 55 to 90 and A319-T6 65 to 95 HB (a foundry's public table), 356-T6 typically 75 HB; floor 65 HB (a
    machine shop's note).
    """
    rule = load().rules["cylinder_head", "hardness"]
    assert rule.low == 65
    published = {"A356-T6": (55, 90), "A319-T6": (65, 95), "356-T6, typical": (75, 75)}
    assert all(rule.low <= high for _, high in published.values())
    assert min(low for low, _ in published.values()) < rule.low <= published["A319-T6"][0]
    assert not rule.limit(None, "HB").decides


@pytest.mark.parametrize("dent", ["2.3", "6.1"])
def test_dents_that_are_no_test(dent):
    with pytest.raises(ValueError, match="dent"):
        brinell(Amount(value=Decimal(dent), unit="mm"))
