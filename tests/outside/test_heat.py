"""Temper colours and melting points against what is published."""

import re
from decimal import Decimal

import pytest

from benchvoice.measure import units
from benchvoice.measure.heat import colour_in
from benchvoice.measure.tables import load

# Colvin and Juthe, "The Working of Steel" (1921): average of five sources, deg F.
COLVIN_JUTHE = {
    "faint_yellow": 430, "light_straw": 458, "dark_straw": 478, "reddish_purple": 523, "bluish_purple": 551,
    "blue": 572, "grey_blue": 603, "greenish_blue": 627,
}  # fmt: skip
# Dooley, "Applied Science for Metal Workers", table of tempering colours, deg F (K-77).
DOOLEY = {
    "very pale yellow": 430, "straw": 460, "dark straw": 480, "brownish yellow": 500, "yellow and purple": 520,
    "light purple": 530, "dark purple": 550, "dark blue": 570, "pale blue": 610, "blue green": 630,
}  # fmt: skip


@pytest.mark.parametrize(("name", "deg_f"), COLVIN_JUTHE.items())
def test_colours_are_those_of_colvin_and_juthe(name, deg_f):
    colour = next(colour for colour in load().heat.colours if colour.name == name)
    assert units.convert(colour.deg_c, "deg_C", "deg_F").quantize(Decimal("0.001")) == deg_f


@pytest.mark.parametrize(("spoken", "deg_f"), DOOLEY.items())
def test_the_other_published_table_lies_inside_our_spread(spoken, deg_f):
    colour = colour_in(f"there is {spoken} on the pin", load().heat.colours)
    assert abs(units.convert(Decimal(deg_f), "deg_F", "deg_C") - colour.deg_c) <= colour.half


def test_colours_rise_in_the_order_of_the_table():
    found = [colour.deg_c for colour in load().heat.colours]
    assert found == sorted(found)
    assert round(found[0]) == 221


@pytest.mark.parametrize(
    ("material", "low_f", "high_f"),
    [
        # K-82, University of Washington, vehicle fire investigation: melting temperatures of metals, deg F.
        ("zinc", 786, 786),
        ("aluminium", 1220, 1220),
        ("copper_alloy", 1615, 1985),
        ("iron", 2150, 2300),
        ("steel", 2600, 2750),
        ("solder", 361, 450),  # tin-lead eutectic 183 deg C (from memory) and tin 450 F
    ],
)
def test_melting_points(material, low_f, high_f):
    found = load().heat.materials[material]
    assert float(found.melts) == pytest.approx((high_f - 32) / 1.8, abs=1.0)
    assert float(found.soft) <= (low_f - 32) / 1.8 + 1


def test_cast_head_alloy_melts_inside_the_aluminium_bracket():
    """K-78: cast 356, solidus 570 and liquidus 620 deg C (published data sheet)."""
    aluminium = load().heat.materials["aluminium"]
    solidus, liquidus = Decimal(570), Decimal(620)
    assert aluminium.soft < solidus < liquidus < aluminium.melts
    # K-79, 6061-T6 below its allowed minimum after 16 h at 390 F (199 C), not in 64 h at 350 F (177 C).
    assert 177 < aluminium.spoils <= Decimal(200)


def test_every_material_says_where_it_is_from():
    for material in load().heat.materials.values():
        assert re.search(r"\w{3}", material.basis.source), material.name
