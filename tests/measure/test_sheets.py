"""Spec sheets: every problem with its line, misprints, and hostile files."""

from decimal import Decimal

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from benchvoice.domain.figures import Mark
from benchvoice.domain.findings import Place
from benchvoice.errors import BenchvoiceError
from benchvoice.lexicon import load as load_lexicon
from benchvoice.measure.misprints import doubts, standing_in
from benchvoice.measure.sheets import blank, load_sheet, parse, read_text
from benchvoice.measure.tables import load
from tests.measure.records import DEMO, sheet_of

FAULTY = """title = "t"
source = "s"

[cylinder_bore.diameter]
unit = "inches"
new = [3.6410, 3.6400]
source = ""

[cylinder_boar.taper]
unit = "in"
max = "0.002"
source = "p"

[crankshaft.endfloat]
unit = "in"
max = 0.012
source = "p"

[[valve_guide.clearance]]
place = { valve = "inlet" }
unit = "psi"
maxx = 0.006
source = "p"

[[valve_guide.clearance]]
unit = "in"
oversizes = [0.020, 0.010]
also = { unit = "psi", max = 1 }
source = "p"
"""


def test_every_problem_comes_with_its_line():
    _, problems = parse(FAULTY, load(), parts={"cylinder_bore", "crankshaft", "valve_guide"})
    assert [(problem.line, problem.where) for problem in problems] == [
        (5, "cylinder_bore.diameter.unit"),
        (6, "cylinder_bore.diameter.new"),
        (7, "cylinder_bore.diameter.source"),
        (9, "cylinder_boar"),
        (11, "cylinder_boar.taper.max"),
        (14, "crankshaft.endfloat"),
        (20, "valve_guide.clearance.place"),
        (21, "valve_guide.clearance.unit"),
        (22, "valve_guide.clearance.maxx"),
        (27, "valve_guide.clearance.oversizes"),
        (28, "valve_guide.clearance.also"),
    ]
    hints = {problem.where: problem.hint for problem in problems}
    assert "cylinder_bore" in hints["cylinder_boar"]
    assert "end_float" in hints["crankshaft.endfloat"]
    assert "max" in hints["valve_guide.clearance.maxx"]


def test_a_row_without_unit_or_source_is_not_used():
    text = 'title = "t"\nsource = "s"\n[crankshaft.end_float]\nmax = 0.012\n'
    sheet, problems = parse(text, load())
    assert sheet.rows == ()
    assert {problem.where for problem in problems} == {"crankshaft.end_float.unit", "crankshaft.end_float.source"}


def test_not_toml_says_where():
    sheet, problems = parse('title = "t"\n[crank\n', load())
    assert sheet is None
    assert problems[0].line == 2


def test_digits_are_kept_as_written():
    sheet = sheet_of('[cylinder_bore.diameter]\nunit = "in"\nnew = [3.6400, 3.6410]\nsource = "p"')
    row = sheet.row("cylinder_bore", "diameter")
    assert str(row.new_low) == "3.6400"
    assert row.size() == Decimal("3.6405")
    assert row.limit() is None  # worn is not beyond a limit


def test_the_most_specific_row_wins():
    sheet = sheet_of(
        '[[valve_guide.clearance]]\nunit = "in"\nmax = 0.004\nsource = "all"\n'
        '[[valve_guide.clearance]]\nunit = "in"\nmax = 0.006\nsource = "exhaust"\nplace = { valve = "exhaust" }'
    )
    assert sheet.row("valve_guide", "clearance", Place(cylinder=2, valve="exhaust")).source == "exhaust"
    assert sheet.row("valve_guide", "clearance", Place(cylinder=2, valve="intake")).source == "all"


def test_tolerance_makes_a_range_and_new_parts_limit_what_has_no_service_limit():
    sheet = sheet_of('[head_bolt.torque]\nunit = "ft_lbf"\nnominal = 60\ntolerance = 3\nsource = "p"')
    limit = sheet.row("head_bolt", "torque").limit()
    assert (limit.low, limit.high) == (57, 63)
    assert limit.basis.mark is Mark.SHEET
    assert "range of new parts" in limit.basis.source


def test_the_demo_s_sheet_is_sound_and_says_that_it_is_invented():
    text = (DEMO / "spec.toml").read_text(encoding="utf-8")
    sheet, problems = parse(text, load())
    assert problems == ()
    assert doubts(sheet, load()) == ()
    assert sheet.invented
    assert "invented" in sheet.title
    assert all("invented" in row.source for row in sheet.rows)


