"""Opens live sittings: a new one, one that broke off and goes on, or one that only has to be heard to its end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from benchvoice.app.live import plan as plans
from benchvoice.app.live.ear import EarMaker
from benchvoice.app.live.signs import Sign
from benchvoice.app.live.sitting import Book, LiveSitting, Manner
from benchvoice.app.sitting import carry_on, open_sitting
from benchvoice.audio import microphone
from benchvoice.audio.microphone import LiveSource
from benchvoice.audio.segments import segments
from benchvoice.domain.events import GapNoted, Marked, SoundKept
from benchvoice.domain.readings import Reading
from benchvoice.domain.words import Utterance
from benchvoice.interpret import Reader
from benchvoice.journal import Journal
from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.phrases import short_phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfinished:
    """A sitting that broke off. `heard` and `recorded` in seconds of the sitting; `at`: wall clock of its start."""

    stock: str
    sitting: str
    at: float
    heard: float
    recorded: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """What a live sitting is made with, besides the journal."""

    lexicon: Lexicon
    recogniser: str | None = None
    manner: Manner = field(default_factory=Manner)
    maker: EarMaker | None = None
    """For tests: another ear than the recogniser's."""

    def ear(self) -> EarMaker:
        return self.maker or EarMaker(given={"recogniser": self.recogniser})


def unfinished(journal: Journal, stock: str | None = None) -> list[Unfinished]:
    """Sittings with a microphone that were never closed and that no program is recording now."""
    out = []
    for own, sitting in journal.unfinished(stock):
        record = journal.record(own)
        kept = record.sittings[sitting]
        if kept.opened.source != "microphone":
            continue
        folder = plans.folder_of(sitting)
        if plans.Lock.held(folder):
            continue
        recorded = max((segment.end for segment in segments(folder)), default=0.0)
        heard = min(plans.heard_until(record, kept, sitting), recorded)
        out.append(Unfinished(stock=own, sitting=sitting, at=kept.at, heard=heard, recorded=recorded))
    return out


def new_sitting(
    journal: Journal,
    stock: str,
    source: LiveSource,
    equipment: Equipment,
    show: Callable[[Sign], None],
    *,
    title: str = "",
) -> LiveSitting:
    """A new sitting of an engine. UnknownStockError if there is no such engine."""
    own = journal.canonical(stock)
    lexicon = equipment.lexicon
    reader = Reader(lexicon, journal.record(own).engine)
    book = open_sitting(
        journal,
        own,
        reader,
        source="microphone",
        title=title or source.name,
        recogniser=equipment.recogniser or "",
        grammar=lexicon.hash,
    )
    return _live(plans.fresh(book.sitting, equipment.ear()), book, source, equipment, show)


def taken_up(
    journal: Journal,
    broken: Unfinished,
    source: LiveSource | None,
    equipment: Equipment,
    show: Callable[[Sign], None],
) -> LiveSitting:
    """A sitting that broke off. With a source it goes on; without one, what is unheard is heard and it is closed."""
    record = journal.record(broken.stock)
    book = carry_on(journal, broken.stock, broken.sitting, Reader(equipment.lexicon, record.engine))
    return _live(plans.again(record, broken.sitting, equipment.ear()), book, source, equipment, show)


def loose_sitting(source: LiveSource, equipment: Equipment, show: Callable[[Sign], None]) -> LiveSitting:
    """A sitting of no engine: what is heard is shown and its sound kept, but it goes into no record."""
    book = LooseBook(Reader(equipment.lexicon))
    return _live(plans.fresh(plans.loose_name(), equipment.ear()), book, source, equipment, show)


class LooseBook:
    """Reads what was said and keeps nothing of it."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._context = reader.start()
        self.next_n = 0

    def hear(self, utterance: Utterance) -> Reading:
        reading, self._context = self._reader.read(utterance, self._context)
        self.next_n = utterance.n + 1
        return reading

    def peek(self, utterance: Utterance) -> Reading:
        return self._reader.read(utterance, self._context)[0]

    def note(self, event: Marked | GapNoted | SoundKept) -> None:
        return None

    def close(self, seconds: float | None = None, why: str = "done") -> None:
        return None


def _live(
    plan: plans.Plan, book: Book, source: LiveSource | None, equipment: Equipment, show: Callable[[Sign], None]
) -> LiveSitting:
    return LiveSitting(
        plan,
        book,
        source,
        show,
        manner=equipment.manner,
        describe=lambda finding: short_phrase(finding, equipment.lexicon),
        refresh=microphone.refresh if isinstance(source, microphone.Microphone) else None,
    )
