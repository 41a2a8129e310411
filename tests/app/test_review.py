from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from benchvoice.app.filing import last_look
from benchvoice.app.review import Review
from benchvoice.domain.findings import Finding, Flag, Kind, Place
from benchvoice.domain.record import Status
from benchvoice.errors import BenchvoiceError
from benchvoice.interpret import Reader
from benchvoice.journal import Journal
from benchvoice.lexicon import Lexicon
from tests.app.conftest import STOCK, hear

S = f"{STOCK}-s1"


def claims(review: Review, n: int) -> list[tuple[str, int | None, str | None]]:
    """What stands of an utterance: part, number, condition."""
    entries = [review.record.entries[name] for name in review.record.said[(S, n)].entries]
    return [
        (entry.finding.part, entry.finding.place.cylinder or entry.finding.place.journal, entry.finding.condition)
        for entry in entries
        if entry.counts
    ]


def test_accepting_and_dropping_are_one_step_each(review: Review) -> None:
    waiting = [entry.id for entry in review.unreviewed()]
    review.accept(waiting)
    assert not review.unreviewed()
    review.drop(waiting[:1], "misheard")
    assert review.record.entries[waiting[0]].status is Status.DROPPED
    assert review.undo() is not None
    assert review.record.entries[waiting[0]].status is Status.ACCEPTED
    assert review.undo() is not None
    assert len(review.unreviewed()) == len(waiting)
    assert review.undo() is None
    step = review.redo()
    assert step is not None
    assert [event.body.name for event in step.events] == ["findings_accepted"]


def test_nothing_to_do_leaves_no_event(review: Review) -> None:
    waiting = [entry.id for entry in review.unreviewed()]
    review.accept(waiting)
    before = review.journal.last_event()
    review.accept(waiting)
    review.accept([])
    entry = review.record.entries[waiting[0]]
    review.correct_finding(waiting[0], entry.finding)
    review.correct_words(S, 0, review.record.said[(S, 0)].reading.utterance.text)
    review.move([waiting[0]], cylinder=entry.finding.place.cylinder)
    assert review.journal.last_event() == before


def test_other_words_are_read_in_the_place_where_they_were_said(review: Review) -> None:
    review.correct_words(S, 1, "  Scored   BADLY ")
    assert claims(review, 1) == [("rod_bearing", 3, "scored")]
    assert review.record.said[(S, 1)].heard.utterance.text == "copper showing"
    assert review.record.said[(S, 1)].reading.utterance.text == "scored badly"


def test_later_utterances_follow_a_corrected_focus(review: Review) -> None:
    (own, later) = review.preview_words(S, 0, "number six rod bearing is wiped")
    assert (own.n, later.n) == (0, 1)
    assert claims(review, 1) == [("rod_bearing", 3, "copper_showing")], "a preview writes nothing"
    review.correct_words(S, 0, "number six rod bearing is wiped")
    assert claims(review, 0) == [("rod_bearing", 6, "wiped")]
    assert claims(review, 1) == [("rod_bearing", 6, "copper_showing")]
    review.undo()
    assert claims(review, 0) == [("rod_bearing", 3, "wiped")]
    assert claims(review, 1) == [("rod_bearing", 3, "copper_showing")], "one step, one undo"


def test_later_findings_that_the_person_decided_about_dont_follow(review: Review) -> None:
    review.accept([f"{S}.1.0"])
    review.correct_words(S, 0, "number six rod bearing is wiped")
    assert ("rod_bearing", 3, "copper_showing") in claims(review, 1)


def test_corrected_words_can_be_accepted_in_the_same_step(review: Review) -> None:
    review.correct_words(S, 0, "number six rod bearing is wiped", accept=True)
    entry = next(entry for entry in review.record.accepted())
    assert entry.finding.place.cylinder == 6
    review.undo()
    assert not review.record.accepted()
    assert claims(review, 0) == [("rod_bearing", 3, "wiped")]
    review.redo()
    assert [entry.finding.place.cylinder for entry in review.record.accepted()] == [6]


def test_a_misheard_strike_can_be_put_right(review: Review) -> None:
    assert not claims(review, 3)
    review.correct_words(S, 4, "stripe on that")
    assert ("main_bearing", 4, "wiped") in claims(review, 3)


def test_a_finding_corrected_by_hand_is_certain_and_keeps_its_words(review: Review) -> None:
    entry = review.record.entries[f"{S}.0.0"]
    doubtful = replace(entry.finding, place=Place(cylinder=5), flags=(Flag.LOW_CONFIDENCE,), confidence=0.3)
    review.correct_finding(entry.id, doubtful)
    after = review.record.entries[entry.id]
    assert (after.finding.flags, after.finding.confidence, after.status) == ((), 1.0, Status.ACCEPTED)
    assert after.finding.text == entry.finding.text
    assert after.original == entry.finding


def test_a_place_that_the_engine_lacks_stays_flagged(review: Review) -> None:
    review.correct_finding(f"{S}.0.0", replace(review.record.entries[f"{S}.0.0"].finding, place=Place(cylinder=9)))
    assert review.record.entries[f"{S}.0.0"].finding.flags == (Flag.NOT_ON_ENGINE,)
    review.move([f"{S}.0.0"], cylinder=2)
    assert review.record.entries[f"{S}.0.0"].finding.flags == ()


