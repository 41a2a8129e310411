"""Tables for browsing, made from the record: for people with any SQLite program, for lists, and for search.

`project` brings the tables from one record to the next and is the one description of them; `heard` does the same
for the events of a live sitting without holding the record in memory, and `rebuild` starts over.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from sqlite_utils import Database

from benchvoice.domain.engine import Engine
from benchvoice.domain.events import (
    CORRECTIONS,
    Body,
    CameraAligned,
    ContradictionSettled,
    EngineTakenIn,
    Event,
    FindingAdded,
    FindingCorrected,
    FindingsAccepted,
    FindingsDropped,
    GapNoted,
    LeftUnlooked,
    Marked,
    Overruled,
    ReadAgain,
    SittingClosed,
    SittingOpened,
    SoundKept,
    UtteranceHeard,
    UtterancesMerged,
    UtteranceSplit,
    WordsCorrected,
)
from benchvoice.domain.findings import Finding, finding_to_contract
from benchvoice.domain.record import Entry, Record, Revision, Said, Sitting, Status
from benchvoice.domain.state import finding_id
from benchvoice.journal.schema import PROJECTED

Row = dict[str, Any]

LIVE: tuple[type, ...] = (
    SittingOpened, SoundKept, UtteranceHeard, Marked, GapNoted, CameraAligned, SittingClosed,
)  # fmt: skip
"""What a sitting writes while it goes on."""

_HEARD = """
SELECT group_concat(json_extract(word.value, '$.text'), ' ')
FROM (SELECT body FROM events WHERE sitting = ? AND n = ? AND kind = ? ORDER BY id LIMIT 1) AS e,
  json_each(e.body, '$.reading.utterance.words') AS word
"""

_KEYS = {
    "engines": ("stock",),
    "sittings": ("sitting",),
    "utterances": ("sitting", "n"),
    "findings": ("stock", "finding"),
    "corrections": ("event", "k"),
    "revisions": ("stock", "revision"),
}


def project(db: Database, stock: str, before: Record, after: Record, events: Sequence[Event]) -> None:
    """Bring the tables from `before` to `after`, which `events` lead to. Within the caller's transaction."""
    taken_in = [event.at for event in events if isinstance(event.body, EngineTakenIn)]
    if taken_in and after.engine is not None:
        row = _engine_row(after.engine) | {"taken_in": taken_in[0], "amended": taken_in[-1]}
        _put(db, "engines", row, keep=("taken_in",))
    for name, sitting in _changed(before.sittings, after.sittings):
        _put(db, "sittings", _sitting_row(stock, name, sitting))
    for (_, n), said in _changed(before.said, after.said):
        _put(db, "utterances", _said_row(stock, n, said))
    for key in before.said.keys() - after.said.keys():
        db.execute("DELETE FROM utterances WHERE sitting = ? AND n = ?", key)
    for _, entry in _changed(before.entries, after.entries):
        _put(db, "findings", _entry_row(stock, entry))
    for name in before.entries.keys() - after.entries.keys():
        db.execute("DELETE FROM findings WHERE stock = ? AND finding = ?", (stock, name))
    for revision in after.revisions[len(before.revisions) :]:
        _put(db, "revisions", _revision_row(stock, revision))
    _corrections(db, stock, events, before, after)


def heard(db: Database, stock: str, events: Iterable[Event]) -> None:
    """The same for events of the kinds in LIVE, by what each adds. A sitting of hours costs no memory this way."""
    for event in events:
        body = event.body
        if isinstance(body, SittingOpened):
            _put(db, "sittings", _sitting_row(stock, body.sitting, Sitting(opened=body, at=event.at)))
        elif isinstance(body, SittingClosed):
            db.execute("UPDATE sittings SET closed = 1, seconds = ? WHERE sitting = ?", (body.seconds, body.sitting))
        elif isinstance(body, UtteranceHeard):
            _utterance(db, stock, body)


def rebuild(db: Database, stock: str, record: Record, events: Sequence[Event]) -> None:
    """Make one engine's rows anew from its record and events."""
    for table in PROJECTED:
        db.execute(f"DELETE FROM {table} WHERE stock = ?", (stock,))
    project(db, stock, Record(), record, events)


