"""A damaged journal: moved aside whole, never deleted, and every event that can still be read goes into a new one."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from benchvoice.errors import JournalError
from benchvoice.journal.codec import decode
from benchvoice.journal.connection import connect, immediate, stamp
from benchvoice.journal.faults import explained
from benchvoice.journal.journal import Journal

_GAP: Final = 2_000
"""How many ids in a row may be unreadable before the end of the events is taken to be reached."""

_COMPANIONS: Final = ("", "-wal", "-shm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rescue:
    """Where the damaged file went, how many events were carried over, and which ids are missing among them."""

    aside: Path
    events: int
    missing: tuple[int, ...]


def rescue(path: Path) -> Rescue:
    """Move a damaged journal aside and start a new one in its place with all that can be read.

    The new file is complete before the old one is moved. JournalError if there is no such file or no room.
    """
    if not path.exists():
        raise JournalError(f"There is no journal at {path}.")
    moment = stamp()
    fresh = path.with_name(f"{path.name}.rescued-{moment}")
    with explained(path):
        rows = _read_copy(path)
        _write(fresh, rows)
        aside = set_aside(path, moment)
        for companion in _COMPANIONS[1:]:
            fresh.with_name(fresh.name + companion).unlink(missing_ok=True)
        fresh.rename(path)
        _sync(path.parent)
    ids = {row[0] for row in rows}
    missing = tuple(sorted(set(range(1, max(ids, default=0) + 1)) - ids))
    return Rescue(aside=aside, events=len(rows), missing=missing)


def set_aside(path: Path, moment: str) -> Path:
    """Rename the file with its write-ahead log and shared memory, which belong to it."""
    aside = path.with_name(f"{path.name}.damaged-{moment}")
    for companion in _COMPANIONS:
        with suppress(FileNotFoundError):
            path.with_name(path.name + companion).rename(aside.with_name(aside.name + companion))
    return aside


def _read_copy(path: Path) -> list[tuple[Any, ...]]:
    """Events of a copy: SQLite itself would clear away a write-ahead log that it can't make sense of."""
    with tempfile.TemporaryDirectory(dir=path.parent, prefix="rescue-") as scratch:
        for companion in _COMPANIONS:
            with suppress(FileNotFoundError):
                shutil.copyfile(path.with_name(path.name + companion), Path(scratch) / f"copy{companion}")
        return list(_readable(Path(scratch) / "copy"))


def _readable(path: Path) -> Iterator[tuple[Any, ...]]:
    """Event rows that SQLite can read and whose bodies make sense, in order of their ids."""
    with closing(sqlite3.connect(path, isolation_level=None)) as conn:
        last = 0
        while True:
            try:
                for row in conn.execute(
                    "SELECT id, at, stock, sitting, n, kind, body, batch FROM events WHERE id > ? ORDER BY id", (last,)
                ):
                    last = row[0]
                    if _makes_sense(row):
                        yield row
                return
            except sqlite3.DatabaseError:
                found = _next(conn, last)
                if found is None:
                    return
                last = found - 1


def _next(conn: sqlite3.Connection, last: int) -> int | None:
    """The next id behind a damaged page."""
    for candidate in range(last + 2, last + _GAP):
        with suppress(sqlite3.DatabaseError):
            if conn.execute("SELECT id FROM events WHERE id = ?", (candidate,)).fetchone():
                return candidate
    return None


def _makes_sense(row: tuple[Any, ...]) -> bool:
    try:
        decode(row[5], row[6])
    except (JournalError, TypeError):
        return False
    return isinstance(row[1], int | float)


def _write(fresh: Path, rows: list[tuple[Any, ...]]) -> None:
    db = connect(fresh)
    try:
        with immediate(db, fresh):
            db.conn.executemany(
                "INSERT INTO events (id, at, stock, sitting, n, kind, body, batch) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                rows,
            )
        with closing(Journal(db, fresh)) as journal:
            journal.rebuild()
    except BaseException:
        for companion in _COMPANIONS:
            fresh.with_name(fresh.name + companion).unlink(missing_ok=True)
        raise


def _sync(folder: Path) -> None:
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
