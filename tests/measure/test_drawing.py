"""Figures as text and as pictures."""

import re
from decimal import Decimal
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from benchvoice.domain.figures import Figure, figure_to_json
from benchvoice.measure import plots, textplot, wording
from benchvoice.measure.figures import figures
from benchvoice.measure.sheets import load_sheet
from benchvoice.measure.tables import load
from tests.measure.records import DEMO, computed, condition, demo_record, measured

GOLDEN = Path(__file__).resolve().parents[1] / "golden" / "figures_demo.txt"


@pytest.fixture(scope="module")
def demo():
    return figures(demo_record(), load_sheet(DEMO / "spec.toml", load()))


def test_the_demo_engine_s_figures_are_the_golden_ones(demo):
    """Golden table; to accept a change, write what this test computes to the file and look at the difference."""
    text = "\n".join(textplot.lines(demo, wording.load(), width=110)) + "\n"
    assert text == GOLDEN.read_text(encoding="utf-8")


def test_every_name_formula_group_and_note_of_the_demo_has_its_words(demo):
    words = wording.load()
    for figure in demo:
        assert figure.name in words.tables["name"]
        assert figure.formula in words.tables["formula"]
        assert figure.group in words.tables["group"]
        assert {note.code for note in figure.notes} <= set(words.tables["note"])


def test_every_key_that_the_code_uses_has_its_words():
    """Names, formulas and note codes as they stand in the source, so that none is left out of the wording."""
    words = wording.load()
    folder = Path(wording.__file__).parent
    source = "\n".join(path.read_text(encoding="utf-8") for path in folder.rglob("*.py"))
    names = set(re.findall(r'(?<![a-z_])name="([a-z_0-9]+)"', "\n".join(
        path.read_text(encoding="utf-8") for path in (folder / "compute").glob("*.py"))))  # fmt: skip
    assert names <= set(words.tables["name"])
    assert set(re.findall(r'formula="([a-z_0-9]+)"', source)) <= set(words.tables["formula"])
    codes = set(re.findall(r'note\("([a-z_0-9]+)"', source)) | set(re.findall(r'says = "([a-z_]+)"', source))
    assert codes <= set(words.tables["note"])
    assert {fit.name for fit in load().fits} <= set(words.tables["name"])


def test_limits_of_a_rule_of_thumb_are_called_that(demo):
    text = "\n".join(textplot.lines(demo, wording.load()))
    for line in text.splitlines():
        if "FAA AC 43.13-1B" in line:
            assert line.strip().startswith("rule of thumb:")
    assert "limit: at most 0.0020 in; sheet: invented manual, page 31" in text


def test_lines_keep_to_the_width(demo):
    for line in textplot.lines(demo, wording.load(), width=80):
        if "─" in line:
            assert len(line) <= 130


def test_plain_ink_for_plain_terminals(demo):
    text = "\n".join(textplot.lines(demo, wording.load(), ink=textplot.PLAIN))
    assert not set("●─│┼") & set(text)


def test_dots_stand_in_the_order_of_their_values(demo):
    axis = textplot.axis_for([figure for figure in demo if figure.quantity == "compression"][:6], 40)
    columns = [axis.column(float(value)) for value in (112, 118, 158, 160, 162, 164)]
    assert columns == sorted(columns)
    assert 0 <= columns[0] < columns[-1] <= 39


def test_an_axis_of_equal_values_has_a_length():
    same = Figure(name="x", part="block", unit="in", value=Decimal(0))
    axis = textplot.axis_for([same, same], 20)
    assert axis.high > axis.low
    assert "●" in textplot.strip(same, axis, textplot.Ink())


def test_pictures_are_svg_and_the_same_each_time(demo):
    pictures = plots.draw(demo, wording.load())
    assert set(pictures) == {"bores", "clearances", "compression"}
    assert pictures == plots.draw(demo, wording.load())
    for svg in pictures.values():
        root = ET.fromstring(svg)
        assert root.tag.endswith("svg")
        assert "<text" not in svg  # letters are paths
        assert "pattern" not in svg  # nothing hatched


def test_a_heat_map_for_a_burned_engine():
    found = computed(condition("alternator", "melted"), condition("water_pump", "good"))
    assert "<svg" in plots.draw(found, wording.load())["heat"]


def test_nothing_to_draw():
    assert plots.draw((), wording.load()) == {}
    assert plots.draw(computed(measured("crankshaft", "end_float", "0.010")), wording.load()) == {}
    assert textplot.lines((), wording.load()) == []


def test_json_is_plain_data(demo):
    import json

    data = json.loads(json.dumps([figure_to_json(figure) for figure in demo]))
    assert len(data) == len(demo)
    assert all(item["unit"] for item in data)


def test_a_heat_map_says_what_is_open_and_what_contradicts_itself():
    found = computed(condition("alternator", "melted"), condition("timing_belt", "good"),
                     condition("oil_filter", "good"), condition("intake_manifold", "melted"))  # fmt: skip
    picture = plots.heat_map([figure for figure in found if figure.group == "heat"], wording.load())
    assert ET.fromstring(picture).tag.endswith("svg")
    assert plots.heat_map([], wording.load()) == ""
