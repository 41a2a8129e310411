"""Filing: the accepted findings become a sealed revision. Later changes make a new one; the old stays readable.

The seal is the SHA-256 of a canonical JSON document of what was filed, so anyone with the journal can make it again.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

from benchvoice.domain.contradictions import Contradiction, Opposites, contradictions
from benchvoice.domain.events import Filed
from benchvoice.domain.findings import Finding
from benchvoice.domain.record import Entry, Record, Revision
from benchvoice.errors import BenchvoiceError, UnreviewedError
from benchvoice.journal import Journal


@dataclass(frozen=True, slots=True, kw_only=True)
class LastLook:
    """What a person should know before filing."""

    accepted: tuple[Entry, ...]
    unreviewed: tuple[Entry, ...]
    contradictions: tuple[Contradiction, ...]
    open_sittings: tuple[str, ...]
    """Sittings that were never closed: somebody may still be talking."""
    unchanged: bool
    """True if this is just what the newest revision holds."""

    @property
    def ready(self) -> bool:
        return bool(self.accepted) and not self.unreviewed and not self.contradictions


def last_look(record: Record, opposites: Opposites) -> LastLook:
    """Counts and obstacles, nothing is written."""
    accepted = tuple(record.accepted())
    return LastLook(
        accepted=accepted,
        unreviewed=tuple(record.unreviewed()),
        contradictions=tuple(contradictions(record, opposites)),
        open_sittings=tuple(name for name, sitting in record.sittings.items() if not sitting.closed),
        unchanged=_unchanged(record, accepted),
    )


def file(journal: Journal, stock: str, opposites: Opposites, *, by: str, leave_unreviewed: bool = False) -> Revision:
    """File the accepted findings of an engine under the shop's name.

    UnreviewedError, naming them, while findings wait for a decision or contradict each other; with leave_unreviewed
    those that wait are left out and counted, while contradictions among what would be filed still refuse.
    """
    if not by.strip():
        raise BenchvoiceError(
            "A revision needs the shop's name.", hint='Give --by "NAME" once; it is remembered in the settings.'
        )
    with journal.writing():
        own = journal.canonical(stock)
        record = journal.record(own)
        look = last_look(record, opposites)
        _refuse(look, own, leave_unreviewed)
        number = len(record.revisions) + 1
        ids = tuple(entry.id for entry in look.accepted)
        filed = Filed(
            revision=number,
            by=by.strip(),
            finding_ids=ids,
            sha256=seal(record, ids, by=by.strip(), revision=number),
            left_unreviewed=tuple(entry.id for entry in look.unreviewed),
        )
        journal.append(filed, own)
        return journal.record(own).revisions[-1]


def as_filed(journal: Journal, stock: str, revision: int) -> Record:
    """The record as it stood when a revision was filed."""
    own = journal.canonical(stock)
    revisions = journal.record(own).revisions
    if not 1 <= revision <= len(revisions):
        raise BenchvoiceError(
            f"{own} has no revision {revision}.",
            hint=f"It has {len(revisions)}." if revisions else "Nothing was filed yet.",
        )
    return journal.record(own, until=revisions[revision - 1].event)


def seal_holds(journal: Journal, stock: str, revision: int) -> bool:
    """True if what was filed then still gives the hash that was filed with it. Words blanked since break it."""
    record = as_filed(journal, stock, revision)
    filed = record.revisions[-1].filed
    return seal(record, filed.finding_ids, by=filed.by, revision=revision) == filed.sha256


def seal(record: Record, ids: Iterable[str], *, by: str, revision: int) -> str:
    """SHA-256, in hexadecimal, of the canonical document."""
    return hashlib.sha256(document(record, ids, by=by, revision=revision)).hexdigest()


def document(record: Record, ids: Iterable[str], *, by: str, revision: int) -> bytes:
    """What is sealed: the engine and the findings with their words, as JSON with sorted keys; decimals as text."""
    entries = [record.entries[name] for name in ids if name in record.entries]
    whole = {
        "by": by,
        "revision": revision,
        "engine": None if record.engine is None else asdict(record.engine),
        "findings": [
            {"id": entry.id, "sitting": entry.sitting, "n": entry.n} | _plain(entry.finding) for entry in entries
        ],
    }
    return json.dumps(whole, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str).encode()


def _plain(finding: Finding) -> dict[str, Any]:
    out = asdict(finding)
    del out["why"]
    out["place"] = finding.place.as_dict()
    return {key: value for key, value in out.items() if value is not None}


def _unchanged(record: Record, accepted: tuple[Entry, ...]) -> bool:
    if not record.revisions:
        return False
    filed = record.revisions[-1].filed
    ids = tuple(entry.id for entry in accepted)
    return seal(record, ids, by=filed.by, revision=filed.revision) == filed.sha256


def _refuse(look: LastLook, stock: str, leave_unreviewed: bool) -> None:
    if look.contradictions:
        pairs = "; ".join(f"{_said(item.first)} against {_said(item.second)}" for item in look.contradictions[:5])
        raise UnreviewedError(
            f"{_count(len(look.contradictions), 'contradiction')} must be decided before filing: {pairs}.",
            hint=f"`benchvoice review {stock}` lists them.",
        )
    if look.unreviewed and not leave_unreviewed:
        names = "; ".join(_said(entry) for entry in look.unreviewed[:5])
        more = f" and {len(look.unreviewed) - 5} more" if len(look.unreviewed) > 5 else ""
        raise UnreviewedError(
            f"{_count(len(look.unreviewed), 'finding')} not reviewed yet: {names}{more}.",
            hint=f"Decide in `benchvoice review {stock}`, or file without them by --leave-unreviewed.",
        )
    if not look.accepted:
        raise UnreviewedError(
            f"{stock} has no accepted finding to file.", hint=f"Accept findings in `benchvoice review {stock}`."
        )
    if look.unchanged:
        raise BenchvoiceError(f"Nothing has changed since the last revision of {stock}.")


def _said(entry: Entry) -> str:
    return f'{entry.id} "{entry.finding.text}"' if entry.finding.text else entry.id


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
