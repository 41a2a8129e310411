"""The narrative says what the record holds and nothing else: read back through the real grammar, both must be equal."""

from __future__ import annotations

import pytest

from benchvoice import lexicon
from benchvoice.domain.engine import Engine
from benchvoice.domain.record import Record, Status
from benchvoice.report import Arrangement, Options, Report, Units, build
from benchvoice.report.model import Says
from tests.report.readback import claim, number_in_words, read_sentences, spoken, stated
from tests.report.records import FIXED, WHEN, demo, engine, finding, random_record, record_of

RANDOM = 500


def _compare(record: Record, of: Engine, report: Report) -> None:
    read = read_sentences(stated(report), of)
    filed = {claim(entry.finding) for entry in record.filed_entries()}
    told = {item for claims in read.values() for item in claims}
    for sentence, claims in read.items():
        assert claims, f"nobody would understand {sentence!r}"
        assert set(claims) <= filed, sentence
    assert told == filed


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("arrangement", list(Arrangement))
def test_the_demos_report_reads_back_as_its_record(units: Units, arrangement: Arrangement) -> None:
    options = Options(made_at=WHEN, units=units, arrangement=arrangement)
    record, of = demo(), engine()
    _compare(record, of, build(record, of, lexicon.load(), options=options))


@pytest.mark.parametrize("block", range(0, RANDOM, 50))
def test_random_records_read_back(block: int) -> None:
    for seed in range(block, block + 50):
        record, of = random_record(seed)
        _compare(record, of, build(record, of, lexicon.load(), options=FIXED))


def test_each_sentence_stands_on_the_entries_that_it_names() -> None:
    """Not only the sum: what a sentence is read as are exactly the claims of its own evidence."""
    for seed in range(40):
        record, of = random_record(seed)
        report = build(record, of, None, options=FIXED)
        entries = record.entries
        told = [sentence for sentence in report.sentences() if sentence.says is Says.FINDING]
        read = read_sentences([sentence.text for sentence in told], of)
        for sentence in told:
            evidence = {claim(entries[item].finding) for item in sentence.evidence}
            assert set(read[sentence.text]) == evidence, sentence.text


def test_findings_that_were_not_accepted_are_not_told() -> None:
    wiped = {
        "kind": "condition",
        "part": "rod_bearing",
        "place": {"cylinder": 3},
        "condition": "wiped",
        "present": True,
    }
    record = record_of([("number three rod bearing is wiped", [finding(wiped, "")])], filed=False)
    entry = next(iter(record.entries.values()))
    for status in (Status.PROPOSED, Status.DROPPED, Status.WITHDRAWN):
        object.__setattr__(entry, "status", status)
        report = build(record, engine(), None, options=FIXED)
        text = " ".join(sentence.text for sentence in report.sentences()) + report.blurb
        assert "wiped" not in text
        assert not report.evidence
        assert not report.labels
        assert ("1 finding that nobody has reviewed" in report.left_out) is (status is Status.PROPOSED)
    object.__setattr__(entry, "status", Status.ACCEPTED)
    report = build(record, engine(), None, options=FIXED)
    assert "Rod bearing 3 was wiped." in [sentence.text for sentence in report.sentences()]


def test_the_blurb_and_the_short_report_say_nothing_new() -> None:
    record, of = demo(), engine()
    report = build(record, of, lexicon.load(), options=FIXED)
    filed = {claim(entry.finding) for entry in record.filed_entries()}
    told = {sentence.text for sentence in report.sentences() if sentence.says is Says.FINDING}
    inside = [sentence for sentence in told if sentence in report.blurb]
    assert inside
    rest = report.blurb.partition("Not rebuilt. ")[2]
    for sentence in sorted(inside, key=len, reverse=True):
        rest = rest.replace(sentence, "")
    for sentence, claims in read_sentences([f"{part}." for part in rest.split(". ")], of).items():
        assert all(item in filed or item[0] == "unseen" for item in claims), sentence


def test_how_written_numbers_are_said() -> None:
    assert number_in_words("3.542") == "three point five four two"
    assert number_in_words("125") == "one hundred twenty five"
    assert spoken("Diameter of cylinder bore 1 in the middle was 3.6408 in (92.476 mm).") == (
        "diameter of cylinder bore one in the middle was three point six four zero eight inches"
    )
