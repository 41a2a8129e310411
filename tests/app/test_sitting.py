from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from benchvoice.app.sitting import SPLIT_BASE, carry_on, listen, open_sitting
from benchvoice.app.typed import utterances
from benchvoice.domain.record import Status
from benchvoice.domain.words import Utterance, typed
from benchvoice.errors import BenchvoiceError, SoundError, UnknownStockError
from benchvoice.interpret import Reader
from benchvoice.journal import Journal
from tests.app.conftest import STOCK, hear


def test_what_is_heard_is_committed_with_its_findings_and_the_sitting_closed(journal: Journal, reader: Reader) -> None:
    sitting = hear(journal, reader)
    record = journal.record(STOCK)
    assert list(record.sittings) == [sitting.sitting] == [f"{STOCK}-s1"]
    assert record.sittings[sitting.sitting].closed
    assert [said.reading.utterance.n for said in record.said.values()] == list(range(9))
    first = record.entries[f"{STOCK}-s1.0.0"].finding
    assert (first.part, first.place.cylinder, first.condition) == ("rod_bearing", 3, "wiped")
    carried = record.entries[f"{STOCK}-s1.1.0"].finding
    assert (carried.part, carried.place.cylinder, carried.condition) == ("rod_bearing", 3, "copper_showing")


def test_a_strike_by_voice_is_in_the_record(journal: Journal, reader: Reader) -> None:
    hear(journal, reader)
    record = journal.record(STOCK)
    assert record.said[(f"{STOCK}-s1", 3)].withdrawn
    assert all(record.entries[name].status is Status.WITHDRAWN for name in record.said[(f"{STOCK}-s1", 3)].entries)


def test_questions_notes_and_marks_are_kept_as_spoken(journal: Journal, reader: Reader) -> None:
    hear(journal, reader)
    (mark,) = journal.record(STOCK).sittings[f"{STOCK}-s1"].marks
    assert (mark.what, mark.text) == ("question", "check the oil pump later")


def test_each_utterance_is_there_for_others_before_the_next_is_heard(journal: Journal, reader: Reader) -> None:
    sitting = open_sitting(journal, STOCK, reader, source="text")
    with Journal.open() as other:
        for n, _ in enumerate(listen(sitting, utterances([b"rod bearing one is wiped", b"rod bearing two is good"]))):
            assert len(other.record(STOCK).said) == n + 1


def test_sittings_get_the_next_free_name(journal: Journal, reader: Reader) -> None:
    assert [hear(journal, reader, "hello").sitting for _ in range(3)] == [f"{STOCK}-s{k}" for k in (1, 2, 3)]
    assert open_sitting(journal, STOCK.lower(), reader, source="text").sitting == f"{STOCK}-s4"


def test_an_unknown_engine_is_refused(journal: Journal, reader: Reader) -> None:
    with pytest.raises(UnknownStockError, match="E-0417"):
        open_sitting(journal, "E-0471", reader, source="text")


def test_what_was_heard_before_a_source_failed_stays(journal: Journal, reader: Reader) -> None:
    def source() -> Iterator[Utterance]:
        yield typed(0, "rod bearing one is wiped")
        raise SoundError("The file is cut off.")

    sitting = open_sitting(journal, STOCK, reader, source="file")
    with pytest.raises(SoundError):
        list(listen(sitting, source()))
    record = journal.record(STOCK)
    assert len(record.said) == len(record.unreviewed()) == 1
    assert record.sittings[sitting.sitting].closed


def test_stopping_in_the_middle_keeps_what_was_heard(journal: Journal, reader: Reader) -> None:
    sitting = open_sitting(journal, STOCK, reader, source="file")
    heard = listen(sitting, utterances([b"rod bearing one is wiped"] * 5))
    next(heard)
    next(heard)
    heard.close()
    assert len(journal.record(STOCK).said) == 2
    closed = [event.body for event in journal.events(STOCK) if event.body.name == "sitting_closed"]
    assert [body.why for body in closed] == ["stopped"]


def test_a_fault_in_reading_never_costs_the_words(journal: Journal, reader: Reader) -> None:
    class Faulty(Reader):
        def read(self, utterance, context):
            if utterance.n == 1:
                raise ZeroDivisionError
            return super().read(utterance, context)

    hear(journal, Faulty(reader.lexicon, reader.engine), "rod bearing one is wiped\ncopper showing\nscored too")
    record = journal.record(STOCK)
    assert [said.reading.utterance.text for said in record.said.values()][1] == "copper showing"
    (gap,) = record.sittings[f"{STOCK}-s1"].gaps
    assert (gap.why, gap.detail) == ("not_read", "ZeroDivisionError()")
    assert record.entries[f"{STOCK}-s1.2.0"].finding.place.cylinder == 1, "the focus carries over the gap"


def test_a_sitting_that_was_cut_off_goes_on_with_its_numbers_and_its_focus(journal: Journal, reader: Reader) -> None:
    sitting = open_sitting(journal, STOCK, reader, source="text")
    sitting.hear(typed(0, "number three rod bearing is out"))
    assert journal.unfinished(STOCK) == [(STOCK, sitting.sitting)]
    again = carry_on(journal, STOCK, sitting.sitting, reader)
    assert again.next_n == 1
    reading = again.hear(typed(again.next_n, "copper showing"))
    assert reading.findings[0].place.cylinder == 3
    with pytest.raises(BenchvoiceError, match="no sitting"):
        carry_on(journal, STOCK, "nothing", reader)


def test_numbers_of_split_utterances_dont_disturb_those_to_come(journal: Journal, reader: Reader, review) -> None:
    review.split(f"{STOCK}-s1", 3, 5)
    again = carry_on(journal, STOCK, f"{STOCK}-s1", reader)
    assert again.next_n == 9 < SPLIT_BASE


def test_peeking_keeps_nothing(journal: Journal, reader: Reader) -> None:
    sitting = open_sitting(journal, STOCK, reader, source="text")
    sitting.hear(typed(0, "number three rod bearing is out"))
    before = journal.last_event()
    assert sitting.peek(typed(1, "piston five is scuffed")).findings
    assert journal.last_event() == before
    assert sitting.hear(typed(1, "copper showing")).findings[0].part == "rod_bearing"


def test_any_bytes_are_typed_talk(journal: Journal, reader: Reader) -> None:
    lines = [b"\xff\xfe\x00", b"\x1b[31mrod bearing one is wiped\x07", "﻿rod bearing two is wiped\r".encode(), b""]
    heard = list(utterances(lines))
    assert [utterance.n for utterance in heard] == [0, 1, 2, 3]
    assert all(word.text.isprintable() for utterance in heard for word in utterance.words)
    sitting = open_sitting(journal, STOCK, reader, source="text")
    readings = list(listen(sitting, heard))
    assert readings[2].findings[0].place.cylinder == 2
    assert replace(readings[3].utterance).words == ()
