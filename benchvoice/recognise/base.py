"""What every recogniser is to the rest of the program.

Sound comes as 16-bit little-endian mono PCM at 16 kHz, one span between two pauses at a time; what is heard goes out
as words with times and confidences. Nothing here knows what a part is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from benchvoice.domain.words import Utterance, Word

RATE = 16_000
"""Samples a second of the sound that recognisers take."""

Progress = Callable[[str, float], None]
"""Called with what is going on and how much of it is done, 0..1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """One span as one recogniser heard it.

    domain_score is the natural logarithm of how many times likelier the sound is if this is talk about the engine (None
    where a recogniser has only one model); `domain` is what was decided from it, `other` what was heard if that is
    wrong. `raw` is the wording before repair of sounding-alike words, when that differs.
    """

    words: tuple[Word, ...] = ()
    confidence: float = 0.0
    alternatives: tuple[str, ...] = ()
    domain: bool = True
    domain_score: float | None = None
    other: Heard | None = None
    raw: str | None = None
    recogniser: str = ""

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)

    def as_utterance(self, n: int, t0: float, t1: float) -> Utterance:
        """The domain's form of it; t0 and t1 bound the span in seconds from the start of the sitting."""
        return Utterance(
            n=n,
            words=self.words,
            t0=round(t0, 3),
            t1=round(t1, 3),
            confidence=self.confidence,
            domain=self.domain,
            recogniser=self.recogniser,
            alternatives=self.alternatives,
            raw=self.raw,
        )


@runtime_checkable
class Recogniser(Protocol):
    """One way to turn a span of sound into words. Not safe for two threads at once."""

    @property
    def name(self) -> str: ...

    @property
    def version(self) -> str: ...

    def hear(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Heard:
        """Words of one span. Times of the words count from the sitting's start, `start` being the span's first
        sample. snr: decibels between voice and room where that is known. A span without speech gives no words.
        """
        ...

    def close(self) -> None:
        """Let go of models and files."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Availability:
    """Whether a recogniser can be used on this machine, and if not, why."""

    name: str
    usable: bool
    why: str
    """For a usable one: which model it would use. Else: what is missing and what to do."""
    version: str = ""
