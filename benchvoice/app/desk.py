"""Everything that a screen for a review needs, in one place: the log, the changes, what is looked at next.

Screens and the line-by-line review both sit on this, so neither has rules of its own. Each change answers with one
plain sentence for the person.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace

from benchvoice.app import filing
from benchvoice.app.choices import moved
from benchvoice.app.glance import Block, sheet
from benchvoice.app.live.plan import folder_of
from benchvoice.app.log import Counts, Key, Log, Row
from benchvoice.app.reread import read_in_place, spoken
from benchvoice.app.review import Review, Step
from benchvoice.app.watching import Pulse, Watching
from benchvoice.domain.contradictions import Contradiction
from benchvoice.domain.doubts import Doubt
from benchvoice.domain.findings import Finding, Place
from benchvoice.domain.readings import Reading
from benchvoice.domain.record import Entry, Record, Revision
from benchvoice.domain.words import Utterance, Word
from benchvoice.errors import BenchvoiceError
from benchvoice.interpret import Reader
from benchvoice.judge.coverage import cover
from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.judging import judging_tables
from benchvoice.lexicon.phrases import short_phrase

STEPS = {
    "words_corrected": "the words", "read_again": "the new reading", "utterance_split": "the split",
    "utterances_merged": "the join", "finding_added": "the added finding", "finding_corrected": "the correction",
    "findings_accepted": "the acceptance", "findings_dropped": "the drop",
    "contradiction_settled": "the decision about a clash", "left_unlooked": "the mark as left on purpose",
    "overruled": "the overruling",
}  # fmt: skip
"""What a person calls the step that an event stands for."""


SHORT = Utterance(n=0, words=tuple(Word(text=word) for word in ("one", "rod", "bearing", "is", "good")))
"""Read once to load what reading needs."""


class Desk:
    """One engine's review. Everything here runs in the thread that opened the journal, but for `reader_of`'s answer."""

    def __init__(self, review: Review) -> None:
        self.review = review
        self.lexicon = review.lexicon
        self.log = Log(review.lexicon.opposites)
        self._lock = threading.Lock()
        self._watching: tuple[str, Watching] | None = None

    @property
    def record(self) -> Record:
        return self.review.record

    def rows(self) -> tuple[Row, ...]:
        """The log as it stands now, with what other programs wrote meanwhile."""
        return self.log.look(self.record)

    @property
    def counts(self) -> Counts:
        return self.log.counts()

    @property
    def contradictions(self) -> tuple[Contradiction, ...]:
        return self.log.contradictions

    def phrase(self, finding: Finding) -> str:
        return short_phrase(finding, self.lexicon)

    def search(self, words: str) -> frozenset[Key]:
        """Rows whose words, as they read now or as they were heard, hold all of these or begin with the last ones."""
        return frozenset((hit.sitting, str(hit.n)) for hit in self.review.search(words))

    def glance(self) -> tuple[Block, ...]:
        """The sheet of the engine; empty if it wasn't taken in."""
        record = self.record
        if record.engine is None:
            return ()
        severity = {name: item.severity if item.is_bad else 0 for name, item in self.lexicon.conditions.items()}
        return sheet(record.engine, cover(record.standing(), record.engine, judging_tables()).cells, severity)

    def use(self, lexicon: Lexicon) -> None:
        """Read and name things with these words from now on. What was read before stays as it is."""
        with self._lock:
            self.review.use(lexicon)
        self.lexicon = lexicon
        self.log = Log(lexicon.opposites)

    def warm(self) -> Callable[[], None]:
        """What loads all that reading words needs, so that the first correction doesn't wait for it.

        To be called in a thread of its own.
        """
        lexicon, engine = self.lexicon, self.record.engine

        def load() -> None:
            with self._lock:
                reader = self.review.reader if self.review.loaded else Reader(lexicon, engine)
                reader.read(SHORT, reader.start())
                if self.review.lexicon is lexicon:
                    self.review.use(lexicon, reader)

        return load

    def pulse(self) -> Pulse:
        """Whether the newest open sitting is being recorded now, and how loud it is."""
        name = next((name for name, sitting in reversed(self.record.sittings.items()) if not sitting.closed), None)
        if name is None:
            return Pulse()
        if self._watching is None or self._watching[0] != name:
            self._watching = (name, Watching(folder_of(name)))
        return self._watching[1].pulse()

    # Reading words without changing anything

    def reader_of(self, row: Row) -> Callable[[str], Reading]:
        """Reads other words in a row's place, in the context of what was said before. Safe to call in any thread."""
        said = [item for item in spoken(self.record, row.sitting) if not item.withdrawn or item is row.said]
        here = next((i for i, item in enumerate(said) if item.reading.utterance.n == row.n), None)
        if here is None:
            raise BenchvoiceError("This line has no words that could be changed.")
        before, utterance = said[: here + 1], said[here].reading.utterance
        with self._lock:
            reader = self.review.reader

        def read(text: str) -> Reading:
            other = utterance.reworded(" ".join(text.lower().split()))
            with self._lock:
                return read_in_place(before, (here,), (other,), reader)[0][0]

        return read

    def other_words(self, row: Row) -> list[str]:
        """The recogniser's other readings of a row, and what was heard before any repair, best first, each once."""
        if row.said is None:
            return []
        heard = row.said.heard.utterance
        texts = [*heard.alternatives, heard.raw or "", heard.text]
        return [text for text in dict.fromkeys(texts) if text and text != row.text]

    def other_findings(self, row: Row) -> list[Finding]:
        """What would be found in the other readings of a row."""
        texts = self.other_words(row)
        if not texts:
            return []
        read = self.reader_of(row)
        return [finding for text in texts for finding in read(text).findings]

    # Changes, each answered with a sentence

    def accept(self, rows: Sequence[Row]) -> str:
        """Everything in these rows is right: findings that wait, and words from which no finding was read."""
        entries = [entry for row in rows for entry in row.waiting]
        words = [row for row in rows if Doubt.NOTHING_READ in row.doubts and row.n is not None]
        self.review.accept((entry.id for entry in entries), [(row.sitting, row.n or 0) for row in words])
        said = [f"Accepted {self._what(entries)}."] if entries else []
        if words:
            said.append(f"{len(words)} lines hold" if len(words) > 1 else "This line holds")
            said[-1] += " no finding, as you say."
        return " ".join(said) or "Nothing waits here."

    def drop(self, entries: Sequence[Entry], reason: str = "") -> str:
        self.review.drop((entry.id for entry in entries), reason)
        return f"Dropped {self._what(entries)}."

    def reword(self, row: Row, text: str) -> str:
        """Other words; who types them has looked at the line, so what is read from them is accepted."""
        with self._lock:
            changes = self.review.correct_words(row.sitting, self._n(row), text, accept=True)
        later = len(changes) - 1
        also = f" {later} later line{'s' * (later != 1)} changed with them." if later > 0 else ""
        return f"Words changed.{also}" if changes else "The words are the same."

    def correct(self, entry: Entry, after: Finding) -> str:
        self.review.correct_finding(entry.id, after)
        return f"Now {self.phrase(after)}."

    def move(self, entries: Sequence[Entry], to: Place) -> str:
        count = self.review.move((entry.id for entry in entries), **to.as_dict())
        if len(entries) == 1:
            return f"Now {self.phrase(moved(entries[0].finding, to))}."
        return f"Moved {count} of {len(entries)} findings."

    def add(self, finding: Finding, row: Row | None) -> str:
        if row is not None:
            finding = replace(finding, t0=row.t0, t1=row.t1, text=row.text)
        self.review.add(finding, row.sitting if row else None, row.n if row else None)
        return f"Added {self.phrase(finding)}."

    def leave(self, part: str, place: Place, reason: str) -> str:
        self.review.leave_unlooked(part, place, reason)
        return f"{self.lexicon.phrase(part).capitalize()}: not looked at, on purpose."

    def split(self, row: Row, at: int) -> str:
        with self._lock:
            self.review.split(row.sitting, self._n(row), at)
        return "One line became two."

    def join(self, row: Row, after: Row) -> str:
        with self._lock:
            self.review.merge(row.sitting, self._n(row), self._n(after))
        return "Two lines became one."

    def settle(self, first: Entry, second: Entry, decision: str, reason: str = "") -> str:
        found = next((f for f in self.contradictions if (f.first.id, f.second.id) == (first.id, second.id)), None)
        if found is None:
            raise BenchvoiceError("That clash was decided meanwhile.")
        self.review.settle(found, decision, reason)
        kept = {"first": self.phrase(first.finding), "second": self.phrase(second.finding)}.get(decision)
        return f"Kept {kept}." if kept else "Kept both."

    def file(self, by: str, *, anyway: bool = False) -> Revision:
        """Seal a revision. UnreviewedError names what is in the way."""
        journal, stock = self.review.journal, self.review.stock
        return filing.file(journal, stock, self.lexicon.opposites, by=by, leave_unreviewed=anyway)

    def undo(self) -> str:
        step = self.review.undo()
        return "Nothing is left to undo." if step is None else f"Took back {_step(step)}."

    def redo(self) -> str:
        step = self.review.redo()
        return "Nothing is left to redo." if step is None else f"Brought back {_step(step)}."

    def _n(self, row: Row) -> int:
        if row.n is None:
            raise BenchvoiceError("This line was added by hand and has no words.")
        return row.n

    def _what(self, entries: Sequence[Entry]) -> str:
        return self.phrase(entries[0].finding) if len(entries) == 1 else f"{len(entries)} findings"


def _step(step: Step) -> str:
    names = dict.fromkeys(STEPS.get(event.body.name, "a step") for event in step.events)
    return " and ".join(names) or "a step"
