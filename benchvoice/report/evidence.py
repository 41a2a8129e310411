"""The list of evidence: each accepted finding, the words that it stands on, and where they lie in sound and film."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from benchvoice.domain.findings import Finding, Place
from benchvoice.domain.record import Entry, Record, Said, Sitting
from benchvoice.report.clean import clean
from benchvoice.report.model import Evidence
from benchvoice.report.narrate import Narrator
from benchvoice.report.phrases import UNNAMED
from benchvoice.report.redact import Redactor, is_blanked


def in_order(entries: Sequence[Entry], record: Record) -> list[Entry]:
    """Entries as they were spoken: by sitting, utterance and the order within it."""
    sittings = {name: place for place, name in enumerate(record.sittings)}
    at = {entry.id: place for place, entry in enumerate(entries)}
    return sorted(
        entries,
        key=lambda entry: (
            sittings.get(entry.sitting, len(sittings)),
            entry.n if entry.n is not None else 1 << 30,
            at[entry.id],
        ),
    )


def film_time(sitting: Sitting | None, t: float | None) -> tuple[str, float | None]:
    """The film that the sitting is aligned with, and the second in it: offset + t * (1 + drift)."""
    if sitting is None or not sitting.cameras or t is None:
        return "", None
    camera = sitting.cameras[-1]
    return camera.film, camera.offset + t * (1.0 + camera.drift)


def gather(entries: Sequence[Entry], record: Record, narrator: Narrator, redactor: Redactor) -> tuple[Evidence, ...]:
    """`entries` in report order; their numbers run from 1."""
    return tuple(_one(number, entry, record, narrator, redactor) for number, entry in enumerate(entries, start=1))


def _one(number: int, entry: Entry, record: Record, narrator: Narrator, redactor: Redactor) -> Evidence:
    said = record.said.get((entry.sitting, entry.n)) if entry.n is not None else None
    finding = entry.finding
    t0, t1 = _times(entry, said)
    film, film_t0 = film_time(record.sittings.get(entry.sitting), t0)
    words, heard, withheld = _words(entry, record, said, redactor)
    return Evidence(
        number=number,
        id=entry.id,
        finding=_safe(finding, words, t0, t1),
        says=narrator.one(entry),
        words=words,
        withheld=withheld,
        sitting=clean(entry.sitting),
        t0=t0,
        t1=t1,
        film=clean(film),
        film_t0=film_t0,
        heard=heard,
        corrections=entry.corrections,
        by_hand=entry.original is None,
    )


def _safe(finding: Finding, words: str, t0: float | None, t1: float | None) -> Finding:
    """The finding with clean names: a journal may hold anything."""
    names = ("condition", "quantity", "unit", "bound", "action", "done_by")
    changes: dict[str, Any] = {name: clean(getattr(finding, name)) for name in names if getattr(finding, name)}
    place = Place(
        **{key: clean(value) if isinstance(value, str) else value for key, value in finding.place.as_dict().items()}  # type: ignore[arg-type]
    )
    part = clean(finding.part) or UNNAMED
    return replace(finding, part=part, place=place, text=words, t0=t0, t1=t1, why=(), **changes)


def _times(entry: Entry, said: Said | None) -> tuple[float | None, float | None]:
    if entry.finding.t0 is not None:
        return entry.finding.t0, entry.finding.t1
    if said is not None:
        return said.reading.utterance.t0, said.reading.utterance.t1
    return None, None


def _words(entry: Entry, record: Record, said: Said | None, redactor: Redactor) -> tuple[str, str, str]:
    """(the words, the words as first heard if they differ, why they are withheld)."""
    t0, t1 = _times(entry, said)
    if is_blanked(record, entry.sitting, t0, t1, said) and not redactor.options.blanked_words:
        return "", "", "blanked"
    raw = said.reading.utterance.text if said is not None else entry.finding.text
    words = redactor.evidence_words(raw)
    if words is None:
        return "", "", "private"
    first = said.heard.utterance.text if said is not None else ""
    heard = redactor.evidence_words(first) if first and first != raw else ""
    return words, heard or "", ""
