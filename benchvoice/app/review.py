"""A review: what a person does to an engine's record after it was heard. Every step is an event, and can be undone.

One keystroke is one batch of events and so one undo. Undo and redo go through the journal, without limit and across
restarts. The log that a screen shows is made from `Review.record` (see `log`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from benchvoice.app.reread import Change, cut, joined, read_in_place, spoken
from benchvoice.app.sitting import SPLIT_BASE
from benchvoice.domain.contradictions import Contradiction, contradictions
from benchvoice.domain.events import (
    Body,
    ContradictionSettled,
    Event,
    FindingAdded,
    FindingCorrected,
    FindingsAccepted,
    FindingsDropped,
    LeftUnlooked,
    Overruled,
    ReadAgain,
    Redone,
    Undone,
    UtterancesMerged,
    UtteranceSplit,
    WordsCorrected,
)
from benchvoice.domain.findings import Finding, Flag, Kind, Place
from benchvoice.domain.record import Entry, Record, Said, Status
from benchvoice.domain.state import hand_id
from benchvoice.errors import BenchvoiceError
from benchvoice.interpret import Reader
from benchvoice.journal import Hit, Journal
from benchvoice.lexicon import Lexicon


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What an undo or redo did: the events that no longer count, or count again."""

    events: tuple[Event, ...]


