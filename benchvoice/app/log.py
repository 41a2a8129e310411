"""The log as a person goes through it: one row an utterance, with its findings and the reasons to look again.

Rows are made from a record and kept: an edit makes only the rows anew whose utterance or findings changed, so that a
keypress on a log of thousands is answered at once.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from benchvoice.domain.contradictions import Contradiction, Opposites, contradictions_among, undecided
from benchvoice.domain.doubts import Doubt, doubts_of_said
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Entry, Record, Said, Status

Key = tuple[str, str]
"""Sitting, and the utterance's n or the entry's id as text: the same row before and after an edit."""

Position = tuple[str, int | None, int | None]
"""Part, cylinder, journal."""


class RowState(StrEnum):
    """Where a row stands in the review."""

    WAITS = "waits"
    """At least one finding that nobody has decided about."""
    SETTLED = "settled"
    """All its findings are accepted or dropped."""
    WORDS_ONLY = "words_only"
    """No finding stands on it."""
    CHATTER = "chatter"
    """Not about the engine."""
    TAKEN_BACK = "taken_back"
    """Struck by voice."""
    BLANKED = "blanked"
    """Sound and words were removed at the person's wish."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the log. `entries` are the findings to show: accepted, proposed and dropped ones, not withdrawn."""

    key: Key
    said: Said | None
    entries: tuple[Entry, ...]
    doubts: tuple[Doubt, ...]
    state: RowState

    @property
    def sitting(self) -> str:
        return self.key[0]

    @property
    def n(self) -> int | None:
        return None if self.said is None else self.said.reading.utterance.n

    @property
    def t0(self) -> float | None:
        return None if self.said is None else self.said.reading.utterance.t0

    @property
    def t1(self) -> float | None:
        return None if self.said is None else self.said.reading.utterance.t1

    @property
    def text(self) -> str:
        return "" if self.said is None else self.said.reading.utterance.text

    @property
    def waiting(self) -> tuple[Entry, ...]:
        return tuple(entry for entry in self.entries if entry.status is Status.PROPOSED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sift:
    """Which rows to show. Everything that is set must hold; `matches` are the keys that a search found."""

    part: str | None = None
    place: Place = field(default_factory=Place)
    kind: Kind | None = None
    waiting: bool = False
    doubtful: bool = False
    findings_only: bool = False
    words: str = ""
    matches: frozenset[Key] | None = None

    @property
    def empty(self) -> bool:
        return self == Sift()

    def takes(self, row: Row) -> bool:
        if (self.waiting and not row.waiting) or (self.doubtful and not row.doubts):
            return False
        if self.findings_only and not row.entries:
            return False
        if self.words and not self._found(row):
            return False
        if self.part is None and self.kind is None and not self.place:
            return True
        return any(self._takes_finding(entry.finding) for entry in row.entries)

    def _found(self, row: Row) -> bool:
        if self.matches is not None:
            return row.key in self.matches
        return all(word in row.text.lower() for word in self.words.lower().split())

    def _takes_finding(self, finding: Finding) -> bool:
        if self.part is not None and finding.part != self.part:
            return False
        if self.kind is not None and finding.kind is not self.kind:
            return False
        return self.place.covers(finding.place)


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """How far the review has come; utterances but for `waiting`, `accepted` and `dropped`, which count findings."""

    rows: int
    looked_at: int
    doubtful: int
    waiting: int
    accepted: int
    dropped: int


class Log:
    """Keeps the rows of one engine's record. `look` takes a newer record in.

    The record hands out the very same objects for what didn't change, so what did is found by identity, and only that
    is made anew: the rows, the counts and the contradictions.
    """

    def __init__(self, opposites: Opposites) -> None:
        self._opposites = opposites
        self._record = Record()
        self._rows: list[Row] = []
        self._at: dict[Key, int] = {}
        self._key_of: dict[str, Key] = {}
        self._clashes = _Clashes(opposites)
        self._contradicted: frozenset[str] = frozenset()
        self._tally = [0] * len(_tally(None))
        self.contradictions: tuple[Contradiction, ...] = ()
        self.rows: tuple[Row, ...] = ()

    def look(self, record: Record) -> tuple[Row, ...]:
        """The rows of a record in the order in which things were said; those without an utterance come last."""
        old, self._record = self._record, record
        if record is old:
            return self.rows
        changed = _changed(old.entries, record.entries)
        same_shape = (
            old.engine == record.engine
            and len(old.said) == len(record.said)
            and all(key in old.said for key in _changed(old.said, record.said))
            and len(old.entries) == len(record.entries)
            and all(name in old.entries for name in changed)
        )
        self.contradictions = self._clashes.look(record, changed if same_shape else None)
        contradicted = frozenset(name for found in self.contradictions for name in _named(found))
        if same_shape:
            touched = {self._key_of[name] for name in (*changed, *(contradicted ^ self._contradicted))}
            touched |= {(sitting, str(n)) for sitting, n in _changed(old.said, record.said)}
            self._contradicted = contradicted
            for key in touched:
                self._replace(self._at[key], self._made(key))
        else:
            self._contradicted = contradicted
            self._all_anew(record)
        self.rows = tuple(self._rows)
        return self.rows

    def counts(self) -> Counts:
        rows, looked_at, doubtful, waiting, accepted, dropped = self._tally
        return Counts(
            rows=rows, looked_at=looked_at, doubtful=doubtful, waiting=waiting, accepted=accepted, dropped=dropped
        )

    def _all_anew(self, record: Record) -> None:
        self._key_of = {name: (key[0], str(key[1])) for key, said in record.said.items() for name in said.entries}
        alone = {
            entry.id: (entry.sitting, entry.id) for entry in record.entries.values() if entry.id not in self._key_of
        }
        self._key_of |= alone
        keys = [*((sitting, str(n)) for sitting, n in record.said), *alone.values()]
        self._rows = [self._made(key) for key in keys]
        self._at = {key: i for i, key in enumerate(keys)}
        self._tally = [sum(column) for column in zip(*map(_tally, self._rows), strict=True)] or self._tally

    def _made(self, key: Key) -> Row:
        said = self._record.said.get((key[0], int(key[1]))) if key[1].isdigit() else None
        names = (key[1],) if said is None else said.entries
        entries = (self._record.entries[name] for name in names)
        shown = tuple(entry for entry in entries if entry.status is not Status.WITHDRAWN)
        doubts = doubts_of_said(said, shown, self._record.engine, self._contradicted)
        return Row(key=key, said=said, entries=shown, doubts=doubts, state=_state(said, shown))

    def _replace(self, at: int, row: Row) -> None:
        before, after = _tally(self._rows[at]), _tally(row)
        self._tally = [total - old + new for total, old, new in zip(self._tally, before, after, strict=True)]
        self._rows[at] = row


class _Clashes:
    """Contradictions of a record, kept by part and position: only there can two findings clash."""

    def __init__(self, opposites: Opposites) -> None:
        self._opposites = opposites
        self._members: dict[Position, dict[str, Entry]] = {}
        self._found: dict[Position, list[Contradiction]] = {}
        self._position: dict[str, Position] = {}
        self._order: dict[str, int] = {}

    def look(self, record: Record, changed: Collection[str] | None) -> tuple[Contradiction, ...]:
        """Undecided pairs. changed: the entries that are not as they were at the last look; None: anything may be."""
        if changed is None:
            self._members, self._found, self._position = {}, {}, {}
            self._order = {name: i for i, name in enumerate(record.entries)}
            changed = record.entries
        positions: set[Position] = set()
        for name in changed:
            entry = record.entries[name]
            old = self._position.get(name)
            if old is not None:
                self._members.get(old, {}).pop(name, None)
                positions.add(old)
            new = (entry.finding.part, entry.finding.place.cylinder, entry.finding.place.journal)
            self._position[name] = new
            if entry.counts:
                self._members.setdefault(new, {})[name] = entry
                positions.add(new)
        for position in positions:
            self._compare(position)
        found = undecided(record, [item for items in self._found.values() for item in items])
        return tuple(sorted(found, key=lambda item: (self._order[item.first.id], self._order[item.second.id])))

    def _compare(self, position: Position) -> None:
        members = sorted(self._members.get(position, {}).values(), key=lambda entry: self._order[entry.id])
        found = contradictions_among(members, self._opposites)
        if found:
            self._found[position] = found
        else:
            self._found.pop(position, None)


def key_of(entry: Entry) -> Key:
    """The row that an entry stands in."""
    return (entry.sitting, entry.id if entry.n is None else str(entry.n))


def arrange(rows: Iterable[Row], sift: Sift, *, doubtful_first: bool = False) -> list[Row]:
    """The rows to show: sifted, and on request the doubtful ones first, gravest first, else as they were said."""
    shown = list(rows) if sift.empty else [row for row in rows if sift.takes(row)]
    if doubtful_first:
        shown.sort(key=lambda row: row.doubts[0].rank if row.doubts else len(Doubt))
    return shown


def words_of(row: Row, phrase: Callable[[Finding], str]) -> str:
    """A row's findings as one short line, dropped ones left out."""
    return "; ".join(phrase(entry.finding) for entry in row.entries if entry.counts)


def _named(found: Contradiction) -> tuple[str, ...]:
    return (found.first.id, found.second.id, *found.also_first, *found.also_second)


def _changed(old: Mapping[Any, object], new: Mapping[Any, object]) -> list[Any]:
    """Keys whose value is another object than before, or is new."""
    get = old.get
    return [key for key, value in new.items() if get(key) is not value]


def _tally(row: Row | None) -> tuple[int, ...]:
    """What a row adds to the counts, in their order."""
    if row is None:
        return (0, 0, 0, 0, 0, 0)
    statuses = [entry.status for entry in row.entries]
    return (
        1,
        int(row.state is not RowState.WAITS),
        int(bool(row.doubts)),
        statuses.count(Status.PROPOSED),
        statuses.count(Status.ACCEPTED),
        statuses.count(Status.DROPPED),
    )


def _state(said: Said | None, entries: Sequence[Entry]) -> RowState:
    if said is not None and said.blanked:
        return RowState.BLANKED
    if said is not None and said.withdrawn:
        return RowState.TAKEN_BACK
    if any(entry.status is Status.PROPOSED for entry in entries):
        return RowState.WAITS
    if entries:
        return RowState.SETTLED
    return RowState.WORDS_ONLY if said is None or said.reading.domain else RowState.CHATTER
