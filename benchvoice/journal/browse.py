"""Questions to the tables: lists and search, without folding anything."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields

from sqlite_utils import Database


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineLine:
    """One engine in a list. Times are seconds since the epoch."""

    stock: str
    what: str
    layout: str
    cylinders: int
    taken_in: float
    sittings: int
    open_sittings: int
    """Sittings that were never closed: in progress, or cut off."""
    accepted: int
    unreviewed: int
    revision: int | None
    """The newest filed revision."""
    filed: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionLine:
    """One thing that a person changed: what was heard, what it said before, what it became, and when."""

    event: int
    at: float
    what: str
    """The event's kind, such as "words_corrected"."""
    sitting: str | None
    n: int | None
    finding: str | None
    heard: str | None
    was: str | None
    became: str | None
    reason: str | None
    undone: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """An utterance that a search found."""

    sitting: str
    n: int


_ENGINES = """
SELECT e.stock, trim(e.maker || ' ' || e.family || ' ' || e.displacement) AS what, e.layout, e.cylinders, e.taken_in,
  (SELECT count(*) FROM sittings s WHERE s.stock = e.stock) AS sittings,
  (SELECT count(*) FROM sittings s WHERE s.stock = e.stock AND NOT s.closed) AS open_sittings,
  (SELECT count(*) FROM findings f WHERE f.stock = e.stock AND f.status = 'accepted') AS accepted,
  (SELECT count(*) FROM findings f WHERE f.stock = e.stock AND f.status = 'proposed') AS unreviewed,
  (SELECT max(revision) FROM revisions r WHERE r.stock = e.stock) AS revision,
  (SELECT max(at) FROM revisions r WHERE r.stock = e.stock) AS filed
FROM engines e ORDER BY e.taken_in
"""

_SEARCH = """
SELECT u.sitting, u.n FROM utterances_fts f JOIN utterances u ON u.id = f.rowid
WHERE utterances_fts MATCH ? AND u.stock = ? ORDER BY u.id LIMIT ?
"""


def engines(db: Database) -> list[EngineLine]:
    """All engines, in the order in which they were taken in."""
    return [EngineLine(**row) for row in db.query(_ENGINES)]


def corrections(db: Database, stock: str) -> list[CorrectionLine]:
    """Everything that was changed about an engine, oldest first, undone changes too."""
    names = ", ".join(field.name for field in fields(CorrectionLine))
    rows = db.query(f"SELECT {names} FROM corrections WHERE stock = ? ORDER BY event, k", [stock])
    return [CorrectionLine(**{**row, "undone": bool(row["undone"])}) for row in rows]


def search(db: Database, stock: str, text: str, limit: int) -> list[Hit]:
    """Utterances that hold every word of `text` or one that begins with it, as they read now or as they were heard.

    Whatever is typed is taken as words: the search language of SQLite isn't reachable from here.
    """
    words = re.findall(r"\w+", text)
    if not words:
        return []
    match = " ".join(f'"{word}"*' for word in words)
    return [Hit(**row) for row in db.query(_SEARCH, [match, stock, limit])]


def unfinished(db: Database, stock: str | None) -> list[tuple[str, str]]:
    """(stock, sitting) of the sittings that were never closed."""
    rows = db.query("SELECT stock, sitting FROM sittings WHERE NOT closed ORDER BY opened")
    return [(row["stock"], row["sitting"]) for row in rows if stock is None or row["stock"] == stock]
