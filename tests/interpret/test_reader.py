"""Commands, focus, explanation and flags of the reader."""

from __future__ import annotations

from decimal import Decimal

import pytest

from benchvoice.domain.engine import Engine, Fuel, Layout
from benchvoice.domain.findings import Finding, Flag, Kind
from benchvoice.domain.readings import Order, Reading
from benchvoice.domain.words import Utterance, Word, typed
from benchvoice.interpret import Reader, explain
from benchvoice.interpret.focus import FAR, TOO_FAR
from benchvoice.lexicon import load

READER = Reader(load())


def read(*lines: str, reader: Reader = READER) -> list[Reading]:
    return list(reader.read_all(typed(n, line) for n, line in enumerate(lines)))


def last(*lines: str, reader: Reader = READER) -> list[Finding]:
    return list(read(*lines, reader=reader)[-1].findings)


@pytest.mark.parametrize(
    ("line", "order", "text"),
    [
        ("strike that", Order.STRIKE, ""),
        ("read that back", Order.READ_BACK, ""),
        ("mark that", Order.MARK, ""),
        ("hold", Order.HOLD, ""),
        ("carry on", Order.CARRY_ON, ""),
        ("new part oil pump", Order.NEW_PART, "oil pump"),
        ("note the Bolts are in the tray", Order.NOTE, "the bolts are in the tray"),
        ("question where did the coolant go", Order.QUESTION, "where did the coolant go"),
    ],
)
def test_commands_are_told_from_speech(line: str, order: Order, text: str) -> None:
    command = read("rod bearing two is wiped", line)[-1].command
    assert command is not None
    assert (command.order, command.text) == (order, text)


@pytest.mark.parametrize(
    "line", ["hold the crank while i look", "the note on the block says rebuilt", "mark on number two"]
)
def test_speech_that_begins_like_a_command_is_none(line: str) -> None:
    assert read(line)[0].command is None


def test_strike_takes_back_one_utterance_at_a_time_and_not_the_chatter() -> None:
    readings = read(
        "rod one is bent", "rod two is bent", "you want a coffee", "strike that", "strike that", "strike that"
    )
    assert [item.withdraws for item in readings[3:]] == [(1,), (0,), ()]


def test_correction_is_read_in_the_place_of_what_it_takes_back() -> None:
    reading = read("number two rod is bent", "correction number four rod is bent")[-1]
    assert reading.withdraws == (0,)
    assert reading.findings[0].place.cylinder == 4


def test_new_part_sets_the_focus_and_claims_nothing() -> None:
    first, second = read("new part oil pump", "it's scored")
    assert not first.findings
    assert [(item.part, item.condition) for item in second.findings] == [("oil_pump", "scored")]


def test_focus_is_flagged_when_it_is_far_and_lost_when_too_far() -> None:
    filler = "you want a coffee"
    near = last("rod bearing two is wiped", *[filler] * (FAR - 1), "it's scored")
    far = last("rod bearing two is wiped", *[filler] * FAR, "it's scored")
    assert Flag.FOCUS_FAR not in near[0].flags
    assert Flag.FOCUS_FAR in far[0].flags
    assert not last("rod bearing two is wiped", *[filler] * TOO_FAR, "it's scored")


def test_explain_names_words_rules_and_where_the_focus_came_from() -> None:
    lines = explain(read("number four rod cap is off", "bearing looks badly wiped")[-1])
    text = "\n".join(lines)
    assert "condition = wiped: “wiped”, rule conditions" in text
    assert "cylinder = 4: carried over from utterance 0" in text
    assert "degree = heavy: “badly”, rule degrees" in text
    assert "hedged = true: “looks”, rule hedges" in text


def test_a_repaired_word_is_flagged() -> None:
    (finding,) = last("number three rob bearing is wiped")
    assert finding.part == "rod_bearing"
    assert Flag.REPAIRED in finding.flags


def test_a_doubtful_word_lowers_confidence_and_is_flagged() -> None:
    words = tuple(
        Word(text=text, confidence=0.3 if text == "wiped" else 0.9) for text in ["rod", "bearing", "two", "is", "wiped"]
    )
    reading, _ = READER.read(Utterance(n=0, words=words), READER.start())
    assert reading.findings[0].confidence == 0.3
    assert Flag.LOW_CONFIDENCE in reading.findings[0].flags


def test_the_mate_is_the_other_rod_of_the_pin() -> None:
    reader = Reader(load(), Engine(stock="T", layout=Layout.VEE, cylinders=8))
    (finding,) = last("rod bearing three is wiped", "the mate is wiped too", reader=reader)
    assert finding.place.cylinder == 4


def test_a_diesel_makes_a_higher_compression_believable() -> None:
    diesel = Reader(load(), Engine(stock="T", fuel=Fuel.DIESEL))
    (finding,) = last("compression on number one is four hundred and ten", reader=diesel)
    assert (finding.value, finding.flags) == (Decimal(410), ())


def test_an_unbelievable_value_is_kept_and_flagged() -> None:
    (finding,) = last("crank end play is nine inches")
    assert finding.value == 9
    assert Flag.IMPLAUSIBLE in finding.flags


@pytest.mark.parametrize(
    ("line", "by"), [("i bent the pan taking it off", "teardown"), ("somebody cut the harness open before", "before")]
)
def test_who_did_it(line: str, by: str) -> None:
    assert [(item.kind, item.done_by) for item in last(line)] == [(Kind.EVENT, by)]


def test_typed_figures_and_signs_are_read_like_words() -> None:
    (finding,) = last('Number 3 rod bearing clearance is .0025".')
    assert (finding.place.cylinder, finding.value, finding.unit) == (3, Decimal("0.0025"), "in")