def test_the_blank_sheet_is_sound_as_it_is_and_with_its_rows_in_place():
    sheet, problems = parse(blank(), load())
    assert problems == ()
    assert sheet.rows == ()
    rows = "\n".join(line.removeprefix("#") if line.startswith("#") and line[1:2] not in " " else line
                     for line in blank().splitlines())  # fmt: skip
    sheet, problems = parse(rows, load(), parts=frozenset(load_lexicon().parts))
    assert problems == ()
    assert len(sheet.rows) == rows.count("source =") - 1


def test_own_order_and_windows():
    sheet = sheet_of(
        '[crankshaft.end_float]\nunit = "in"\nmin = 0.010\nmax = 0.002\nsource = "p"\n'
        '[main_journal.diameter]\nunit = "in"\nnominal = 26.49\nsource = "p"\n'
        '[piston_skirt.diameter]\nunit = "in"\nnominal = 3.70\nnew = [3.63, 3.64]\nsource = "p"'
    )
    told = " ".join(doubt.what for doubt in doubts(sheet, load()))
    assert "lies above max" in told
    assert "not a plausible diameter" in told
    assert "nominal 3.70 lies outside" in told


def test_sizes_that_leave_no_room_for_the_printed_clearance():
    sheet = sheet_of(
        '[main_bearing.diameter]\nunit = "in"\nnew = [2.6510, 2.6515]\nsource = "p"\n'
        '[main_journal.diameter]\nunit = "in"\nnew = [2.6480, 2.6485]\nsource = "p"\n'
        '[main_bearing.clearance]\nunit = "in"\nnew = [0.0005, 0.0015]\nsource = "p"'
    )
    assert "leave 0.0025 to 0.0035" in doubts(sheet, load())[0].what


def test_rules_that_stand_in_are_listed_with_their_mark():
    found = standing_in(sheet_of('[crankshaft.end_float]\nunit = "in"\nmax = 0.012\nsource = "p"'), load())
    assert "crankshaft.end_float" not in found
    assert found["top_ring.end_gap"].startswith("common practice, no source")


def test_files_that_cannot_be_read(tmp_path):
    for name, content in (("bytes.toml", b"\xff\xfe\x00"), ("huge.toml", b"#" * 1_000_001)):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(BenchvoiceError):
            read_text(tmp_path / name)
    with pytest.raises(BenchvoiceError, match="no file"):
        read_text(tmp_path / "none.toml")
    with pytest.raises(BenchvoiceError):
        read_text(tmp_path)
    (tmp_path / "faulty.toml").write_text(FAULTY, encoding="utf-8")
    with pytest.raises(BenchvoiceError, match="line 5"):
        load_sheet(tmp_path / "faulty.toml", load())


HOSTILE = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(-(10**12), 10**12), st.floats(), st.text(max_size=8)),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["unit", "max", "new", "place"]), inner)
    ),
    max_leaves=8,
)


def _toml(value):
    if value is None:
        return '""'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (int, float)):
        return {"inf": "inf", "-inf": "-inf", "nan": "nan"}.get(str(value), str(value))
    if isinstance(value, str):
        clean = "".join(c for c in value if c.isprintable() and c not in '"\\' and ord(c) < 0xD800)
        return f'"{clean}"'
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return "{ " + ", ".join(f"{key} = {_toml(item)}" for key, item in value.items()) + " }"


@given(
    st.sampled_from(["cylinder_bore.diameter", "nothing.at_all", "engine.compression_ratio", "title.x"]),
    st.dictionaries(
        st.sampled_from(
            ["unit", "source", "new", "min", "max", "nominal", "tolerance", "place", "also", "oversizes", "at"]
        ),
        HOSTILE,
    ),
)
@settings(deadline=None)
def test_no_content_breaks_the_reader(table, row):
    text = f"[{table}]\n" + "\n".join(f"{key} = {_toml(value)}" for key, value in row.items())
    sheet, problems = parse(text, load())
    assert problems
    assert all(problem.line >= 1 and problem.what for problem in problems)
    if sheet:
        doubts(sheet, load())


@given(st.text(max_size=300))
@example("[" * 5000)
@example("a = " + "[" * 3000)
@example("a = " + "9" * 5000)
@settings(deadline=None)
def test_no_text_breaks_the_reader(text):
    parse(text, load())
