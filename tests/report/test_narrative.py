"""How findings are told: folded, guarded, in order; and how long the three lengths are."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from benchvoice import lexicon
from benchvoice.domain.events import ContradictionSettled
from benchvoice.domain.findings import Degree, Finding, Kind, Place
from benchvoice.report import Arrangement, Format, Length, Options, Units, build
from benchvoice.report.blurb import LIMIT, words_in
from benchvoice.report.language import data, load
from benchvoice.report.model import Says
from benchvoice.report.phrases import Phrases, fold_numbers, region_order
from benchvoice.report.write import make
from tests.report.records import FIXED, WHEN, demo, engine, random_record, record_of

WORDS = load()


def cond(part: str, condition: str, **fields: Any) -> Finding:
    place = Place(**{key: fields.pop(key) for key in list(fields) if key in Place.__dataclass_fields__})
    return Finding(kind=Kind.CONDITION, part=part, place=place, condition=condition, **fields)


def size(part: str, quantity: str, value: str, unit: str = "in", **fields: Any) -> Finding:
    place = Place(**{key: fields.pop(key) for key in list(fields) if key in Place.__dataclass_fields__})
    return Finding(
        kind=Kind.MEASUREMENT, part=part, place=place, quantity=quantity, value=Decimal(value), unit=unit, **fields
    )


def told(*findings: Finding, options: Options = FIXED, text: str = "") -> list[str]:
    spoken = [(text, [replace(item, text=text)]) for item in findings]
    report = build(record_of(spoken), engine(), None, options=options)
    found = [section for section in report.sections if section.key.startswith("found-") or section.key == "unseen"]
    sentences = [sentence for section in found for block in section.blocks for sentence in _of(block)]
    return [sentence.text for sentence in sentences if sentence.says in (Says.FINDING, Says.FIGURE)]


def _of(block: Any) -> list[Any]:
    if hasattr(block, "items"):
        return [sentence for item in block.items for sentence in item.sentences]
    return list(getattr(block, "sentences", ()))


@pytest.mark.parametrize(
    ("numbers", "written"),
    [([3], "3"), ([3, 6], "3 and 6"), ([8, 3, 6], "3, 6 and 8"), ([2, 3, 4], "2 through 4"),
     ([1, 2, 3, 5], "1, 2, 3 and 5"),      ([5, 5], "5"), (range(1, 9), "1 through 8"), ([], "")],
)  # fmt: skip
def test_numbers_are_folded(numbers: list[int], written: str) -> None:
    assert fold_numbers(numbers, WORDS) == written


def test_alike_findings_are_one_sentence() -> None:
    bad = [cond("rod_bearing", "wiped", cylinder=n) for n in (3, 6, 1)]
    assert told(*bad) == ["Rod bearings 1, 3 and 6 were wiped."]


def test_different_degrees_and_guards_are_not_folded_together() -> None:
    texts = told(
        cond("cylinder_bore", "scored", cylinder=1, degree=Degree.LIGHT),
        cond("cylinder_bore", "scored", cylinder=2, degree=Degree.HEAVY),
        cond("cylinder_bore", "scored", cylinder=3, hedged=True),
        cond("cylinder_bore", "scored", cylinder=4, present=False),
    )
    assert sorted(texts) == [
        "Cylinder bore 1 was found lightly scored.", "Cylinder bore 2 was heavily scored.",
        "Cylinder bore 3 looked scored.", "No scoring was seen on cylinder bore 4.",
    ]  # fmt: skip


def test_one_place_with_several_faults_is_one_sentence_worst_first() -> None:
    texts = told(*(cond("main_bearing", name, journal=2) for name in ("scored", "wiped", "copper_showing", "good")))
    assert texts == ["Main bearing 2 was wiped and scored and had copper showing.", "Main bearing 2 was found good."]


def test_places_are_told() -> None:
    assert told(cond("valve", "burned", cylinder=2, valve="exhaust")) == ["Exhaust valve 2 was burned."]
    assert told(cond("head_gasket", "blown", cylinder=2), cond("head_gasket", "blown", cylinder=3)) == [
        "The head gasket was blown at cylinders 2 and 3."
    ]
    assert told(cond("main_bearing", "wiped", journal=3, shell="upper")) == [
        "Main bearing 3 was wiped on the upper shell."
    ]
    assert told(cond("piston_skirt", "scuffed", cylinder=4, side="thrust")) == [
        "Piston skirt 4 was scuffed on the thrust side."
    ]
    assert told(cond("cylinder_head", "warped", bank="left")) == ["The cylinder head was warped on the left bank."]


def test_a_group_is_told_as_a_group() -> None:
    assert told(cond("lifter", "good", hedged=True), text="the lifters look good") == ["The lifters looked good."]
    assert told(cond("rocker_arm", "good"), text="the rest of the rockers are good") == [
        "The other rocker arms were good."
    ]
    assert told(cond("cylinder_head", "cracked", present=False), text="no cracks in the heads") == [
        "No cracks were seen on the cylinder heads."
    ]


def test_what_was_only_said_of_the_group_is_no_look_at_each() -> None:
    record = record_of([("the lifters look good", [cond("lifter", "good", hedged=True)])])
    report = build(record, engine(), None, options=FIXED)
    table = next(table for table in report.tables() if table.title == "Extent of inspection")
    assert table.rows[0].cells[:3] == ("Lifters", "0", "6")
    assert any("Spoken of as a group" in sentence.text for sentence in report.sentences())


@pytest.mark.parametrize(
    ("finding", "sentence"),
    [
        (size("crankshaft", "end_float", "0.0110"), "End float of the crankshaft was 0.0110 in."),
        (size("top_ring", "end_gap", "0.019", cylinder=1, bound="at_least"),
         "End gap of top ring 1 was at least 0.019 in."),
        (size("top_ring", "end_gap", "0.019", cylinder=1, bound="about"), "End gap of top ring 1 was about 0.019 in."),
        (size("main_bearing", "clearance", "0.002", upper=Decimal("0.003"), journal=1),
         "Clearance at main bearing 1 was 0.002 to 0.003 in."),
        (size("cylinder_bore", "compression", "112", "psi", cylinder=6), "Compression at cylinder 6 was 112 psi."),
        (size("cylinder_bore", "leakage", "31", "percent", cylinder=6), "Leak-down at cylinder 6 was 31%."),
        (size("crankshaft", "end_float", "0.011", hedged=True), "End float of the crankshaft may have been 0.011 in."),
        (size("engine", "distance_run", "98000", "mi"), "Distance run of the engine was 98,000 mi."),
    ],
)  # fmt: skip
def test_measurements_keep_the_digits_that_were_spoken(finding: Finding, sentence: str) -> None:
    assert told(finding) == [sentence]


@pytest.mark.parametrize(
    ("finding", "both"),
    [
        (size("crankshaft", "end_float", "0.011"), "0.011 in (0.28 mm)"),
        (size("main_journal", "diameter", "2.6484", journal=1), "2.6484 in (67.269 mm)"),
        (size("cylinder_bore", "diameter", "92.47", "mm", cylinder=1), "92.47 mm (3.6406 in)"),
        (size("head_bolt", "torque", "60", "ft_lbf"), "60 ft-lb (81 N·m)"),
        (size("cylinder_bore", "compression", "162", "psi", cylinder=1), "162 psi (1117 kPa)"),
        (size("thermostat", "temperature", "195", "deg_F"), "195 °F (90.6 °C)"),
        (size("main_bearing", "clearance", "0.002", upper=Decimal("0.003"), journal=1),
         "0.002 to 0.003 in (0.05 to 0.08 mm)"),
        (size("cylinder_bore", "leakage", "31", "percent", cylinder=1), "31%."),
    ],
)  # fmt: skip
def test_both_systems_on_request(finding: Finding, both: str) -> None:
    assert both in told(finding, options=Options(made_at=WHEN, units=Units.BOTH))[0]


def test_many_readings_are_a_range_with_a_table() -> None:
    readings = [size("main_journal", "diameter", f"2.64{n}", journal=n) for n in (1, 2, 3, 4)]
    report = build(record_of([("", [item]) for item in readings]), engine(), None, options=FIXED)
    texts = [sentence.text for sentence in report.sentences()]
    assert any("at 4 places, from 2.641 in to 2.644 in" in text for text in texts)
    table = next(table for table in report.tables() if table.title == "Measurements")
    assert [row.cells[3] for row in table.rows] == ["2.641 in", "2.642 in", "2.643 in", "2.644 in"]


def test_regions_come_in_teardown_order_or_worst_first() -> None:
    def regions(arrangement: Arrangement) -> list[str]:
        report = build(demo(), engine(), None, options=Options(made_at=WHEN, arrangement=arrangement))
        return [section.key.removeprefix("found-") for section in report.sections if section.key.startswith("found-")]

    teardown, worst = regions(Arrangement.TEARDOWN), regions(Arrangement.IMPORTANCE)
    assert teardown == [name for name in region_order() if name in teardown]
    assert sorted(worst) == sorted(teardown)
    assert worst != teardown
    assert worst[0] == "block"


def test_the_blurb_has_eighty_words_at_most_and_never_hides_what_was_not_inspected() -> None:
    for record, of in [(demo(), engine()), *(random_record(seed) for seed in range(60))]:
        report = build(record, of, None, options=FIXED)
        assert words_in(report.blurb) <= LIMIT == 80
        assert report.blurb.startswith("USED")
        assert "Not rebuilt." in report.blurb
        if any(entry.finding.kind is Kind.UNSEEN for entry in record.filed_entries()):
            assert "Not inspected:" in report.blurb


def test_long_names_dont_break_the_blurb() -> None:
    of = engine(maker="word " * 300, family="x " * 300, stock="a b c d e f g h i j k l m n o p")
    report = build(demo(), of, None, options=FIXED)
    assert words_in(report.blurb) <= 80


def test_the_short_report_is_shorter_and_says_so() -> None:
    full = build(demo(), engine(), None, options=FIXED)
    page = build(demo(), engine(), None, options=Options(made_at=WHEN, length=Length.PAGE))
    assert len(page.sentences()) < len(full.sentences()) / 3
    assert any("further findings are in the full report" in sentence.text for sentence in page.sentences())
    assert not any(sentence.refs for sentence in page.sentences())
    assert any(sentence.evidence for sentence in page.sentences())


def test_an_empty_record_says_that_there_is_nothing() -> None:
    report = build(record_of([], filed=False), engine(), None, options=FIXED)
    text = " ".join(sentence.text for sentence in report.sentences())
    assert "No finding has been accepted" in text
    assert report.revision is None
    files = make(report, list(Format))
    assert {"QF-114-report.md", "QF-114-report.pdf", "QF-114-labels.pdf"} <= set(files)


def test_every_finding_sentence_names_its_evidence_and_every_entry_is_told() -> None:
    for record, of in [(demo(), engine()), *(random_record(seed) for seed in range(30))]:
        report = build(record, of, None, options=FIXED)
        told_ids = set()
        for sentence in report.sentences():
            if sentence.says is Says.FINDING:
                assert sentence.evidence, sentence.text
                told_ids |= set(sentence.evidence)
        for table in report.tables():
            told_ids |= {item for row in table.rows if row.claim for item in row.evidence}
        assert told_ids == {entry.id for entry in record.filed_entries()}


def test_findings_that_were_kept_side_by_side_say_so() -> None:
    record = record_of([("", [cond("piston", "good", cylinder=1)]), ("", [cond("piston", "scored", cylinder=1)])])
    settled = ContradictionSettled(first="s1.0.0", second="s1.1.0", decision="both", reason="two sides of it")
    report = build(replace(record, settled=(settled,)), engine(), None, options=FIXED)
    texts = " ".join(sentence.text for sentence in report.sentences())
    assert "both were kept: Piston 1 was good. Piston 1 was scored. The reason given: two sides of it." in texts


def test_every_name_of_the_lexicon_has_wording_a_region_and_a_weight() -> None:
    words = lexicon.load()
    for kind in ("parts", "conditions", "quantities", "actions"):
        assert set(getattr(words, kind)) <= set(WORDS.table(kind)), kind
    placed = [part for region in data("parts")["region"] for part in region["parts"]]
    assert sorted(placed) == sorted(set(placed))
    assert set(words.parts) <= set(placed)
    assert set(words.conditions) <= set(data("conditions"))
    units = {unit.unit for unit in words.units.values()}
    assert units <= set(WORDS.table("units"))


def test_a_name_that_nobody_knows_is_written_as_it_is_named() -> None:
    assert told(cond("left_widget", "odd_looking")) == ["The left widget was odd looking."]
    phrases = Phrases(WORDS, lexicon.load(), engine())
    assert phrases.part("left_widget") == "left widget"


def test_reports_build_and_read_for_every_condition_and_form() -> None:
    for name in data("conditions"):
        for degree in (None, *Degree):
            for present in (True, False):
                for hedged in (True, False):
                    item = cond("oil_pan", name, degree=degree, present=present, hedged=hedged)
                    (sentence,) = told(item)
                    assert sentence.endswith(".")
                    assert "  " not in sentence
                    if degree:
                        assert degree.value.removesuffix("y") in sentence, sentence