class Review:
    """The review of one engine. `reader` is needed only where words are read again.

    UnknownStockError if there is no such engine.
    """

    def __init__(self, journal: Journal, stock: str, lexicon: Lexicon, reader: Reader | None = None) -> None:
        self.journal = journal
        self.stock = journal.canonical(stock)
        self.lexicon = lexicon
        self._reader = reader

    @property
    def record(self) -> Record:
        """The record as it stands, with what other programs have written meanwhile."""
        return self.journal.record(self.stock)

    @property
    def reader(self) -> Reader:
        if self._reader is None:
            self._reader = Reader(self.lexicon, self.record.engine)
        return self._reader

    @property
    def loaded(self) -> bool:
        """True if words can be read without making a reader first."""
        return self._reader is not None

    def use(self, lexicon: Lexicon, reader: Reader | None = None) -> None:
        """Read with these words from now on; without a reader one is made when it is needed."""
        self.lexicon = lexicon
        self._reader = reader

    def changed(self) -> bool:
        """True if another program wrote since the last call: a screen then looks at `record` again."""
        return self.journal.changed()

    # Decisions

    def accept(self, names: Iterable[str], words: Iterable[tuple[str, int]] = ()) -> None:
        """These findings are right, and so are the words of these utterances, from which none was read."""
        wanted = self._other_than(names, Status.ACCEPTED)
        bodies: list[Body] = [FindingsAccepted(finding_ids=wanted)] if wanted else []
        for sitting, n in words:
            reading = self._said(sitting, n).reading
            after = replace(reading, utterance=reading.utterance.reworded(reading.utterance.text))
            bodies.append(WordsCorrected(sitting=sitting, n=n, before=reading.utterance.text, after=after))
        self._append(bodies)

    def drop(self, names: Iterable[str], reason: str = "") -> None:
        """These findings are wrong. They stay in the record as dropped."""
        wanted = self._other_than(names, Status.DROPPED)
        if wanted:
            self._append([FindingsDropped(finding_ids=wanted, reason=reason)])

    def settle(self, found: Contradiction, decision: str, reason: str = "") -> None:
        """Decide a contradiction: "first" or "second" is right and the other is dropped, or "both" are, and why."""
        if decision not in ("first", "second", "both"):
            raise BenchvoiceError(f"{decision!r} is no decision.", hint="Say first, second or both.")
        if decision == "both" and not reason.strip():
            raise BenchvoiceError(
                "Two findings that contradict each other can't both stand without a reason.", hint="Give one."
            )
        bodies: list[Body] = [
            ContradictionSettled(first=found.first.id, second=found.second.id, decision=decision, reason=reason)
        ]
        others = {"first": found.also_second, "second": found.also_first}.get(decision, ())
        if others:
            bodies.append(FindingsDropped(finding_ids=others, reason=reason))
        self._append(bodies)

    def overrule(self, subject: str, verdict: str, reason: str = "") -> None:
        """The person knows better than a judgement of the program's."""
        self._append([Overruled(subject=subject, verdict=verdict, reason=reason)])

    # Findings

    def correct_finding(self, name: str, after: Finding) -> None:
        """Put another finding in a finding's place, and accept it with that."""
        entry = self._entry(name)
        clean = self._by_hand(after)
        if clean != entry.finding or entry.status is not Status.ACCEPTED:
            self._append([FindingCorrected(finding_id=name, before=entry.finding, after=clean)])

    def add(self, finding: Finding, sitting: str | None = None, n: int | None = None) -> str:
        """Add a finding by hand, to an utterance if one is named, and return its id."""
        where = sitting or next(reversed(self.record.sittings), "hand")
        with self.journal.writing():
            name = hand_id(where, self.journal.last_event() + 1)
            self._append([FindingAdded(finding_id=name, sitting=where, n=n, finding=self._by_hand(finding))])
        return name

    def leave_unlooked(self, part: str, place: Place | None = None, reason: str = "") -> str:
        """Note that a part was not looked at, on purpose."""
        finding = Finding(kind=Kind.UNSEEN, part=part, place=place or Place())
        where = next(reversed(self.record.sittings), "hand")
        with self.journal.writing():
            name = hand_id(where, self.journal.last_event() + 1)
            self._append([LeftUnlooked(finding_id=name, finding=self._by_hand(finding), reason=reason)])
        return name

    def move(self, names: Iterable[str], **to: int | str | None) -> int:
        """Move findings to another place ("all of these were cylinder six"): the named keys are set, None clears one.

        Returns how many moved.
        """
        bodies: list[Body] = []
        for entry in (self._entry(name) for name in names):
            place = replace(entry.finding.place, **to)  # type: ignore[arg-type]
            if place != entry.finding.place and entry.counts:
                after = self._placed(replace(entry.finding, place=place))
                bodies.append(FindingCorrected(finding_id=entry.id, before=entry.finding, after=after))
        self._append(bodies)
        return len(bodies)

    def stretch(self, sitting: str, first: int, last: int, at: Place | None = None) -> list[Entry]:
        """Standing findings of the utterances from one to another, in the order of the log, at a place if given."""
        said = spoken(self.record, sitting)
        index = {item.reading.utterance.n: i for i, item in enumerate(said)}
        low, high = sorted((index[first], index[last]))
        entries = [self.record.entries[name] for item in said[low : high + 1] for name in item.entries]
        return [entry for entry in entries if entry.counts and (at is None or at.covers(entry.finding.place))]

    # Words

    def preview_words(self, sitting: str, n: int, text: str) -> tuple[Change, ...]:
        """What other words would change: the utterance itself first, then later ones that carried over from it."""
        said = spoken(self.record, sitting)
        here = self._index(said, n)
        utterance = said[here].reading.utterance.reworded(_typed(text))
        readings, later = read_in_place(said, (here,), (utterance,), self.reader)
        own = Change(sitting=sitting, n=n, before=said[here].reading, after=readings[0])
        return (own, *later)

    def correct_words(self, sitting: str, n: int, text: str, *, accept: bool = False) -> tuple[Change, ...]:
        """Put other words in an utterance's place; findings that they still claim keep what was decided.

        accept: the findings that are read from them are right. Returns what changed; nothing if the words are the same.
        """
        said = self._said(sitting, n)
        if _typed(text) == said.reading.utterance.text:
            return ()
        changes = self.preview_words(sitting, n, text)
        before = said.reading.utterance.text
        bodies: list[Body] = [WordsCorrected(sitting=sitting, n=n, before=before, after=changes[0].after)]
        self._append([*bodies, *self._later(changes[1:])], accept=(sitting, n) if accept else None)
        return changes

    def split(self, sitting: str, n: int, at: int) -> int:
        """Make two utterances of one, the second beginning with its word number `at` (from 0). Returns its n."""
        said = spoken(self.record, sitting)
        here = self._index(said, n)
        utterance = said[here].reading.utterance
        if not 0 < at < len(utterance.words):
            raise BenchvoiceError("An utterance is split between two of its words.")
        used = [number for name, number in self.record.said if name == sitting and number >= SPLIT_BASE]
        new_n = max(used, default=SPLIT_BASE - 1) + 1
        (first, second), later = read_in_place(said, (here,), cut(utterance, at, new_n), self.reader)
        body = UtteranceSplit(sitting=sitting, n=n, new_n=new_n, first=first, second=second)
        self._append([body, *self._later(later)])
        return new_n

    def merge(self, sitting: str, n: int, other: int) -> None:
        """Make one utterance of two, under the number of the one that was said first."""
        said = spoken(self.record, sitting)
        first, second = sorted((self._index(said, n), self._index(said, other)))
        if first == second:
            raise BenchvoiceError("An utterance is merged with another one.")
        whole = joined(said[first].reading.utterance, said[second].reading.utterance)
        (reading,), later = read_in_place(said, (first, second), (whole,), self.reader)
        numbers = [said[i].reading.utterance.n for i in (first, second)]
        body = UtterancesMerged(sitting=sitting, n=numbers[0], other=numbers[1], after=reading)
        self._append([body, *self._later(later)])

    # Back and forth

    def undo(self) -> Step | None:
        """Take back the last step that counts. None if there is none."""
        undoable = self.record.undoable
        return self._back_and_forth(Undone(event=undoable[-1])) if undoable else None

    def redo(self) -> Step | None:
        """Bring back what was undone last. None if nothing was, or something else was done since."""
        redoable = self.record.redoable
        return self._back_and_forth(Redone(event=redoable[-1])) if redoable else None

    # Looking

    def contradictions(self) -> list[Contradiction]:
        """Pairs that wait for a decision."""
        return contradictions(self.record, self.lexicon.opposites)

    def unreviewed(self) -> list[Entry]:
        """Findings that wait for a decision."""
        return self.record.unreviewed()

    def search(self, text: str) -> list[Hit]:
        """Utterances that hold all the words, as they read now or as they were heard."""
        return self.journal.search(self.stock, text)

    # Inside

    def _append(self, bodies: list[Body], accept: tuple[str, int] | None = None) -> None:
        if not bodies:
            return
        if accept is None:
            self.journal.append(bodies, self.stock, batch=len(bodies) > 1)
            return
        with self.journal.writing():
            events = self.journal.append(bodies, self.stock, batch=True)
            said = self.record.said[accept]
            waiting = [name for name in said.entries if self.record.entries[name].status is Status.PROPOSED]
            if waiting:
                body = FindingsAccepted(finding_ids=tuple(waiting))
                self.journal.append(body, self.stock, batch=events[0].batch or False)

    def _back_and_forth(self, body: Undone | Redone) -> Step:
        before = self.record.undoable
        self.journal.append(body, self.stock)
        moved = set(before) ^ set(self.record.undoable)
        return Step(events=tuple(self.journal.events_by_id(moved)))

    def _later(self, changes: Collection[Change]) -> list[Body]:
        return [ReadAgain(sitting=item.sitting, n=item.n, reading=item.after) for item in changes]

    def _other_than(self, names: Iterable[str], status: Status) -> tuple[str, ...]:
        return tuple(name for name in dict.fromkeys(names) if self._entry(name).status is not status)

    def _entry(self, name: str) -> Entry:
        entry = self.record.entries.get(name)
        if entry is None:
            raise BenchvoiceError(f"There is no finding {name}.")
        return entry

    def _said(self, sitting: str, n: int) -> Said:
        said = self.record.said.get((sitting, n))
        if said is None or said.blanked:
            raise BenchvoiceError(f"{sitting} has no utterance {n} with words.")
        return said

    def _index(self, said: list[Said], n: int) -> int:
        for index, item in enumerate(said):
            if item.reading.utterance.n == n:
                return index
        raise BenchvoiceError(f"There is no utterance {n} with words in this sitting.")

    def _by_hand(self, finding: Finding) -> Finding:
        """A person's word leaves no doubt but that the engine may lack the place."""
        return self._placed(replace(finding, flags=(), confidence=1.0))

    def _placed(self, finding: Finding) -> Finding:
        engine, place = self.record.engine, finding.place
        flags: tuple[Flag, ...] = tuple(flag for flag in finding.flags if flag is not Flag.NOT_ON_ENGINE)
        if engine is not None and not engine.has(cylinder=place.cylinder, journal=place.journal, bank=place.bank):
            flags += (Flag.NOT_ON_ENGINE,)
        return replace(finding, flags=flags)


def _typed(text: str) -> str:
    """Words as the reader takes them: lower case, one space apart, nothing that a terminal would act on."""
    printable = "".join(character if character.isprintable() else " " for character in text)
    return " ".join(printable.lower().split())
