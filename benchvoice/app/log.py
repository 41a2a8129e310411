"""The log as a person goes through it: one row an utterance, with its findings and the reasons to look again.

Rows are made from a record and kept: an edit makes only the rows anew whose utterance or findings changed, so that a
keypress on a log of thousands is answered at once.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from benchvoice.domain.contradictions import Contradiction, Opposites, contradictions_among, undecided
from benchvoice.domain.doubts import Doubt, doubts_of_said
from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Entry, Record, Said, Status

Key = tuple[str, str]
"""Sitting, and the utterance's n or the entry's id as text: the same row before and after an edit."""


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
    """Keeps the rows of one engine's record. `look` takes a newer record in."""

    def __init__(self, opposites: Opposites) -> None:
        self._opposites = opposites
        self._rows: dict[Key, Row] = {}
        self._groups: dict[tuple[object, ...], tuple[tuple[Entry, ...], tuple[Contradiction, ...]]] = {}
        self._engine: Engine | None = None
        self.contradictions: tuple[Contradiction, ...] = ()
        self.rows: tuple[Row, ...] = ()

    def look(self, record: Record) -> tuple[Row, ...]:
        """The rows of a record in the order in which things were said; those without an utterance come last."""
        if record.engine != self._engine:
            self._engine, self._rows = record.engine, {}
        self.contradictions = self._contradictions(record)
        contradicted = {name for found in self.contradictions for name in _named(found)}
        rows: dict[Key, Row] = {}
        spoken: set[str] = set()
        for (sitting, n), said in record.said.items():
            spoken.update(said.entries)
            key = (sitting, str(n))
            entries = tuple(record.entries[name] for name in said.entries)
            rows[key] = self._row(key, said, entries, contradicted)
        for entry in record.entries.values():
            if entry.id not in spoken:
                key = (entry.sitting, entry.id)
                rows[key] = self._row(key, None, (entry,), contradicted)
        self._rows = rows
        self.rows = tuple(rows.values())
        return self.rows

    def counts(self) -> Counts:
        entries = [entry for row in self.rows for entry in row.entries]
        return Counts(
            rows=len(self.rows),
            looked_at=sum(row.state is not RowState.WAITS for row in self.rows),
            doubtful=sum(bool(row.doubts) for row in self.rows),
            waiting=sum(entry.status is Status.PROPOSED for entry in entries),
            accepted=sum(entry.status is Status.ACCEPTED for entry in entries),
            dropped=sum(entry.status is Status.DROPPED for entry in entries),
        )

    def _row(self, key: Key, said: Said | None, entries: Sequence[Entry], contradicted: Collection[str]) -> Row:
        shown = tuple(entry for entry in entries if entry.status is not Status.WITHDRAWN)
        old = self._rows.get(key)
        against = any(entry.counts and entry.id in contradicted for entry in shown)
        kept = old is not None and old.said is said and _same(old.entries, shown)
        if old is not None and kept and against == (Doubt.CONTRADICTION in old.doubts):
            return old
        doubts = doubts_of_said(said, shown, self._engine, contradicted)
        return Row(key=key, said=said, entries=shown, doubts=doubts, state=_state(said, shown))

    def _contradictions(self, record: Record) -> tuple[Contradiction, ...]:
        """Undecided pairs. Only findings of one part at one position can clash, so groups that stayed are kept."""
        groups: dict[tuple[object, ...], list[Entry]] = {}
        for entry in record.entries.values():
            if entry.counts:
                finding = entry.finding
                groups.setdefault((finding.part, finding.place.cylinder, finding.place.journal), []).append(entry)
        kept: dict[tuple[object, ...], tuple[tuple[Entry, ...], tuple[Contradiction, ...]]] = {}
        for name, members in groups.items():
            old = self._groups.get(name)
            if old is not None and _same(old[0], members):
                kept[name] = old
            else:
                kept[name] = (tuple(members), tuple(contradictions_among(members, self._opposites)))
        self._groups = kept
        found = undecided(record, (item for _, items in kept.values() for item in items))
        order = {name: i for i, name in enumerate(record.entries)} if found else {}
        return tuple(sorted(found, key=lambda item: (order[item.first.id], order[item.second.id])))


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


def _same(old: Sequence[object], new: Sequence[object]) -> bool:
    return len(old) == len(new) and all(a is b for a, b in zip(old, new, strict=True))


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