def _utterance(db: Database, stock: str, body: UtteranceHeard) -> None:
    reading = body.reading
    n = reading.utterance.n
    _insert(db, "utterances", _said_row(stock, n, Said(sitting=body.sitting, heard=reading, reading=reading)))
    for k, finding in enumerate(reading.findings):
        entry = Entry(
            id=finding_id(body.sitting, n, k), sitting=body.sitting, n=n, finding=finding, status=Status.PROPOSED
        )
        _insert(db, "findings", _entry_row(stock, entry))
    for struck in reading.withdraws:
        db.execute("UPDATE utterances SET withdrawn = 1 WHERE sitting = ? AND n = ?", (body.sitting, struck))
        db.execute(
            "UPDATE findings SET status = ? WHERE sitting = ? AND n = ?", (Status.WITHDRAWN, body.sitting, struck)
        )


def _changed(before: Mapping[Any, Any], after: Mapping[Any, Any]) -> Iterable[tuple[Any, Any]]:
    for key, value in after.items():
        old = before.get(key)
        if old is not value and old != value:
            yield key, value


def _corrections(db: Database, stock: str, events: Iterable[Event], before: Record, after: Record) -> None:
    counts = set(after.undoable)
    for event in events:
        if isinstance(event.body, CORRECTIONS):
            for k, row in enumerate(_CORRECTION[type(event.body)](event.body)):
                whole = {**_BLANK_CORRECTION, **row, "event": event.id, "k": k, "at": event.at, "stock": stock}
                whole |= {"what": event.body.name, "undone": event.id not in counts, "heard": _as_heard(db, whole)}
                _put(db, "corrections", whole)
    known = set(before.undoable)
    for undone, ids in ((1, known - counts), (0, counts - known)):
        db.conn.executemany("UPDATE corrections SET undone = ? WHERE event = ?", [(undone, event) for event in ids])


def _as_heard(db: Database, row: Row) -> str | None:
    """The words as they were heard, for a correction of an utterance or of a finding that was heard in one."""
    sitting, n = row["sitting"], row["n"]
    if n is None and row["finding"]:
        sitting, n, _ = row["finding"].rsplit(".", 2) if row["finding"].count(".") == 2 else (None, None, None)
    found = db.conn.execute(_HEARD, (sitting, n, UtteranceHeard.name)).fetchone()
    return None if found is None else str(found[0] or "")


def _engine_row(engine: Engine) -> Row:
    return {
        "stock": engine.stock,
        "maker": engine.maker,
        "family": engine.family,
        "displacement": engine.displacement,
        "layout": engine.layout.value,
        "cylinders": engine.cylinders,
        "valve_gear": engine.valve_gear.value,
        "fuel": engine.fuel.value,
        "vin": engine.vin,
        "source": engine.source,
        "cost": None if engine.cost is None else str(engine.cost),
        "currency": engine.currency,
    }


def _sitting_row(stock: str, name: str, sitting: Sitting) -> Row:
    opened = sitting.opened
    return {
        "sitting": name,
        "stock": stock,
        "source": opened.source,
        "title": opened.title,
        "recogniser": opened.recogniser,
        "grammar": opened.grammar,
        "opened": sitting.at,
        "closed": sitting.closed,
        "seconds": sitting.seconds,
    }


def _said_row(stock: str, n: int, said: Said) -> Row:
    utterance = said.reading.utterance
    return {
        "stock": stock,
        "sitting": said.sitting,
        "n": n,
        "t0": utterance.t0,
        "t1": utterance.t1,
        "words": utterance.text,
        "heard": said.heard.utterance.text,
        "confidence": utterance.confidence,
        "recogniser": utterance.recogniser,
        "about_engine": said.reading.domain,
        "withdrawn": said.withdrawn,
        "blanked": said.blanked,
    }


