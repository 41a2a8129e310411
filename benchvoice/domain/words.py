"""What was heard: words with times and confidences, gathered into utterances."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """One heard word. Times are seconds from the start of the sitting, None for typed text; confidence is 0..1."""

    text: str
    t0: float | None = None
    t1: float | None = None
    confidence: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Utterance:
    """What was said between two pauses.

    n counts from 0 within a sitting. `domain` is False for talk that has nothing to do with the engine.
    `alternatives` are the recogniser's other readings, best first, as plain text. `raw` is what was heard before any
    repair of sounding-alike words, when that differs from the words.
    """

    n: int
    words: tuple[Word, ...]
    t0: float | None = None
    t1: float | None = None
    confidence: float = 1.0
    domain: bool = True
    recogniser: str = "text"
    alternatives: tuple[str, ...] = ()
    raw: str | None = None

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)

    def reworded(self, text: str) -> Utterance:
        """The same stretch with other words, spread evenly over its time; a person's words are certain."""
        texts = text.split()
        if self.t0 is None or self.t1 is None or not texts:
            words = tuple(Word(text=item) for item in texts)
        else:
            step = (self.t1 - self.t0) / len(texts)
            words = tuple(
                Word(text=item, t0=self.t0 + i * step, t1=self.t0 + (i + 1) * step) for i, item in enumerate(texts)
            )
        return replace(self, words=words, confidence=1.0, domain=True)


def typed(n: int, text: str) -> Utterance:
    """An utterance from typed text: lower case, split at white space, certain."""
    return Utterance(n=n, words=tuple(Word(text=item) for item in text.lower().split()))
