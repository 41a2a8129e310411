"""Undoing everything returns exactly the start, whatever was done; and redoing everything returns exactly the end."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchvoice.app.choices import with_choice
from benchvoice.app.desk import Desk
from benchvoice.app.review import Review
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Entry, Record
from benchvoice.errors import BenchvoiceError
from tests.tui import talk

LINES = talk.BENCH[:12]
WORDS = ("number two rod bearing is good", "copper showing", "strike that", "oil pump is worn", "hello there", "wiped")

step = st.tuples(
    st.sampled_from(
        ("accept", "drop", "reword", "move", "condition", "add", "leave", "split", "join", "settle", "undo", "redo")
    ),
    st.integers(0, 40),
    st.integers(0, 8),
)


def content(record: Record) -> Record:
    """A record without what only counts steps."""
    return replace(record, undoable=(), redoable=(), last_event=0)


def pick(desk: Desk, a: int) -> Entry | None:
    entries = [entry for row in desk.rows() for entry in row.entries]
    return entries[a % len(entries)] if entries else None


def worn(entry: Entry, desk: Desk) -> Finding:
    return with_choice(entry.finding, "condition", "worn", desk.lexicon)


def do(desk: Desk, what: str, a: int, b: int) -> None:
    """One step of a review; what can't be done is refused and changes nothing."""
    rows, entry = desk.rows(), pick(desk, a)
    spoken = [row for row in rows if row.said is not None]
    row = spoken[a % len(spoken)]
    changes = {
        "accept": lambda: desk.accept([row]),
        "drop": lambda: desk.drop([entry] if entry else []),
        "reword": lambda: desk.reword(row, WORDS[b % len(WORDS)]),
        "move": lambda: desk.move([entry] if entry else [], Place(cylinder=b + 1)),
        "condition": lambda: entry and desk.correct(entry, worn(entry, desk)),
        "add": lambda: desk.add(Finding(kind=Kind.CONDITION, part="oil_pump", condition="worn"), row),
        "leave": lambda: desk.leave("oil_pump", Place(), "sold as it is"),
        "split": lambda: desk.split(row, 1 + b % 3),
        "join": lambda: desk.join(row, spoken[(a + 1) % len(spoken)]),
        "settle": lambda: [desk.settle(f.first, f.second, "second") for f in desk.contradictions[:1]],
        "undo": desk.undo,
        "redo": desk.redo,
    }  # fmt: skip
    try:
        changes[what]()
    except BenchvoiceError:
        return


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(step, max_size=14))
def test_undoing_everything_is_the_start_and_redoing_everything_the_end(steps: list[tuple[str, int, int]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "journal.db"
        desk = talk.desk(path, LINES)
        start = content(desk.record)
        for what, a, b in steps:
            do(desk, what, a, b)
            fresh = Desk(Review(desk.review.journal, talk.STOCK, talk.words(), talk.reader()))
            assert (fresh.rows(), fresh.counts) == (desk.rows(), desk.counts)
            assert fresh.contradictions == desk.contradictions
        while desk.record.redoable:
            desk.redo()
        end = content(desk.record)
        done = len(desk.record.undoable)
        while desk.record.undoable:
            desk.undo()
        assert content(desk.record) == start
        assert Desk(Review(desk.review.journal, talk.STOCK, talk.words(), talk.reader())).rows() == desk.rows()
        while desk.record.redoable:
            desk.redo()
        assert content(desk.record) == end
        assert len(desk.record.undoable) == done
        desk.review.journal.close()
