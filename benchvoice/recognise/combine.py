"""Two recognisers' words for the same sound as one: recogniser output voting.

Fiscus, "A post-processing system to yield reduced word error rates: Recognizer Output Voting Error Reduction (ROVER)",
ASRU 1997: the words are aligned into a network of slots, each slot is decided by vote, score = alpha * share of the
recognisers that have the word + (1 - alpha) * its best confidence. Words are aligned by dynamic programming as there,
with the times as a further cost, since both recognisers tell when they heard a word.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from benchvoice.domain.words import Word
from benchvoice.recognise.base import Heard, Recogniser

ALPHA = 0.4
"""Weight of the number of votes against the confidence of the best one."""
SILENCE = 0.55
"""Confidence of having heard nothing where another has a word."""
_GAP = 1.0
_OTHER = 1.2
_APART = 0.8
"""Cost of aligning two words that don't overlap in time, for each second between them."""


@dataclass(slots=True)
class Slot:
    """One place of the network: what each recogniser has there, None for nothing."""

    words: list[Word | None] = field(default_factory=list)

    @property
    def latest(self) -> Word:
        return next(word for word in reversed(self.words) if word is not None)


def network(readings: Sequence[Sequence[Word]]) -> list[Slot]:
    """The slots of all readings, aligned one after the other to what is there already."""
    slots: list[Slot] = [Slot([word]) for word in readings[0]] if readings else []
    for k, reading in enumerate(readings[1:], 1):
        slots = _merge(slots, reading, k)
    return slots


def vote(readings: Sequence[Sequence[Word]], *, alpha: float = ALPHA, silence: float = SILENCE) -> tuple[Word, ...]:
    """The words that win. Their confidence is the score they won with, their times those of the surest voter."""
    out: list[Word] = []
    for slot in network(readings):
        best = _winner(slot, len(readings), alpha, silence)
        if best is not None:
            out.append(best)
    return tuple(out)


def _winner(slot: Slot, voters: int, alpha: float, silence: float) -> Word | None:
    scores: dict[str | None, float] = {}
    surest: dict[str, Word] = {}
    for text in {word.text if word else None for word in slot.words}:
        mine = [word for word in slot.words if (word.text if word else None) == text]
        if text is None:
            sure = silence
        else:
            surest[text] = max((word for word in mine if word), key=lambda word: word.confidence)
            sure = surest[text].confidence
        scores[text] = alpha * len(mine) / voters + (1 - alpha) * sure
    # Equal scores go to the recogniser that comes first.
    order = [word.text if word else None for word in slot.words]
    best = max(scores, key=lambda text: (scores[text], -order.index(text)))
    return None if best is None else replace(surest[best], confidence=round(min(1.0, scores[best]), 4))


def _merge(slots: list[Slot], reading: Sequence[Word], before: int) -> list[Slot]:
    """The slots with one more reading in them; `before` is how many they hold already."""
    rows, columns = len(slots) + 1, len(reading) + 1
    cost = [[0.0] * columns for _ in range(rows)]
    for i in range(1, rows):
        cost[i][0] = i * _GAP
    for j in range(1, columns):
        cost[0][j] = j * _GAP
    for i in range(1, rows):
        for j in range(1, columns):
            cost[i][j] = min(
                cost[i - 1][j - 1] + _pairing(slots[i - 1], reading[j - 1]),
                cost[i - 1][j] + _GAP,
                cost[i][j - 1] + _GAP,
            )
    out: list[Slot] = []
    i, j = rows - 1, columns - 1
    while i or j:
        if i and j and cost[i][j] == cost[i - 1][j - 1] + _pairing(slots[i - 1], reading[j - 1]):
            i, j = i - 1, j - 1
            out.append(Slot([*slots[i].words, reading[j]]))
        elif i and cost[i][j] == cost[i - 1][j] + _GAP:
            i -= 1
            out.append(Slot([*slots[i].words, None]))
        else:
            j -= 1
            out.append(Slot([*[None] * before, reading[j]]))
    return out[::-1]


def _pairing(slot: Slot, word: Word) -> float:
    same = any(other is not None and other.text == word.text for other in slot.words)
    base = 0.0 if same else _OTHER
    other = slot.latest
    if None in (word.t0, word.t1, other.t0, other.t1):
        return base
    apart = max((word.t0 or 0.0) - (other.t1 or 0.0), (other.t0 or 0.0) - (word.t1 or 0.0), 0.0)
    return base + _APART * apart


class CombinedEngine:
    """Several recognisers as one. The first one decides whether it is about the engine, and breaks ties."""

    def __init__(self, engines: Iterable[Recogniser]) -> None:
        self._engines = tuple(engines)
        if len(self._engines) < 2:
            raise ValueError("it takes two to vote")

    @property
    def name(self) -> str:
        return "+".join(engine.name for engine in self._engines)

    @property
    def version(self) -> str:
        return "+".join(engine.version for engine in self._engines)

    def hear(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Heard:
        heard = [engine.hear(pcm, start=start, snr=snr) for engine in self._engines]
        first = heard[0]
        if not first.domain:
            return replace(first, recogniser=self.name)
        words = vote([one.words for one in heard])
        said = " ".join(word.text for word in words)
        others = dict.fromkeys(text for one in heard for text in (one.text, *one.alternatives) if text and text != said)
        sure = sum(word.confidence for word in words) / len(words) if words else 0.0
        return replace(
            first,
            words=words,
            confidence=first.confidence if said == first.text else round(min(first.confidence, sure), 4),
            alternatives=tuple(others)[:5],
            recogniser=self.name,
        )

    def close(self) -> None:
        for engine in self._engines:
            engine.close()
