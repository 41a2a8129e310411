"""The report's model: what is said, and on which entries of the record each sentence stands. It knows no format."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from enum import StrEnum

from benchvoice.domain.findings import Finding

SCHEMA_VERSION = "1.0"


class Length(StrEnum):
    PAGE = "page"
    """One sheet of paper."""
    FULL = "full"


class Arrangement(StrEnum):
    """The order of what was found."""

    TEARDOWN = "teardown"
    """From the outside in, as an engine comes apart."""
    IMPORTANCE = "importance"
    """What decides a sale first."""


class Units(StrEnum):
    SPOKEN = "spoken"
    BOTH = "both"
    """As spoken, the other system behind it in brackets."""


class Format(StrEnum):
    MARKDOWN = "md"
    HTML = "html"
    PDF = "pdf"
    CSV = "csv"
    JSON = "json"
    BLURB = "txt"
    VTT = "vtt"
    SRT = "srt"
    CHAPTERS = "chapters"
    LABELS = "labels"


class Says(StrEnum):
    """What kind of statement a sentence is: the kinds are never mixed in one sentence."""

    FINDING = "finding"
    """An accepted finding, no more and no less."""
    FIGURE = "figure"
    """Computed from findings."""
    COVERAGE = "coverage"
    """What was looked at and what was not."""
    INTAKE = "intake"
    HEARSAY = "hearsay"
    """What somebody else said."""
    CAUSE = "cause"
    WORTH = "worth"
    LAW = "law"
    SAFETY = "safety"
    METHOD = "method"
    """How the report came about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebuilt:
    """What the guides ask for before a part may be called rebuilt (16 CFR 20.3(a)); each must be on record."""

    dismantled_and_reconstructed: bool = False
    cleaned_inside_and_out: bool = False
    made_rust_free: bool = False
    worn_parts_restored_or_replaced: bool = False
    missing_parts_replaced: bool = False
    machined_to_sound_condition: bool = False
    in_a_factory: bool = False
    """Done in a factory that generally does such work (16 CFR 20.3(b)): asked for "remanufactured"."""
    done_by: str = ""
    """Who did the work (16 CFR 20.2: not to be misstated)."""


class Warranty(StrEnum):
    UNSTATED = "unstated"
    AS_IS = "as_is"
    LIMITED = "limited"
    FULL = "full"


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """What goes out and how. Everything that is private stays out unless it is asked for here.

    paper is "a4" or "letter". warranty_days goes with a limited or full warranty; terms are the seller's own words.
    model_year: of the donor, for the reminder about old gaskets. part_names gives names for label rows.
    """

    language: str = "en"
    length: Length = Length.FULL
    arrangement: Arrangement = Arrangement.TEARDOWN
    units: Units = Units.SPOKEN
    paper: str = "a4"
    label_sheet: str = "a4"
    seller: str = ""
    warranty: Warranty = Warranty.UNSTATED
    warranty_days: int | None = None
    terms: str = ""
    rebuilt: Rebuilt = field(default_factory=Rebuilt)
    drained: bool | None = None
    model_year: int | None = None
    price_paid: bool = False
    origin: bool = False
    notes: bool = False
    whole_vin: bool = False
    blanked_words: bool = False
    all_talk: bool = False
    """Captions hold talk that is not about the engine, too."""
    made_at: datetime | None = None
    """None: now. Given, the same record makes the same bytes."""

    def when(self) -> datetime:
        return self.made_at or datetime.now(UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """evidence: ids of the entries that it stands on; refs: their numbers in the evidence list."""

    text: str
    says: Says
    evidence: tuple[str, ...] = ()
    refs: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    sentences: tuple[Sentence, ...]
    lead: str = ""
    """A run-in heading."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bullets:
    """A list; an item is one or a few sentences that belong together."""

    items: tuple[Paragraph, ...]

    @classmethod
    def of(cls, sentences: Iterable[Sentence]) -> Bullets:
        """One item a sentence."""
        return cls(items=tuple(Paragraph(sentences=(sentence,)) for sentence in sentences))


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    title: str
    numeric: bool = False
    weight: float = 1.0
    """Share of the width."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """claim holds the cells as one sentence, for rows that state findings."""

    cells: tuple[str, ...]
    evidence: tuple[str, ...] = ()
    refs: tuple[int, ...] = ()
    claim: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    label: str
    value: float
    low: float | None = None
    """Lower end of its uncertainty, in the chart's unit."""
    high: float | None = None
    group: str = ""
    text: str = ""
    """The value as written elsewhere in the report."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Values side by side. limits: (label, value) lines across; alt says in words what is to be seen."""

    title: str
    unit: str
    points: tuple[Point, ...]
    limits: tuple[tuple[str, float], ...] = ()
    alt: str = ""


Block = Paragraph | Bullets | Table | Chart


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """level 1 sections are the report's chapters, level 2 their parts."""

    key: str
    title: str
    blocks: tuple[Block, ...]
    level: int = 1
    new_page: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One accepted finding with the words it stands on. Times in seconds of the sitting and of the film."""

    number: int
    id: str
    finding: Finding
    says: str
    """The finding as one plain sentence."""
    words: str = ""
    withheld: str = ""
    """Why the words are left out, if they are."""
    sitting: str = ""
    t0: float | None = None
    t1: float | None = None
    film: str = ""
    film_t0: float | None = None
    heard: str = ""
    """The words as first heard, where a person corrected them."""
    corrections: int = 0
    by_hand: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """A caption: seconds of the film where the sitting is aligned with one, of the sitting otherwise."""

    track: str
    start: float
    end: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    track: str
    start: float
    title: str
    end: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One film or sitting; `aligned` if its seconds are the film's."""

    name: str
    title: str
    aligned: bool
    cues: tuple[Cue, ...]
    chapters: tuple[Chapter, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What is stuck on a shelved part. code is what the QR code holds."""

    stock: str
    part: str
    position: str
    condition: str
    size: str
    revision: str
    code: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A computed figure as the report tells it: value, limit and verdict as text beside the numbers."""

    name: str
    subject: str
    value: str
    limit: str
    verdict: str
    uncertainty: str
    source: str
    number: Decimal | None = None
    unit: str = ""
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """All that leaves the shop about one engine, in no format yet."""

    title: str
    subtitle: str
    stock: str
    language: str
    made_at: datetime
    version: str
    revision: int | None
    sealed: str
    """SHA-256 of the filed revision, empty if nothing was filed."""
    badge: str
    """The one line that must be read first: used parts, not rebuilt."""
    blurb: str
    sections: tuple[Section, ...]
    evidence: tuple[Evidence, ...]
    identity: tuple[tuple[str, str], ...]
    figures: tuple[Reading, ...]
    labels: tuple[Label, ...]
    tracks: tuple[Track, ...]
    left_out: tuple[str, ...]
    length: Length
    text_language: str
    """The language of the sentences: a small language may bring headings only."""
    words: dict[str, str]
    """Fixed words of the language that exporters print: headings of the evidence list, "page", "draft"."""
    paper: str = "a4"
    label_sheet: str = "a4"

    def sentences(self) -> list[Sentence]:
        """Every sentence, in order, whatever block it is in."""
        out: list[Sentence] = []
        for section in self.sections:
            for block in section.blocks:
                if isinstance(block, Paragraph):
                    out.extend(block.sentences)
                elif isinstance(block, Bullets):
                    out.extend(sentence for item in block.items for sentence in item.sentences)
        return out

    def tables(self) -> list[Table]:
        return [block for section in self.sections for block in section.blocks if isinstance(block, Table)]
