"""Wear, clearances and gaps against published worked examples and the trade's rules."""

import math
from decimal import Decimal

import pytest

from benchvoice.domain.figures import Basis, Limit, Mark, Verdict
from benchvoice.measure.clearance import fit, per_size, taper_from_gaps, thermal_shift
from benchvoice.measure.conformity import judge
from benchvoice.measure.roundness import Spot, largest, out_of_round, taper
from benchvoice.measure.tables import load
from benchvoice.measure.uncertainty import Amount, difference
from benchvoice.measure.valvetrain import shrinkage


def inch(value):
    return Amount(value=Decimal(value), unit="in", u=0.0001)


K_30 = {
    ("top", "thrust"): "4.0046", ("top", "pin"): "4.0031", ("middle", "thrust"): "4.0030", ("middle", "pin"): "4.0022",
    ("bottom", "thrust"): "4.0012", ("bottom", "pin"): "4.0009",
}  # fmt: skip


def test_k30_a_worn_bore():
    """K-30, computed by hand: three heights (US Navy NAVEDTRA 14076) by two axes."""
    spots = [Spot(level=level, direction=axis, amount=inch(value)) for (level, axis), value in K_30.items()]
    assert out_of_round(spots)[0].value == Decimal("0.0015")
    assert out_of_round(spots)[1] == "top"
    assert taper(spots)[0].value == Decimal("0.0034")
    pin = [spot for spot in spots if spot.direction == "pin"]
    assert taper(pin)[0].value == Decimal("0.0022")
    assert difference(largest(spots).amount, inch("4.0007")).value == Decimal("0.0039")


@pytest.mark.parametrize(
    ("part", "name", "size", "expected"),
    [
        # K-31, US Army TM 10-3930-647-14&P: ratios applied to a 4 in bore, 3.48 in of stroke, a 2.5 in journal.
        ("cylinder_bore", "wear", "4.000", "0.0040"),
        ("cylinder_bore", "taper", "3.48", "0.00174"),
        ("main_journal", "out_of_round", "2.5", "0.0010"),
        # K-49: 0.004 in per inch of bore (common practice, no source).
        ("top_ring", "end_gap", "4.00", "0.016"),
    ],
)
def test_rules_by_size(part, name, size, expected):
    limit = load().rules[part, name].limit(Decimal(size), "in")
    assert (limit.high if limit.high is not None else limit.low) == Decimal(expected)
    assert not limit.decides


def test_k34_oil_clearance_by_size():
    """K-34: 0.00075 to 0.0010 in per inch (common practice, no source): 0.0015 to 0.0020 at 2.000 in."""
    rule = load().rules["main_bearing", "clearance"]
    limit = rule.limit(Decimal("2.000"), "in")
    assert (limit.low, limit.high) == (Decimal("0.0015"), Decimal("0.0020"))
    assert rule.basis.mark is Mark.COMMON_PRACTICE
    assert per_size(inch("0.0020"), inch("2.000")).value == Decimal("0.001")


def test_k32_a_ring_gap_measures_taper():
    """K-32, geometry: a 0.0040 in larger bore opens a gap by 0.0126 in."""
    assert math.pi * 0.0040 == pytest.approx(0.0126, abs=0.00005)
    assert float(taper_from_gaps(inch("0.0306"), inch("0.0180")).value) == pytest.approx(0.0040, abs=0.00002)


def test_k33_k83_temperature():
    """K-33 and K-83, computed (coefficients from memory): 0.0004 in per 10 deg C at 4 in, aluminium in iron; a 4 in
    iron bore at 5 deg C reads about 0.0006 in small.
    """
    tables = load()
    aluminium, iron = (float(tables.defaults[f"{name}_expansion"].value) for name in ("aluminium", "iron"))
    assert thermal_shift(4.0, aluminium - iron, 10.0) == pytest.approx(0.0004, abs=0.00002)
    assert thermal_shift(4.0, iron, -15.0) == pytest.approx(-0.0006, abs=0.00006)


def test_k66_lifter_bore():
    """K-66, US Army TM 5-3810-206-35: bore 1.3125 to 1.3135, body 1.3100 to 1.3110: 0.0015 to 0.0035, limit 0.009."""
    assert fit(inch("1.3125"), inch("1.3110")).value == Decimal("0.0015")
    assert fit(inch("1.3135"), inch("1.3100")).value == Decimal("0.0035")
    assert load().rules["lifter_bore", "clearance"].high == Decimal("0.009")


def test_k45_a_ridge_at_the_oil_hole():
    """K-45, US Army TM 9-2815-205-24: remove a ridge above 0.0002 in, replace the shaft above 0.001 in."""
    remove, replace = (
        Limit(high=Decimal(value), unit="in", basis=Basis(mark=Mark.SHEET, source="p")) for value in ("0.0002", "0.001")
    )
    ridge = Amount(value=Decimal("0.0006"), unit="in", u=0.0001)
    assert judge(ridge, remove).verdict is Verdict.BEYOND
    assert judge(ridge, replace).verdict is Verdict.WITHIN


def test_k63_three_percent_shorter():
    """K-63, US Navy NAVEDTRA 14076: replace a spring more than 3 percent shorter than new."""
    assert load().rules["valve_spring", "shrinkage"].high == 3
    assert shrinkage(inch("1.94"), inch("2.00")).value == 3


@pytest.mark.parametrize(
    ("part", "name", "low", "high"),
    [
        ("cylinder_bore", "out_of_round", None, "0.003"),  # US Army TM 10-3930-243-34
        ("main_journal", "taper", None, "0.0005"),  # K-43, a bearing maker's public failure guide
        ("rod_journal", "taper", None, "0.0005"),  # K-44, US Army TM 5-3805-262-34
        ("crankshaft", "runout", None, "0.002"),  # K-46, US Army TM 5-1185
        ("crankshaft", "end_float", "0.003", "0.011"),  # K-47, a bearing maker's public failure guide
        ("camshaft", "end_float", "0.002", "0.019"),  # K-47, US Army TM 5-3895-346-14
        ("connecting_rod", "side_clearance", "0.005", "0.020"),  # K-48, US Army TM 5-4310-354-14
        ("deck", "flatness", None, "0.007"),  # K-59, US Army TM 5-3810-295-34
        ("cylinder_head", "flatness", None, "0.004"),  # K-59, US Army TM 10-3930-653-14&P (0.1 mm)
        ("valve_guide", "clearance", None, "0.006"),  # K-61, US Army TM 9-4310-397-14
    ],
)
def test_rules_as_published(part, name, low, high):
    rule = load().rules[part, name]
    assert (rule.low, rule.high) == tuple(None if end is None else Decimal(end) for end in (low, high))
    assert rule.basis.source


def test_every_rule_says_where_it_is_from_and_none_decides():
    for rule in load().rules.values():
        assert rule.basis.source
        limit = rule.limit(Decimal(1), "in")
        assert limit is not None
        assert not limit.decides
