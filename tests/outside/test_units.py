"""Conversion factors and rounding against what is published."""

from decimal import Decimal

import pint
import pytest

from benchvoice.measure import units

# K-01 to K-13.
# NIST Special Publication 811 (2008), appendix B.8 and B.9: factor as printed (seven digits), exact ones marked.
# The factors were re-derived from 1 in = 25.4 mm, 1 lb = 0.45359237 kg and g = 9.80665 m/s2, which define them.
SP_811 = [
    ("in", "mm", "25.4", True),
    ("lbf", "N", "4.448222", False),
    ("psi", "kPa", "6.894757", False),
    ("ft_lbf", "N_m", "1.355818", False),
    ("in_lbf", "N_m", "0.1129848", False),
    ("kgf_m", "N_m", "9.80665", True),
    ("inHg", "kPa", "3.386389", False),
    ("in3", "cm3", "16.387064", True),
    ("mi", "km", "1.609344", True),
    ("qt", "L", "0.946352946", True),
    ("lbf_in", "N_mm", "0.1751268", False),
    ("bar", "kPa", "100", True),
]


@pytest.mark.parametrize(("unit", "to", "printed", "exact"), SP_811)
def test_factors_are_those_of_nist_sp_811(unit, to, printed, exact):
    found = units.factor(unit, to)
    if exact:
        assert found == Decimal(printed)
    else:
        assert round(found, -Decimal(printed).as_tuple().exponent) == Decimal(printed)


def test_exact_definitions_to_the_last_digit():
    """The pound-force is 0.45359237 kg x 9.80665 m/s2 exactly; psi, lbf ft and lbf in follow (definitions)."""
    pound_force = Decimal("0.45359237") * Decimal("9.80665")
    inch = Decimal("0.0254")
    assert units.factor("lbf", "N") == pound_force == Decimal("4.4482216152605")
    assert abs(units.factor("psi", "kPa") - pound_force / inch**2 / 1000) < Decimal("1e-20")
    assert abs(units.factor("ft_lbf", "N_m") - pound_force * inch * 12) < Decimal("1e-20")
    assert abs(units.factor("in_lbf", "N_m") - pound_force * inch) < Decimal("1e-20")
    assert abs(units.factor("bar", "psi") - Decimal("14.50377")) < Decimal("5e-6")
    assert abs(units.factor("kgf_cm2", "psi") - Decimal("14.22334")) < Decimal("5e-6")


def test_pint_as_a_second_opinion_in_floating_point():
    """pint's own floating-point registry, not the one that the program uses."""
    registry = pint.UnitRegistry()
    for unit, to, name, other in (
        ("in", "mm", "inch", "millimeter"),
        ("psi", "bar", "psi", "bar"),
        ("ft_lbf", "N_m", "foot * force_pound", "newton * meter"),
        ("mi", "km", "mile", "kilometer"),
    ):
        expected = registry.Quantity(1.0, name).to(other).magnitude
        assert float(units.factor(unit, to)) == pytest.approx(expected, rel=1e-12)
    assert float(units.convert(Decimal(430), "deg_F", "deg_C")) == pytest.approx(
        registry.Quantity(430.0, "degF").to("degC").magnitude
    )


@pytest.mark.parametrize(
    ("value", "unit", "to", "published"),
    [
        ("36", "ft", "m", "11.0"),  # NIST SP 811 (2008), B.7.2, the worked example
        ("36", "in", "mm", None),  # see below
        ("40.1", "in", "mm", "1019"),  # NIST LC 1137, Metric Style Guide: 40.1 in is 101.9 cm
    ],
)
def test_rounding_follows_the_published_examples(value, unit, to, published):
    found = units.convert_honestly(Decimal(value), None, unit, to)
    if published is None:  # NIST LC 1137: 36 inches is 91 centimetres, so 9.1E+2 mm
        assert found == Decimal("9.1E+2")
        assert found.as_tuple().digits == (9, 1)
    else:
        assert str(found) == published


def test_rounding_when_the_step_is_known_otherwise():
    """NIST SP 811, B.7.2, note (from memory): 36 ft known to within an inch either way still becomes 11.0 m."""
    assert units.convert_honestly(Decimal(36), Decimal(1) / 6, "ft", "m") == Decimal("11.0")


@pytest.mark.parametrize(
    ("printed", "unit", "other", "to"),
    [
        ("68", "ft_lbf", "9.40", "kgf_m"),  # K-14, US Army TM 5-4310-354-14
        ("72", "ft_lbf", "9.96", "kgf_m"),  # K-14: printed 0.006 high, within one unit of the last place
        ("0.0135", "in", "0.343", "mm"),  # K-15, US Army TM 55-1905-223-24-1
        ("0.0185", "in", "0.470", "mm"),
        ("0.0016", "in", "0.041", "mm"),  # K-16, US Army TM 9-2815-260-24
        ("0.0043", "in", "0.109", "mm"),
        ("3.7480", "in", "95.201", "mm"),  # K-17, US Army TM 5-3805-281-24-2
        ("3.7491", "in", "95.227", "mm"),
        ("105", "psi", "725", "kPa"),  # K-18, a car maker's manual: 725 from 1035 kPa
        ("150", "psi", "1035", "kPa"),
        ("0.105", "in", "2.67", "mm"),  # K-64, valve margin, US Army TM 9-6115-604-34
        ("0.043", "in", "1.1", "mm"),  # K-64, valve recession, US Army TM 9-2815-257-24
        ("0.002", "in", "0.05", "mm"),  # K-64, valve face runout, US Army TM 9-4310-397-14
    ],
)
def test_pairs_printed_in_manuals_agree_within_their_last_place(printed, unit, other, to):
    from benchvoice.measure.misprints import disagreement

    assert disagreement(Decimal(printed), unit, Decimal(other), to) is None


def test_k60_conditions_of_a_pressure_test():
    """K-60, US Army TM 5-3810-295-34: air of 80 to 100 psi, the block under water of 180 to 200 deg F."""
    psi = [units.convert_honestly(Decimal(value), Decimal(10), "psi", "kPa") for value in (80, 100)]
    water = [units.convert_honestly(Decimal(value), Decimal(10), "deg_F", "deg_C") for value in (180, 200)]
    assert psi == [Decimal(600), Decimal(700)]
    assert [round(units.convert(Decimal(value), "deg_F", "deg_C"), 1) for value in (180, 200)] == [
        Decimal("82.2"), Decimal("93.3"),
    ]  # fmt: skip
    assert water == [Decimal(80), Decimal(90)]


def test_k69_mean_piston_speed():
    """K-69, computed: twice 3.48 in of stroke at 6,000 a minute is 3,480 ft/min or 17.68 m/s."""
    inches = 2 * Decimal("3.48") * 6000
    assert inches * units.factor("in", "ft") == pytest.approx(Decimal(3480))
    assert round(inches * units.factor("in", "m") / 60, 2) == Decimal("17.68")


def test_spoken_sizes():
    """Hand conversions of the trade's sizes (1 in = 25.4 mm)."""
    assert units.convert(Decimal("0.0025"), "in", "mm") == Decimal("0.0635")
    assert units.convert(Decimal("3.622"), "in", "mm") == Decimal("91.9988")
    assert units.convert(Decimal("0.05"), "mm", "in").quantize(Decimal("1e-6")) == Decimal("0.001969")
    assert round(units.convert(Decimal(125), "psi", "bar"), 3) == Decimal("8.618")
    assert round(units.convert(Decimal(65), "ft_lbf", "N_m"), 2) == Decimal("88.13")
    assert units.as_fraction(Decimal("0.1875")).as_integer_ratio() == (3, 16)
