"""The tables, as numbered migrations. `events` is the truth; every other table is made from it and can be made again.

The version is kept in the file's own `user_version`, so that any SQLite program shows it.
"""

from __future__ import annotations

from typing import Final

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

APPLICATION_ID: Final = 0x42656E76
"""Marks the file as ours ("Benv"), so that another program's database is never written to."""

migrations = Migrations("journal")

_EVENTS = """
CREATE TABLE events (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  at REAL NOT NULL,
  stock TEXT,
  sitting TEXT,
  n INTEGER,
  kind TEXT NOT NULL,
  body TEXT NOT NULL CHECK (json_valid(body)),
  batch INTEGER
) STRICT
"""

_EVENTS_INDEXES = (
    "CREATE INDEX events_of_stock ON events(stock, id)",
    "CREATE INDEX events_of_utterance ON events(sitting, n)",
)

_APPEND_ONLY = (
    "CREATE TRIGGER events_stay BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END",
    "CREATE TRIGGER events_hold BEFORE UPDATE OF id, at, stock, sitting, n, kind, batch ON events "
    "BEGIN SELECT RAISE(ABORT, 'events are never changed'); END",
)
"""The body alone may change, and only to blank words that the person wants gone."""

_PROJECTIONS = (
    """
CREATE TABLE engines (
  stock TEXT PRIMARY KEY COLLATE NOCASE,
  maker TEXT NOT NULL, family TEXT NOT NULL, displacement TEXT NOT NULL,
  layout TEXT NOT NULL, cylinders INTEGER NOT NULL, valve_gear TEXT NOT NULL, fuel TEXT NOT NULL,
  vin TEXT, source TEXT NOT NULL, cost TEXT, currency TEXT NOT NULL,
  taken_in REAL NOT NULL, amended REAL NOT NULL
) STRICT
""",
    """
CREATE TABLE sittings (
  sitting TEXT PRIMARY KEY,
  stock TEXT NOT NULL REFERENCES engines(stock),
  source TEXT NOT NULL, title TEXT NOT NULL, recogniser TEXT NOT NULL, grammar TEXT NOT NULL,
  opened REAL NOT NULL, closed INTEGER NOT NULL, seconds REAL
) STRICT
""",
    """
CREATE TABLE utterances (
  id INTEGER PRIMARY KEY,
  stock TEXT NOT NULL REFERENCES engines(stock),
  sitting TEXT NOT NULL REFERENCES sittings(sitting),
  n INTEGER NOT NULL,
  t0 REAL, t1 REAL,
  words TEXT NOT NULL, heard TEXT NOT NULL,
  confidence REAL NOT NULL, recogniser TEXT NOT NULL,
  about_engine INTEGER NOT NULL, withdrawn INTEGER NOT NULL, blanked INTEGER NOT NULL,
  UNIQUE (sitting, n)
) STRICT
""",
    """
CREATE TABLE findings (
  stock TEXT NOT NULL REFERENCES engines(stock),
  finding TEXT NOT NULL,
  sitting TEXT NOT NULL, n INTEGER,
  status TEXT NOT NULL, kind TEXT NOT NULL, part TEXT NOT NULL, place TEXT NOT NULL,
  condition TEXT, present INTEGER NOT NULL, degree TEXT, hedged INTEGER NOT NULL,
  quantity TEXT, value TEXT, unit TEXT, action TEXT, done_by TEXT,
  words TEXT NOT NULL, confidence REAL NOT NULL, flags TEXT NOT NULL, corrections INTEGER NOT NULL,
  PRIMARY KEY (stock, finding)
) STRICT
""",
    "CREATE INDEX findings_of_utterance ON findings(sitting, n)",
    """
CREATE TABLE corrections (
  event INTEGER NOT NULL, k INTEGER NOT NULL,
  at REAL NOT NULL,
  stock TEXT NOT NULL REFERENCES engines(stock),
  sitting TEXT, n INTEGER, finding TEXT,
  what TEXT NOT NULL, heard TEXT, was TEXT, became TEXT, reason TEXT,
  undone INTEGER NOT NULL,
  PRIMARY KEY (event, k)
) STRICT
""",
    """
CREATE TABLE revisions (
  stock TEXT NOT NULL REFERENCES engines(stock),
  revision INTEGER NOT NULL,
  at REAL NOT NULL, filed_by TEXT NOT NULL, findings INTEGER NOT NULL, left_unreviewed INTEGER NOT NULL,
  sha256 TEXT NOT NULL,
  PRIMARY KEY (stock, revision)
) STRICT
""",
)

PROJECTED: Final = ("corrections", "revisions", "findings", "utterances", "sittings", "engines")
"""The tables that are made from the events, those that refer to others first."""


@migrations()
def m001_events(db: Database) -> None:
    """The events and the tables for browsing."""
    for statement in (_EVENTS, *_EVENTS_INDEXES, *_APPEND_ONLY, *_PROJECTIONS):
        db.execute(statement)


@migrations()
def m002_search(db: Database) -> None:
    """Full-text search over the words of utterances, as they read now and as they were heard."""
    db.table("utterances").enable_fts(["words", "heard"], create_triggers=True, tokenize="unicode61")


NAMES: Final = ("m001_events", "m002_search")
VERSION: Final = len(NAMES)
"""The version that this program writes."""