def _entry_row(stock: str, entry: Entry) -> Row:
    finding = entry.finding
    return {
        "stock": stock,
        "finding": entry.id,
        "sitting": entry.sitting,
        "n": entry.n,
        "status": entry.status.value,
        "kind": finding.kind.value,
        "part": finding.part,
        "place": json.dumps(finding.place.as_dict()),
        "condition": finding.condition,
        "present": finding.present,
        "degree": finding.degree.value if finding.degree else None,
        "hedged": finding.hedged,
        "quantity": finding.quantity,
        "value": None if finding.value is None else str(finding.value),
        "unit": finding.unit,
        "action": finding.action,
        "done_by": finding.done_by,
        "words": finding.text,
        "confidence": finding.confidence,
        "flags": " ".join(flag.value for flag in finding.flags),
        "corrections": entry.corrections,
    }


def _revision_row(stock: str, revision: Revision) -> Row:
    filed = revision.filed
    return {
        "stock": stock,
        "revision": filed.revision,
        "at": revision.at,
        "filed_by": filed.by,
        "findings": len(filed.finding_ids),
        "left_unreviewed": len(filed.left_unreviewed),
        "sha256": filed.sha256,
    }


_BLANK_CORRECTION: Row = dict.fromkeys(("sitting", "n", "finding", "was", "became", "reason"))


def _claim(finding: Finding) -> str:
    """What a finding says, as JSON, without its words and times."""
    whole = finding_to_contract(finding)
    return json.dumps({key: value for key, value in whole.items() if key not in ("t0", "t1", "text", "confidence")})


_CORRECTION: dict[type, Callable[[Any], list[Row]]] = {
    WordsCorrected: lambda b: [{"sitting": b.sitting, "n": b.n, "was": b.before, "became": b.after.utterance.text}],
    ReadAgain: lambda b: [{"sitting": b.sitting, "n": b.n, "became": b.reading.utterance.text, "reason": b.grammar}],
    UtteranceSplit: lambda b: [
        {"sitting": b.sitting, "n": b.n, "became": b.first.utterance.text},
        {"sitting": b.sitting, "n": b.new_n, "became": b.second.utterance.text},
    ],
    UtterancesMerged: lambda b: [{"sitting": b.sitting, "n": b.n, "became": b.after.utterance.text}],
    FindingAdded: lambda b: [
        {"sitting": b.sitting, "n": b.n, "finding": b.finding_id, "became": _claim(b.finding)}
    ],
    FindingCorrected: lambda b: [{"finding": b.finding_id, "was": _claim(b.before), "became": _claim(b.after)}],
    FindingsAccepted: lambda b: [{"finding": name, "became": Status.ACCEPTED.value} for name in b.finding_ids],
    FindingsDropped: lambda b: [
        {"finding": name, "became": Status.DROPPED.value, "reason": b.reason} for name in b.finding_ids
    ],
    ContradictionSettled: lambda b: [
        {"finding": name, "became": b.decision, "reason": b.reason} for name in (b.first, b.second)
    ],
    LeftUnlooked: lambda b: [{"finding": b.finding_id, "became": _claim(b.finding), "reason": b.reason}],
    Overruled: lambda b: [{"was": b.subject, "became": b.verdict, "reason": b.reason}],
}  # fmt: skip


def concerns(body: Body) -> tuple[str | None, int | None]:
    """The sitting and the utterance that an event is about, as far as it names them."""
    if isinstance(body, UtteranceHeard):
        return body.sitting, body.reading.utterance.n
    return getattr(body, "sitting", None), getattr(body, "n", None)


def _insert(db: Database, table: str, row: Row) -> None:
    names = ", ".join(row)
    marks = ", ".join("?" * len(row))
    db.conn.execute(f"INSERT INTO {table} ({names}) VALUES ({marks})", tuple(row.values()))


def _put(db: Database, table: str, row: Row, keep: tuple[str, ...] = ()) -> None:
    """Insert a row, or bring the one with the same key up to date, but for the columns in `keep`."""
    names = ", ".join(row)
    marks = ", ".join("?" * len(row))
    key = _KEYS[table]
    changes = ", ".join(f"{name} = excluded.{name}" for name in row if name not in key and name not in keep)
    db.conn.execute(
        f"INSERT INTO {table} ({names}) VALUES ({marks}) ON CONFLICT ({', '.join(key)}) DO UPDATE SET {changes}",
        tuple(row.values()),
    )
