"""What SQLite's errors mean for the person, and what to do about each. None of them loses what was committed."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from benchvoice.errors import JournalError

_NEARLY_FULL = 1 << 20
"""Bytes free under which a failed write is put down to the disk: SQLite reports some full disks as plain I/O errors."""


class DamagedJournalError(JournalError):
    """The file isn't a sound SQLite database. It is left as it is until the person asks for a rescue."""


class BusyJournalError(JournalError):
    """Another program kept the journal locked for longer than anything of ours does."""


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Errors of SQLite within become a JournalError that says what to do."""
    try:
        yield
    except sqlite3.Error as error:
        raise explain(error, path) from error
    except OSError as error:
        raise JournalError(
            f"The journal {path} can't be used: {error.strerror or error}.",
            hint="Check the folder and its permissions.",
        ) from error


def explain(error: sqlite3.Error, path: Path) -> JournalError:
    """The error for the person."""
    code = getattr(error, "sqlite_errorcode", None)
    primary = None if code is None else code & 0xFF
    if primary in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return DamagedJournalError(
            f"The journal {path} is damaged.",
            hint="Run `benchvoice rescue`: it keeps the file and carries over every event that can be read.",
        )
    if primary == sqlite3.SQLITE_FULL or (primary in (sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN) and _full(path)):
        return JournalError(
            f"The disk is full, the journal {path} can't grow.",
            hint="Free some space and go on; everything committed so far is kept.",
        )
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return BusyJournalError(
            f"Another program holds the journal {path}.", hint="Close it, or wait until it is done, and try again."
        )
    if primary in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN):
        return JournalError(
            f"The journal {path} can't be opened for writing.", hint="Check the file's and the folder's permissions."
        )
    return JournalError(f"The journal {path} failed: {error}.", hint="Everything committed so far is kept.")


def _full(path: Path) -> bool:
    try:
        return shutil.disk_usage(path.parent).free < _NEARLY_FULL
    except OSError:
        return False
