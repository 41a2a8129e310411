"""A review that is killed in the middle of its edits loses at most the edit in flight: a hundred times over."""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path

import pytest

from benchvoice.app.desk import Desk
from benchvoice.app.review import Review
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.journal import Journal
from tests.tui import talk

RUNS = 100
LINES = talk.BENCH[:10]


def edits(path: Path, seed: int, answer: int) -> None:
    """Edit for ever at random, writing one byte for each edit that came back."""
    chance = random.Random(seed)
    with Journal.open(path) as journal:
        desk = Desk(Review(journal, talk.STOCK, talk.words(), talk.reader()))
        while True:
            rows = desk.rows()
            entries = [entry for row in rows for entry in row.entries]
            entry = chance.choice(entries)
            what = chance.randrange(5)
            before = desk.record.last_event
            if what == 0:
                desk.accept([chance.choice(rows)])
            elif what == 1:
                desk.drop([entry])
            elif what == 2:
                desk.move(entries[: chance.randrange(1, 4)], Place(cylinder=chance.randrange(1, 7)))
            elif what == 3:
                desk.add(Finding(kind=Kind.CONDITION, part="oil_pump", condition="worn"), chance.choice(rows[:4]))
            else:
                desk.undo()
            if desk.record.last_event != before:
                os.write(answer, b".")


@pytest.mark.slow
def test_a_hundred_killed_reviews_lose_at_most_the_edit_in_flight(tmp_path: Path) -> None:
    chance = random.Random(6)
    path = tmp_path / "journal.db"
    talk.sitting(path, LINES).close()
    talk.reader()
    events = steps = 0
    with Journal.open(path) as journal:
        before = len(journal.events(talk.STOCK))
    for run in range(RUNS):
        ours, theirs = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(ours)
            try:
                edits(path, run, theirs)
            finally:
                os._exit(1)
        os.close(theirs)
        time.sleep(chance.uniform(0.02, 0.12))
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        assert os.WIFSIGNALED(status), "the edits stopped by themselves"
        told = b""
        while piece := os.read(ours, 65536):
            told += piece
        os.close(ours)
        with Journal.open(path) as journal:
            assert journal.check() == []
            kept = journal.events(talk.STOCK)
            calls = _calls(kept[before:])
            assert len(told) <= calls <= len(told) + 1
            desk = Desk(Review(journal, talk.STOCK, talk.words(), talk.reader()))
            desk.rows()
            events, steps, before = len(kept), steps + calls, len(kept)
    assert steps > RUNS, f"{steps} edits in {RUNS} runs are no test"
    print(f"\n{RUNS} kills, {steps} edits, {events} events kept")


def _calls(events: list[object]) -> int:
    """How many edits made these events: those of one batch are one edit."""
    batches = {event.batch for event in events if event.batch is not None}  # type: ignore[attr-defined]
    return len(batches) + sum(event.batch is None for event in events)  # type: ignore[attr-defined]
