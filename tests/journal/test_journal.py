from __future__ import annotations

import sqlite3
import stat
import threading
from pathlib import Path

import pytest
from hypothesis import given, settings

from benchvoice.app.live.recording import RESERVE_BYTES
from benchvoice.domain.engine import Engine
from benchvoice.domain.events import (
    EngineTakenIn,
    Event,
    FindingCorrected,
    FindingsAccepted,
    FindingsDropped,
    Marked,
    SittingClosed,
    SittingOpened,
    StretchBlanked,
    Undone,
    UtteranceHeard,
    WordsCorrected,
)
from benchvoice.domain.fold import fold
from benchvoice.errors import JournalError, UnknownStockError
from benchvoice.journal import Journal
from benchvoice.journal.schema import PROJECTED
from tests.domain.strategies import SITTING, STOCK, stories
from tests.domain.test_fold import finding, heard, reading


def tables(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Everything in the tables for browsing, but for row numbers that say nothing."""
    with sqlite3.connect(path) as conn:
        out = {}
        for table in PROJECTED:
            names = [row[1] for row in conn.execute(f"PRAGMA table_info({table})") if row[1] != "id"]
            out[table] = sorted(conn.execute(f"SELECT {', '.join(names)} FROM {table}"), key=repr)
        out["search"] = sorted(conn.execute("SELECT words, heard FROM utterances_fts"), key=repr)
    return out


def append_story(journal: Journal, events: list[Event]) -> None:
    """The same events with the same ids and batches, one transaction each batch."""
    done = 0
    while done < len(events):
        size = 1
        if events[done].batch is not None:
            size = sum(event.batch == events[done].batch for event in events)
        bodies = [event.body for event in events[done : done + size]]
        stored = journal.append(bodies, STOCK, batch=size > 1, at=events[done].at)
        assert stored == events[done : done + size]
        done += size


@settings(max_examples=60, deadline=None)
@given(stories())
def test_the_journal_gives_back_the_story_and_its_record(tmp_path_factory, events: list[Event]) -> None:
    path = tmp_path_factory.mktemp("law") / "journal.db"
    with Journal.open(path) as journal:
        append_story(journal, events)
        assert journal.record(STOCK) == fold(events)
    with Journal.open(path) as journal:
        assert journal.events(STOCK) == events
        assert journal.record(STOCK) == fold(events)
        assert not journal.check()


@settings(max_examples=60, deadline=None)
@given(stories())
def test_the_tables_are_just_what_a_rebuild_makes_of_the_events(tmp_path_factory, events: list[Event]) -> None:
    path = tmp_path_factory.mktemp("law") / "journal.db"
    with Journal.open(path) as journal:
        append_story(journal, events)
        grown = tables(path)
        journal.rebuild()
    assert tables(path) == grown


def test_the_files_are_the_persons_own(path: Path, journal: Journal) -> None:
    journal.append(heard(0, finding()), STOCK)
    for file in path.parent.iterdir():
        assert stat.S_IMODE(file.stat().st_mode) == 0o600, file
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_a_file_that_others_could_read_is_closed_to_them(path: Path, journal: Journal) -> None:
    journal.close()
    path.chmod(0o644)
    Journal.open(path).close()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_it_writes_ahead_keeps_references_and_waits_for_the_disk(journal: Journal) -> None:
    def pragma(name: str) -> object:
        return journal._db.conn.execute(f"PRAGMA {name}").fetchone()[0]

    assert (pragma("journal_mode"), pragma("foreign_keys"), pragma("synchronous")) == ("wal", 1, 2)
    strict = journal._db.conn.execute("SELECT name FROM pragma_table_list WHERE strict").fetchall()
    assert {"events", *PROJECTED} <= {name for (name,) in strict}


def test_half_of_what_is_set_aside_takes_all_that_is_still_to_be_heard(path: Path, journal: Journal) -> None:
    def size() -> int:
        return sum(file.stat().st_size for file in path.parent.glob(f"{path.name}*"))

    journal.append(EngineTakenIn(engine=Engine(stock=STOCK)), STOCK)
    journal.append(SittingOpened(sitting=SITTING, source="microphone"), STOCK)
    before = size()
    for n in range(300):
        journal.append(heard(n, finding()), STOCK)
    assert before < size() < before + RESERVE_BYTES / 2


@pytest.mark.parametrize(
    "statement",
    ["DELETE FROM events", "UPDATE events SET at = 0", "UPDATE events SET kind = 'x'", "UPDATE events SET stock = 'x'"],
)
def test_events_are_neither_deleted_nor_changed(journal: Journal, statement: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="never"):
        journal._db.conn.execute(statement)


def test_an_append_is_all_or_nothing(journal: Journal) -> None:
    before = journal.events()
    with pytest.raises(JournalError):
        journal.append([heard(0, finding()), heard(0, finding())], STOCK)
    assert journal.events() == before
    assert not journal.record(STOCK).said
    journal.append(heard(0, finding()), STOCK)
    assert list(journal.record(STOCK).said) == [(SITTING, 0)]


def test_several_calls_can_be_one_transaction(journal: Journal) -> None:
    def fails() -> None:
        with journal.writing():
            journal.append(heard(0, finding()), STOCK)
            assert journal.record(STOCK).said
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fails()
    assert not journal.record(STOCK).said
    assert not journal._db.conn.in_transaction


def test_unknown_engines_are_refused_with_the_nearest_ones(journal: Journal) -> None:
    with pytest.raises(UnknownStockError, match="Did you mean E-0417"):
        journal.append(heard(0), "E-0471")
    with pytest.raises(UnknownStockError, match="benchvoice engines"):
        journal.canonical("zzz")
    assert journal.canonical("e-0417") == STOCK


def test_a_stock_number_in_other_letters_is_the_same_engine(journal: Journal) -> None:
    journal.append(heard(0, finding()), STOCK.lower())
    assert journal.record(STOCK).said
    with pytest.raises(JournalError, match="in use as E-0417"):
        journal.append(EngineTakenIn(engine=Engine(stock="e-0417")), "e-0417")


def test_amending_an_engine_keeps_when_it_came(journal: Journal) -> None:
    first = journal.engines()[0].taken_in
    journal.append(EngineTakenIn(engine=Engine(stock=STOCK, maker="Vennbrook")), STOCK)
    line = journal.engines()[0]
    assert (line.taken_in, line.what) == (first, "Vennbrook")


def test_engines_come_with_counts(journal: Journal) -> None:
    journal.append(heard(0, finding(), finding("good")), STOCK)
    journal.append(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)), STOCK)
    line = journal.engines()[0]
    assert (line.sittings, line.open_sittings, line.accepted, line.unreviewed, line.revision) == (1, 1, 1, 1, None)
    assert journal.unfinished() == [(STOCK, SITTING)]
    journal.append(SittingClosed(sitting=SITTING, seconds=3.0), STOCK)
    assert journal.unfinished(STOCK) == []


def test_search_finds_words_as_they_read_and_as_they_were_heard(journal: Journal) -> None:
    journal.append(heard(0, finding()), STOCK)
    journal.append(heard(1, finding()), STOCK)
    corrected = WordsCorrected(
        sitting=SITTING, n=1, before="rod bearing wiped", after=reading(1, text="main cap cracked")
    )
    journal.append(corrected, STOCK)

    def found(text: str) -> list[int]:
        return [hit.n for hit in journal.search(STOCK, text)]

    assert found("bear rod") == [0, 1]
    assert found("crack") == [1]
    assert found("cracked bearing") == [1]
    assert found("cylinder") == []
    assert found("  ") == []
    journal.append(Undone(event=journal.record(STOCK).undoable[-1]), STOCK)
    assert found("crack") == []
    for text in ('"', "rod OR cap", "NEAR(rod", "words:rod", "ro*", "'; DROP TABLE events; --", "-rod", "^rod"):
        journal.search(STOCK, text)


def test_every_correction_is_a_row_with_what_was_heard_what_it_became_and_when(journal: Journal) -> None:
    journal.append(heard(0, finding(), finding("scored")), STOCK)
    after = reading(0, finding(), text="rod bearing three wiped")
    journal.append(WordsCorrected(sitting=SITTING, n=0, before="rod bearing wiped", after=after), STOCK, at=5.0)
    journal.append(
        FindingCorrected(finding_id=f"{SITTING}.0.0", before=finding(), after=finding(cylinder=6)), STOCK, at=6.0
    )
    journal.append(FindingsDropped(finding_ids=(f"{SITTING}.0.0",), reason="dirt"), STOCK, at=7.0)
    rows = list(journal._db.query("SELECT * FROM corrections ORDER BY event"))
    assert [(row["at"], row["what"], row["heard"]) for row in rows] == [
        (5.0, "words_corrected", "rod bearing wiped"),
        (6.0, "finding_corrected", "rod bearing wiped"),
        (7.0, "findings_dropped", "rod bearing wiped"),
    ]
    assert (rows[0]["was"], rows[0]["became"]) == ("rod bearing wiped", "rod bearing three wiped")
    assert '"cylinder": 3' in rows[1]["was"]
    assert '"cylinder": 6' in rows[1]["became"]
    assert (rows[2]["became"], rows[2]["reason"], rows[2]["undone"]) == ("dropped", "dirt", 0)
    journal.append(Undone(event=journal.record(STOCK).undoable[-1]), STOCK)
    assert next(journal._db.query("SELECT undone FROM corrections WHERE at = 7.0"))["undone"] == 1


def test_undo_and_redo_go_on_after_a_restart(path: Path, journal: Journal) -> None:
    journal.append(heard(0, finding()), STOCK)
    journal.append(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)), STOCK)
    journal.append(FindingsDropped(finding_ids=(f"{SITTING}.0.0",)), STOCK)
    journal.close()
    for left in (1, 0):
        with Journal.open(path) as opened:
            opened.append(Undone(event=opened.record(STOCK).undoable[-1]), STOCK)
            assert len(opened.record(STOCK).undoable) == left


def test_a_live_reader_sees_what_another_writes(path: Path, journal: Journal) -> None:
    with Journal.open(path) as other:
        assert not other.changed()
        before = other.record(STOCK)
        last = before.last_event
        journal.append(heard(0, finding()), STOCK)
        assert other.changed()
        assert not other.changed()
        assert [event.body for event in other.events_since(last, STOCK)] == [heard(0, finding())]
        assert list(other.record(STOCK).said) == [(SITTING, 0)]
        assert not before.said
        other.append(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)), STOCK)
        journal.append(heard(1, finding()), STOCK)
        assert journal.record(STOCK) == other.record(STOCK)


def test_an_old_state_can_be_read_again(journal: Journal) -> None:
    (event,) = journal.append(heard(0, finding()), STOCK)
    old = journal.record(STOCK)
    journal.append(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)), STOCK)
    assert journal.record(STOCK, until=event.id) == old


def test_blanked_words_are_gone_from_every_file(path: Path, journal: Journal) -> None:
    secret = "xylophone"
    journal.append(UtteranceHeard(sitting=SITTING, reading=reading(0, finding(), text="rod bearing")), STOCK)
    journal.append(UtteranceHeard(sitting=SITTING, reading=reading(1, finding(), text=secret)), STOCK)
    journal.append(Marked(sitting=SITTING, what="note", text=secret, t=1.5), STOCK)
    corrected = WordsCorrected(sitting=SITTING, n=1, before=secret, after=reading(1, finding(), text=f"the {secret}"))
    journal.append(corrected, STOCK)
    journal.append(FindingCorrected(finding_id=f"{SITTING}.1.0", before=finding(secret), after=finding(secret)), STOCK)
    assert secret.encode() in b"".join(file.read_bytes() for file in path.parent.iterdir())
    journal.blank(StretchBlanked(sitting=SITTING, t0=1.0, t1=1.9, reason="private"), STOCK)
    assert secret.encode() not in b"".join(file.read_bytes() for file in path.parent.iterdir())
    record = journal.record(STOCK)
    assert record == fold(journal.events(STOCK))
    assert record.said[(SITTING, 1)].blanked
    assert record.sittings[SITTING].blanked[0].reason == "private"
    assert not journal.search(STOCK, secret)
    assert [hit.n for hit in journal.search(STOCK, "rod")] == [0]
    assert not journal.check()


@settings(max_examples=40, deadline=None)
@given(stories())
def test_blanking_leaves_everything_else_and_all_agree_on_it(tmp_path_factory, events: list[Event]) -> None:
    path = tmp_path_factory.mktemp("law") / "journal.db"
    stretch = StretchBlanked(sitting=SITTING, t0=0.5, t1=2.1)
    with Journal.open(path) as journal:
        append_story(journal, events)
        with Journal.open(path) as other:
            before = other.record(STOCK)
            blanked = journal.blank(stretch, STOCK)
            assert other.record(STOCK) == journal.record(STOCK) == fold(journal.events(STOCK))
        hidden = fold([*events, blanked])
        after = journal.record(STOCK)
        assert {key for key, said in after.said.items() if said.blanked} == {
            key for key, said in hidden.said.items() if said.blanked
        }
        kept = [key for key, said in after.said.items() if not said.blanked]
        assert [after.said[key].reading for key in kept] == [before.said[key].reading for key in kept]
        grown = tables(path)
        journal.rebuild()
    assert tables(path) == grown


def test_a_journal_belongs_to_the_thread_that_opened_it(journal: Journal) -> None:
    caught: list[Exception] = []

    def other() -> None:
        try:
            journal.events()
        except Exception as error:
            caught.append(error)

    thread = threading.Thread(target=other)
    thread.start()
    thread.join()
    assert len(caught) == 1


def test_a_backup_is_a_whole_journal(path: Path, journal: Journal, tmp_path: Path) -> None:
    journal.append(heard(0, finding()), STOCK)
    copy = journal.backup(tmp_path / "copy.db")
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    with Journal.open(copy) as opened:
        assert opened.record(STOCK) == journal.record(STOCK)
    with pytest.raises(JournalError, match="exists already"):
        journal.backup(copy)
