"""Opens the file: private, in WAL mode, at the newest version, or a clear refusal.

Durability: synchronous stays FULL, so a committed event survives a power cut as far as the disk keeps its word.
"""

from __future__ import annotations

import os
import random
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Final

from sqlite_utils import Database

from benchvoice.errors import JournalError
from benchvoice.journal.faults import explain
from benchvoice.journal.schema import APPLICATION_ID, VERSION, migrations

LOG_PAGES: Final = 200
"""Pages of write-ahead log after which they are moved into the file. What is set aside for closing a sitting on a full
disk must do for the whole log, and SQLite's own 1,000 pages would take all of it.
"""

_PRAGMAS: Final = (
    "foreign_keys=ON",
    "synchronous=FULL",
    "secure_delete=ON",
    "cell_size_check=ON",
    f"wal_autocheckpoint={LOG_PAGES}",
)

BUSY_SECONDS: Final = 5.0
"""How long SQLite itself waits for a lock."""

PATIENCE_SECONDS: Final = 60.0
"""How long a writer goes on trying. Our longest transaction, a rebuild, takes a few seconds."""


def connect(path: Path) -> Database:
    """A connection to the journal at `path`, which is created (mode 0600) or brought up to date where needed.

    JournalError if the file was written by a newer program, isn't a journal, or can't be used.
    """
    _create(path)
    db = raw(path)
    try:
        _prepare(db, path)
    except BaseException:
        db.conn.close()
        raise
    return db


def raw(path: Path) -> Database:
    """A connection with our settings to whatever the file holds."""
    conn = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
    try:
        db = Database(conn, execute_plugins=False)
        for pragma in _PRAGMAS:
            conn.execute(f"PRAGMA {pragma}")
    except BaseException:
        conn.close()
        raise
    return db


@contextmanager
def immediate(db: Database, path: Path) -> Iterator[None]:
    """One write transaction; within another one, part of it.

    The lock is taken at the start, so a transaction never has to give up half-way because another program wrote.
    """
    conn = db.conn
    if conn.in_transaction:
        yield
        return
    _begin(db, path)
    try:
        yield
        conn.execute("COMMIT")
    except BaseException:
        db.rollback()
        raise


def stamp() -> str:
    """A time for file names, to the microsecond."""
    return datetime.now().strftime("%Y%m%d-%H%M%S-%f")


def _create(path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    # Only a file that isn't there is opened here: closing any descriptor of a file drops this process's locks on it.
    if not path.exists():
        with suppress(FileExistsError):
            os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    elif path.is_file() and path.stat().st_mode & 0o077:
        with suppress(OSError):
            path.chmod(0o600)


def _begin(db: Database, path: Path) -> None:
    deadline = time.monotonic() + PATIENCE_SECONDS
    while True:
        try:
            db.conn.execute("BEGIN IMMEDIATE")
            return
        except sqlite3.OperationalError as error:
            busy = error.sqlite_errorcode & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
            if not busy or time.monotonic() > deadline:
                raise explain(error, path) from error
        time.sleep(random.uniform(0.005, 0.05))


def _prepare(db: Database, path: Path) -> None:
    version = _version(db, path)
    if version < VERSION:
        if version:
            _back_up(db, path, version)
        _wal(db, path)
        with immediate(db, path):
            # Another program may have been faster.
            if _version(db, path) < VERSION:
                migrations.apply(db)
                db.conn.execute(f"PRAGMA application_id={APPLICATION_ID}")
                db.conn.execute(f"PRAGMA user_version={VERSION}")
    else:
        _wal(db, path)
    # Reads the first pages: a file that is badly damaged says so here, before anybody starts to talk.
    db.conn.execute("SELECT max(id) FROM events").fetchone()


def _version(db: Database, path: Path) -> int:
    version = int(db.conn.execute("PRAGMA user_version").fetchone()[0])
    ours = int(db.conn.execute("PRAGMA application_id").fetchone()[0]) == APPLICATION_ID
    empty = db.conn.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
    if not ours and not empty:
        raise JournalError(
            f"{path} is a database of another program, not a journal.", hint="Name another file, or move it away."
        )
    if version > VERSION:
        raise JournalError(
            f"The journal {path} was written by a newer benchvoice (version {version}, this one knows {VERSION}).",
            hint="Install the newest benchvoice; nothing was changed.",
        )
    return version


def _wal(db: Database, path: Path) -> None:
    """WAL mode. Two programs that create the file at once may find each other in the way, hence the patience."""
    deadline = time.monotonic() + PATIENCE_SECONDS
    while True:
        try:
            db.enable_wal()
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > deadline:
                raise explain(error, path) from error
        time.sleep(random.uniform(0.005, 0.05))


def _back_up(db: Database, path: Path, version: int) -> Path:
    """A copy beside the journal before it is upgraded."""
    return copy_to(db, path.with_name(f"{path.name}.version{version}-{stamp()}"))


def copy_to(db: Database, target: Path) -> Path:
    """A consistent copy of the open journal, made while others may write; what is half done is removed on failure."""
    partial = target.with_name(target.name + ".partial")
    try:
        os.close(os.open(partial, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
        with closing(sqlite3.connect(partial)) as copy:
            db.conn.backup(copy)
        with partial.open("rb+") as file:
            os.fsync(file.fileno())
        partial.replace(target)
    except BaseException:
        partial.unlink(missing_ok=True)
        raise
    return target
