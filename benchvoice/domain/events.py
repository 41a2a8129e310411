"""The journal's events: the only thing that is stored as truth, appended and never changed.

Every event has an id (the journal gives increasing numbers), a time (seconds since the epoch, UTC) and, where it
belongs to one, the stock number of the engine. Finding ids are "<sitting>.<utterance n>.<k>"; those added by hand
"<sitting>.hand.<k>".
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar

from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Finding
from benchvoice.domain.readings import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineTakenIn:
    """Intake of an engine; a later one with the same stock number amends it."""

    name: ClassVar[str] = "engine_taken_in"
    engine: Engine


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingOpened:
    """A sitting: one stretch of listening to one source. `source` is "microphone", "file" or "text"."""

    name: ClassVar[str] = "sitting_opened"
    sitting: str
    source: str
    title: str = ""
    """A person's word for it: the file's name, or the date."""
    recogniser: str = ""
    grammar: str = ""
    """Hash of the grammars that read it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundKept:
    """A sound file of a sitting. `path` is relative to the data folder; start in seconds from the sitting's start."""

    name: ClassVar[str] = "sound_kept"
    sitting: str
    path: str
    start: float
    seconds: float
    rate: int
    sha256: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UtteranceHeard:
    """One utterance and how it was read at the time."""

    name: ClassVar[str] = "utterance_heard"
    sitting: str
    reading: Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class WordsCorrected:
    """The person put other words in an utterance's place; `after` is the new reading, `before` the old text."""

    name: ClassVar[str] = "words_corrected"
    sitting: str
    n: int
    before: str
    after: Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadAgain:
    """The same words, read with newer grammars. What the person decided about the utterance's findings stays."""

    name: ClassVar[str] = "read_again"
    sitting: str
    n: int
    reading: Reading
    grammar: str = ""
    """Hash of the grammars that read it this time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UtteranceSplit:
    """One utterance was two: `n` keeps the first reading, `new_n` (not used so far) takes the second, behind it."""

    name: ClassVar[str] = "utterance_split"
    sitting: str
    n: int
    new_n: int
    first: Reading
    second: Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class UtterancesMerged:
    """Two utterances were one: `n` takes the reading of both, `other` goes up in it."""

    name: ClassVar[str] = "utterances_merged"
    sitting: str
    n: int
    other: int
    after: Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingAdded:
    name: ClassVar[str] = "finding_added"
    finding_id: str
    sitting: str
    n: int | None
    """The utterance it stands on, None when added by hand without one."""
    finding: Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingCorrected:
    name: ClassVar[str] = "finding_corrected"
    finding_id: str
    before: Finding
    after: Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsAccepted:
    name: ClassVar[str] = "findings_accepted"
    finding_ids: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsDropped:
    name: ClassVar[str] = "findings_dropped"
    finding_ids: tuple[str, ...]
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContradictionSettled:
    """Two findings that can't both be true, and what the person decided: keep one, keep both with a reason."""

    name: ClassVar[str] = "contradiction_settled"
    first: str
    second: str
    decision: str
    """ "first", "second" or "both"."""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftUnlooked:
    """The person marks a part and place as not looked at, on purpose."""

    name: ClassVar[str] = "left_unlooked"
    finding_id: str
    finding: Finding
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Overruled:
    """A judgement of the program that the person overruled. `subject` names it ("cause:starved_of_oil",
    "next:rod_bearing:3").
    """

    name: ClassVar[str] = "overruled"
    subject: str
    verdict: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """Something to come back to: a moment ("mark"), a "note" or a "question"; kept as spoken."""

    name: ClassVar[str] = "marked"
    sitting: str
    what: str
    text: str = ""
    t: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GapNoted:
    """A stretch in which sound was lost or not heard. `why`: "overflow", "device_gone", "asleep",
    "recogniser_failed", "hold"... One that is noted open (t1 None) is noted again, with the same t0, when it ends.
    """

    name: ClassVar[str] = "gap_noted"
    sitting: str
    t0: float
    t1: float | None
    why: str
    detail: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StretchBlanked:
    """Sound and words between two times were removed at the person's wish; that it happened stays."""

    name: ClassVar[str] = "stretch_blanked"
    sitting: str
    t0: float
    t1: float
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraAligned:
    """Camera time = offset + t * (1 + drift): where a sitting's seconds lie in a film."""

    name: ClassVar[str] = "camera_aligned"
    sitting: str
    film: str
    offset: float
    drift: float
    score: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingClosed:
    name: ClassVar[str] = "sitting_closed"
    sitting: str
    seconds: float | None = None
    why: str = "done"


@dataclass(frozen=True, slots=True, kw_only=True)
class Filed:
    """A sealed revision of an engine's record: which findings, by whom, and the hash of what was filed."""

    name: ClassVar[str] = "filed"
    revision: int
    by: str
    finding_ids: tuple[str, ...]
    sha256: str
    left_unreviewed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone:
    """An earlier event no longer counts."""

    name: ClassVar[str] = "undone"
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Redone:
    """An undone event counts again."""

    name: ClassVar[str] = "redone"
    event: int


Body = (
    EngineTakenIn
    | SittingOpened
    | SoundKept
    | UtteranceHeard
    | WordsCorrected
    | ReadAgain
    | UtteranceSplit
    | UtterancesMerged
    | FindingAdded
    | FindingCorrected
    | FindingsAccepted
    | FindingsDropped
    | ContradictionSettled
    | LeftUnlooked
    | Overruled
    | Marked
    | GapNoted
    | StretchBlanked
    | CameraAligned
    | SittingClosed
    | Filed
    | Undone
    | Redone
)

CORRECTIONS: tuple[type, ...] = (
    WordsCorrected,
    ReadAgain,
    UtteranceSplit,
    UtterancesMerged,
    FindingAdded,
    FindingCorrected,
    FindingsAccepted,
    FindingsDropped,
    ContradictionSettled,
    LeftUnlooked,
    Overruled,
)
"""What a person does in a review, and can undo."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """An event as stored. `batch` ties those together that one keystroke made: they are undone together."""

    id: int
    at: float
    stock: str | None
    body: Body = field()
    batch: int | None = None