def test_a_whole_stretch_moves_to_another_cylinder_in_one_step(review: Review) -> None:
    entries = review.stretch(S, 2, 0, at=Place(cylinder=3))
    assert [entry.finding.condition for entry in entries] == ["wiped", "copper_showing"]
    assert review.move((entry.id for entry in entries), cylinder=6) == 2
    assert claims(review, 0) == [("rod_bearing", 6, "wiped")]
    assert claims(review, 1) == [("rod_bearing", 6, "copper_showing")]
    assert claims(review, 2) == [("rod_bearing", 5, "good")]
    review.undo()
    assert claims(review, 1) == [("rod_bearing", 3, "copper_showing")]


def test_findings_are_added_by_hand(review: Review) -> None:
    finding = Finding(kind=Kind.MEASUREMENT, part="cylinder_bore", place=Place(cylinder=2), quantity="diameter",
                      value=Decimal("3.5420"), unit="in", resolution=Decimal("0.0005"))  # fmt: skip
    name = review.add(finding, S, 6)
    entry = review.record.entries[name]
    assert (entry.status, entry.n, str(entry.finding.value)) == (Status.ACCEPTED, 6, "3.5420")
    assert name in review.record.said[(S, 6)].entries
    other = review.add(finding)
    assert other != name
    left = review.leave_unlooked("oil_pump", reason="sold as it is")
    assert review.record.entries[left].finding.kind is Kind.UNSEEN
    for _ in range(3):
        review.undo()
    assert not {name, other, left} & review.record.entries.keys()


def test_adding_before_anything_was_heard(journal: Journal, lexicon: Lexicon) -> None:
    review = Review(journal, STOCK, lexicon)
    name = review.add(Finding(kind=Kind.CONDITION, part="oil_pan", condition="cracked"))
    assert review.record.accepted()[0].id == name


def test_a_split_reads_each_half_in_turn(review: Review) -> None:
    review.correct_words(S, 4, "stripe on that")
    review.accept([entry.id for entry in review.unreviewed()])
    new = review.split(S, 3, 5)
    numbers = [said.reading.utterance.n for said in review.record.said.values()]
    assert numbers[3:5] == [3, new]
    assert review.record.said[(S, new)].reading.utterance.text == "number four which is wiped"
    assert claims(review, 3) == [("main_bearing", None, "good")]
    assert claims(review, new) == [("main_bearing", 4, "wiped")]
    assert not review.unreviewed(), "both halves still claim what was accepted"
    review.undo()
    assert [said.reading.utterance.n for said in review.record.said.values()] == list(range(9))
    for at in (0, 10):
        with pytest.raises(BenchvoiceError, match="between two of its words"):
            review.split(S, 3, at)


def test_merging_reads_both_as_one(journal: Journal, lexicon: Lexicon, reader: Reader) -> None:
    hear(journal, reader, "bore one measures three point five\nfour two\nrod bearing six is wiped")
    review = Review(journal, STOCK, lexicon, reader)
    review.merge(S, 1, 0)
    said = review.record.said
    assert [key[1] for key in said] == [0, 2]
    assert said[(S, 0)].reading.utterance.text == "bore one measures three point five four two"
    values = [entry.finding.value for entry in review.record.standing() if entry.finding.kind is Kind.MEASUREMENT]
    assert values == [Decimal("3.542")]
    review.undo()
    assert [key[1] for key in review.record.said] == [0, 1, 2]
    with pytest.raises(BenchvoiceError, match="another one"):
        review.merge(S, 0, 0)


def test_contradictions_are_listed_and_settled(journal: Journal, lexicon: Lexicon, reader: Reader) -> None:
    hear(journal, reader, "rod bearing three is good\nrod bearing three is wiped\nrod bearing three is good")
    review = Review(journal, STOCK, lexicon, reader)
    (found,) = review.contradictions()
    with pytest.raises(BenchvoiceError, match="without a reason"):
        review.settle(found, "both")
    with pytest.raises(BenchvoiceError, match="no decision"):
        review.settle(found, "neither")
    wiped = "first" if found.first.finding.condition == "wiped" else "second"
    review.settle(found, wiped, "looked again")
    assert not review.contradictions()
    assert [entry.finding.condition for entry in review.record.standing()] == ["wiped"], "said twice, dropped twice"
    review.undo()
    assert len(review.contradictions()) == 1
    assert not last_look(review.record, lexicon.opposites).ready


def test_undo_goes_on_after_a_restart_without_limit(review: Review, lexicon: Lexicon, reader: Reader) -> None:
    start = review.record
    for k in range(1, 7):
        review.move([f"{S}.0.0"], cylinder=k)
        review.correct_words(S, 7, f"nice weather number {k}")
    review.journal.close()
    undone = 0
    while True:
        with Journal.open() as journal:
            if Review(journal, STOCK, lexicon, reader).undo() is None:
                break
            undone += 1
    assert undone == 12
    with Journal.open() as journal:
        assert journal.record(STOCK).entries == start.entries
        assert journal.record(STOCK).said == start.said


def test_what_isnt_there_is_said(review: Review) -> None:
    for wrong in (
        lambda: review.accept(["nothing"]),
        lambda: review.correct_words(S, 99, "x"),
        lambda: review.split(S, 99, 1),
        lambda: review.preview_words("nothing", 0, "x"),
    ):
        with pytest.raises(BenchvoiceError):
            wrong()


def test_a_second_terminal_sees_and_joins_in(review: Review, lexicon: Lexicon, reader: Reader) -> None:
    with Journal.open() as journal:
        other = Review(journal, STOCK, lexicon, reader)
        other.record  # noqa: B018 it has looked before
        review.accept([f"{S}.0.0"])
        assert other.changed()
        assert other.record == review.record
        other.undo()
        assert review.record.entries[f"{S}.0.0"].status is Status.PROPOSED
