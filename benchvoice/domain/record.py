"""The engine's record: a pure fold over its events."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from benchvoice.domain.engine import Engine
from benchvoice.domain.events import (
    CameraAligned,
    ContradictionSettled,
    Filed,
    GapNoted,
    Marked,
    Overruled,
    SittingOpened,
    SoundKept,
    StretchBlanked,
)
from benchvoice.domain.findings import Finding
from benchvoice.domain.readings import Reading


class Status(StrEnum):
    PROPOSED = "proposed"
    """Heard, nobody has looked at it yet."""
    ACCEPTED = "accepted"
    DROPPED = "dropped"
    """The person said that it is wrong."""
    WITHDRAWN = "withdrawn"
    """Taken back by voice, or its words were corrected away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A finding in the record. `original` is what was first heard, None for one that was added by hand."""

    id: str
    sitting: str
    n: int | None
    finding: Finding
    status: Status
    original: Finding | None = None
    corrections: int = 0

    @property
    def counts(self) -> bool:
        """True while it stands in the record, reviewed or not."""
        return self.status in (Status.PROPOSED, Status.ACCEPTED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """An utterance in the record: `heard` is the first reading, `reading` the one that holds now."""

    sitting: str
    heard: Reading
    reading: Reading
    withdrawn: bool = False
    blanked: bool = False
    entries: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    opened: SittingOpened
    at: float
    """Wall clock of its start, seconds since the epoch."""
    sounds: tuple[SoundKept, ...] = ()
    gaps: tuple[GapNoted, ...] = ()
    marks: tuple[Marked, ...] = ()
    blanked: tuple[StretchBlanked, ...] = ()
    cameras: tuple[CameraAligned, ...] = ()
    closed: bool = False
    seconds: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    filed: Filed
    at: float
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """All that is known of one engine. Dicts keep the order of the events and are never changed after the fold."""

    engine: Engine | None = None
    sittings: dict[str, Sitting] = field(default_factory=dict)
    said: dict[tuple[str, int], Said] = field(default_factory=dict)
    entries: dict[str, Entry] = field(default_factory=dict)
    settled: tuple[ContradictionSettled, ...] = ()
    overruled: tuple[Overruled, ...] = ()
    revisions: tuple[Revision, ...] = ()
    undoable: tuple[int, ...] = ()
    """Ids of the corrections that count, oldest first: the last one is what undo takes back."""
    redoable: tuple[int, ...] = ()
    last_event: int = 0

    def standing(self) -> list[Entry]:
        """Entries that are proposed or accepted, in order."""
        return [entry for entry in self.entries.values() if entry.counts]

    def accepted(self) -> list[Entry]:
        return [entry for entry in self.entries.values() if entry.status is Status.ACCEPTED]

    def unreviewed(self) -> list[Entry]:
        return [entry for entry in self.entries.values() if entry.status is Status.PROPOSED]

    def filed_entries(self) -> list[Entry]:
        """Entries of the newest revision, as they stand now; accepted ones if nothing was filed."""
        if not self.revisions:
            return self.accepted()
        ids = set(self.revisions[-1].filed.finding_ids)
        return [entry for entry in self.entries.values() if entry.id in ids]


def entries_by_claim(entries: Iterable[Entry]) -> dict[tuple[object, ...], list[Entry]]:
    """Entries grouped by what they claim: said twice is one claim with two pieces of evidence."""
    out: dict[tuple[object, ...], list[Entry]] = {}
    for entry in entries:
        out.setdefault(entry.finding.claim(), []).append(entry)
    return out
