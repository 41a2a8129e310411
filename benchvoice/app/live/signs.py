"""What the parts of a live sitting tell one another and the screen: small frozen facts, passed through queues.

Times are seconds of the sitting.
"""

from __future__ import annotations

from dataclasses import dataclass

from benchvoice.audio.segments import Segment
from benchvoice.audio.watch import Loudness
from benchvoice.domain.readings import Reading
from benchvoice.domain.words import Utterance


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """The loudness meter, some times a second. `until` is how far the sound on disk reaches."""

    until: float
    loudness: Loudness


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Sound is missing from t0 to t1; t1 None: it still is. A closed gap repeats the open one's t0 and why."""

    t0: float
    t1: float | None
    why: str
    detail: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentDone:
    """A file of the sound journal is complete."""

    segment: Segment


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceLow:
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingStopped:
    """No more sound comes. `why`: "asked", "disk_full" or "failed"."""

    until: float
    why: str
    detail: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SilentLong:
    """Nothing was heard for so many seconds: is the microphone on?"""

    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EarReady:
    """The recogniser's process is listening, from `since` on."""

    recogniser: str
    since: float


@dataclass(frozen=True, slots=True, kw_only=True)
class UtteranceCame:
    utterance: Utterance


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardUpTo:
    """All sound up to `until` has been gone through."""

    until: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EarDied:
    """The recogniser's process ended by itself and is started again, `deaths` times in a row at this place."""

    since: float
    deaths: int
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StretchSkipped:
    """A stretch that killed the recogniser twice: kept as sound, marked, not heard."""

    t0: float
    t1: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AllHeard:
    """Everything that is on disk has been gone through after the recording stopped."""

    until: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Committed:
    """An utterance and its findings are in the journal."""

    reading: Reading
    held: bool = False
    """It was said while the sitting was on hold; only that it was is kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """The sitting is on hold, or carries on. `by`: "voice", "key" or "device"."""

    on: bool
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadBack:
    """The last finding in words; `aloud` is False where no synthesiser could say it, so that it must be shown."""

    text: str
    aloud: bool


Sign = (
    Level
    | Gap
    | SegmentDone
    | SpaceLow
    | RecordingStopped
    | SilentLong
    | EarReady
    | UtteranceCame
    | HeardUpTo
    | EarDied
    | StretchSkipped
    | AllHeard
    | Committed
    | Held
    | ReadBack
)
