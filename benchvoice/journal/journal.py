"""The journal: append events, read them, get the record that they make.

One object is one connection and belongs to the thread that opened it. Any number of programs may have the same file
open, read it and write to it: each write is one short transaction that waits its turn.
"""

from __future__ import annotations

import difflib
import gc
import json
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from sqlite_utils import Database

from benchvoice import paths
from benchvoice.domain.events import Body, EngineTakenIn, Event, StretchBlanked
from benchvoice.domain.fold import RunningFold, fold
from benchvoice.domain.record import Record
from benchvoice.errors import JournalError, UnknownStockError
from benchvoice.journal import browse, projections
from benchvoice.journal.blanking import scrubbed
from benchvoice.journal.browse import CorrectionLine, EngineLine, Hit
from benchvoice.journal.codec import decode, encode
from benchvoice.journal.connection import connect, copy_to, immediate
from benchvoice.journal.faults import explained
from benchvoice.journal.schema import PROJECTED

_COLUMNS = "id, at, stock, kind, body, batch"


class Journal:
    """The one SQLite file that holds every engine's events.

    >>> with Journal.open(path) as journal:                                     # doctest: +SKIP
    ...     journal.append(EngineTakenIn(engine=Engine(stock="T-0417")), "T-0417")
    ...     journal.record("T-0417").engine.stock
    'T-0417'
    """

    def __init__(self, db: Database, path: Path) -> None:
        self.path = path
        self._db = db
        self._folds: dict[str, RunningFold] = {}
        self._seen_version = self._data_version()

    @classmethod
    def open(cls, path: Path | str | None = None) -> Journal:
        """Open the journal at `path` (None: the person's own), make it or bring it up to date where needed.

        JournalError if it is damaged, newer than this program, not a journal or can't be used.
        """
        where = Path(path) if path is not None else paths.journal()
        with explained(where):
            return cls(connect(where), where)

    def close(self) -> None:
        self._db.conn.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # Writing

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction over several calls: all of it is kept, or nothing. What is read stays true within."""
        try:
            with explained(self.path), immediate(self._db, self.path):
                yield
        except BaseException:
            # What was folded in may never have been written.
            self._folds.clear()
            raise

    def append(
        self, bodies: Body | Iterable[Body], stock: str, *, batch: bool | int = False, at: float | None = None
    ) -> list[Event]:
        """Add events to an engine's record, in one transaction, and return them as stored.

        batch ties them together: an undo of one is an undo of all. The batch of an earlier event joins them to it.
        at: seconds since the epoch, None for now.
        UnknownStockError if the stock number is unknown and the first event doesn't take that engine in.
        """
        items: list[Body] = list(bodies) if isinstance(bodies, Iterable) else [bodies]
        texts = [encode(body) for body in items]
        moment = time.time() if at is None else at
        with self.writing():
            own = self._stock_for(items, stock)
            live = all(isinstance(body, projections.LIVE) for body in items)
            before = Record() if live else self.record(own)
            events: list[Event] = []
            tied = None if batch is False else self.last_event() + 1 if batch is True else batch
            for body, text in zip(items, texts, strict=True):
                events.append(self._insert(body, text, own, moment, tied))
            if live:
                projections.heard(self._db, own, events)
            else:
                projections.project(self._db, own, before, self.record(own), events)
        return events

    def blank(self, stretch: StretchBlanked, stock: str) -> Event:
        """Remove the words of a stretch of a sitting for good, and note that they were removed."""
        with self.writing():
            event = self.append(stretch, stock)[0]
            own = self.canonical(stock)
            for number, body in scrubbed(self.events(own), stretch, self.record(own)):
                self._db.conn.execute("UPDATE events SET body = ? WHERE id = ?", (encode(body), number))
            self._folds.pop(own, None)
            self._rebuild(own)
            self._db.table("utterances").rebuild_fts()
        with explained(self.path):
            self._db.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return event

    def rebuild(self) -> None:
        """Make the tables for browsing anew from the events."""
        with self.writing():
            self._folds.clear()
            for table in PROJECTED:
                self._db.conn.execute(f"DELETE FROM {table}")
            for row in self._db.query("SELECT DISTINCT stock FROM events WHERE stock IS NOT NULL ORDER BY id"):
                self._rebuild(row["stock"])

    # Reading

    def events(self, stock: str | None = None) -> list[Event]:
        """All events, of one engine if named, in order."""
        return self.events_since(0, stock)

    def events_since(self, last: int, stock: str | None = None) -> list[Event]:
        """The events with an id above `last`: what a live screen asks for."""
        where, values = ("AND stock = ?", [last, stock]) if stock is not None else ("", [last])
        with explained(self.path):
            rows = self._db.conn.execute(
                f"SELECT {_COLUMNS} FROM events WHERE id > ? {where} ORDER BY id", values
            ).fetchall()
        with _uncollected():
            return [_event(row) for row in rows]

    def events_by_id(self, ids: Iterable[int]) -> list[Event]:
        """These events, in order; an id that isn't there is passed over."""
        wanted = json.dumps(sorted(ids))
        with explained(self.path):
            rows = self._db.conn.execute(
                f"SELECT {_COLUMNS} FROM events WHERE id IN (SELECT value FROM json_each(?)) ORDER BY id", (wanted,)
            ).fetchall()
        return [_event(row) for row in rows]

    def last_event(self) -> int:
        """The id of the newest event, 0 if there is none. Ids are never used twice."""
        with explained(self.path):
            row = self._db.conn.execute("SELECT seq FROM sqlite_sequence WHERE name = 'events'").fetchone()
        return int(row[0]) if row else 0

    def changed(self) -> bool:
        """True if another program or connection wrote to the file since the last call. Costs next to nothing."""
        version = self._data_version()
        changed, self._seen_version = version != self._seen_version, version
        return changed

    def record(self, stock: str, *, until: int | None = None) -> Record:
        """An engine's record: as it stands, or as it stood after the event `until` (an old revision).

        The fold is kept and carried on, so that asking again after a few events is cheap. An engine that isn't there
        has an empty record; use `canonical` to refuse unknown stock numbers.
        """
        if until is not None:
            return fold(event for event in self.events(stock) if event.id <= until)
        running = self._folds.get(stock)
        new = self.events_since(running.last_event if running is not None else 0, stock)
        if running is None or any(isinstance(event.body, StretchBlanked) for event in new):
            # Blanking changes earlier events too.
            running, new = RunningFold(), self.events(stock) if running is not None else new
            self._folds[stock] = running
        with _uncollected():
            running.advance(new)
            return running.record()

    def canonical(self, stock: str) -> str:
        """The stock number as it was written at intake. UnknownStockError, with near ones, if there is none."""
        with explained(self.path):
            row = self._db.conn.execute("SELECT stock FROM engines WHERE stock = ?", (stock,)).fetchone()
            if row:
                return str(row[0])
            known = [name for (name,) in self._db.conn.execute("SELECT stock FROM engines")]
        near = difflib.get_close_matches(stock.upper(), [name.upper() for name in known], n=3, cutoff=0.5)
        hint = (
            f"Did you mean {' or '.join(name for name in known if name.upper() in near)}?"
            if near
            else "`benchvoice engines` lists those that were taken in; `benchvoice intake` adds one."
        )
        raise UnknownStockError(f"No engine has the stock number {stock}.", hint=hint)

    def engines(self) -> list[EngineLine]:
        """All engines with counts, in the order in which they were taken in."""
        with explained(self.path):
            return browse.engines(self._db)

    def corrections(self, stock: str) -> list[CorrectionLine]:
        """Everything that a person changed about an engine, oldest first, undone changes too."""
        with explained(self.path):
            return browse.corrections(self._db, stock)

    def search(self, stock: str, text: str, *, limit: int = 10_000) -> list[Hit]:
        """Utterances that hold all the words, the last ones as beginnings too."""
        with explained(self.path):
            return browse.search(self._db, stock, text, limit)

    def sittings(self, stock: str) -> list[str]:
        """Names of an engine's sittings, in the order in which they were opened."""
        with explained(self.path):
            rows = self._db.conn.execute(
                "SELECT sitting FROM sittings WHERE stock = ? ORDER BY opened, rowid", (stock,)
            )
            return [str(row[0]) for row in rows]

    def unfinished(self, stock: str | None = None) -> list[tuple[str, str]]:
        """(stock, sitting) of sittings that were never closed: in progress, or cut off by a crash."""
        with explained(self.path):
            return browse.unfinished(self._db, stock)

    # Care

    def check(self) -> list[str]:
        """What SQLite's own check of the whole file and of its references finds; empty if it is sound."""
        with explained(self.path):
            found = [str(row[0]) for row in self._db.conn.execute("PRAGMA integrity_check")]
            found += [f"dangling reference in {row[0]}" for row in self._db.conn.execute("PRAGMA foreign_key_check")]
        return [line for line in found if line != "ok"]

    def backup(self, target: Path) -> Path:
        """A consistent copy, made while others may write. The target must not exist."""
        if target.exists():
            raise JournalError(f"{target} exists already.", hint="Name another file.")
        with explained(self.path):
            return copy_to(self._db, target)

    # Inside

    def _insert(self, body: Body, text: str, stock: str, at: float, batch: int | None) -> Event:
        cursor = self._db.conn.execute(
            "INSERT INTO events (at, stock, sitting, n, kind, body, batch) VALUES (?, ?, ?, ?, ?, ?, ?)",
            (at, stock, *projections.concerns(body), body.name, text, batch),
        )
        assert cursor.lastrowid is not None
        return Event(id=cursor.lastrowid, at=at, stock=stock, body=body, batch=batch)

    def _stock_for(self, items: list[Body], stock: str) -> str:
        first = items[0] if items else None
        if isinstance(first, EngineTakenIn):
            row = self._db.conn.execute("SELECT stock FROM engines WHERE stock = ?", (stock,)).fetchone()
            own = str(row[0]) if row else stock
            if first.engine.stock != own:
                raise JournalError(
                    f"The stock number {first.engine.stock} is in use as {own}.", hint="Name another one."
                )
            return own
        return self.canonical(stock)

    def _rebuild(self, stock: str) -> None:
        projections.rebuild(self._db, stock, self.record(stock), self.events(stock))

    def _data_version(self) -> int:
        return int(self._db.conn.execute("PRAGMA data_version").fetchone()[0])


@contextmanager
def _uncollected() -> Iterator[None]:
    """Without the cycle collector, which would walk again and again through thousands of events that are only being
    built and hold no cycles; it takes half of the time of opening a long record.
    """
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            gc.enable()


def _event(row: tuple[Any, ...]) -> Event:
    number, at, stock, kind, body, batch = row
    return Event(id=number, at=at, stock=stock, body=decode(kind, body), batch=batch)
