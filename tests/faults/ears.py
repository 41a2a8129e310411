"""Ears for the fault tests: they hear by rule, so that it is known what must be in the journal."""

from __future__ import annotations

import math
import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path

from benchvoice.app.live.ear import Announce
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.domain.words import Utterance, Word


class Metronome:
    """Hears "compression on number one is one sixty" every `every` seconds of sound.

    `dies_at`: the process kills itself on every stretch that holds one of these times; `dies_once` is a folder in which
    it notes that it has already died there, so that the next try goes well.
    """

    def __init__(
        self,
        announce: Announce,
        every: float = 0.2,
        dies_at: tuple[float, ...] = (),
        dies_once: str | None = None,
        slow: float = 0.0,
    ) -> None:
        self._announce = announce
        self._every = every
        self._dies_at = dies_at
        self._once = Path(dies_once) if dies_once else None
        self._slow = slow
        self._at = 0.0
        self._next = 0.0

    name = "metronome 1"
    open_since: float | None = None

    def begin(self, at: float) -> None:
        self._at = at
        self._next = (math.floor(at / self._every + 1e-6) + 1) * self._every

    def feed(self, samples: Samples) -> Iterator[Utterance]:
        self._at += len(samples) / RATE
        while self._next <= self._at + 1e-9:
            t0, t1 = self._next - self._every, self._next
            self._next += self._every
            if self._announce(t0, t1):
                yield self._hear(t0, t1)

    def finish(self) -> list[Utterance]:
        return []

    def _hear(self, t0: float, t1: float) -> Utterance:
        time.sleep(self._slow)
        for at in self._dies_at:
            if t0 <= at < t1:
                note = self._once / f"{at}" if self._once else None
                if note is None or not note.exists():
                    if note is not None:
                        note.touch()
                    os.kill(os.getpid(), signal.SIGKILL)
        words = ["compression", "on", "number", "one", "is", "one", "sixty"]
        step = (t1 - t0) / len(words)
        spoken = tuple(Word(text=word, t0=t0 + k * step, t1=t0 + (k + 1) * step) for k, word in enumerate(words))
        return Utterance(n=0, words=spoken, t0=round(t0, 3), t1=round(t1, 3), recogniser=self.name)


def metronome(announce: Announce, **given: object) -> Metronome:
    return Metronome(announce, **given)  # type: ignore[arg-type]


class Sayer:
    """Hears given words at given times, whatever the sound is."""

    def __init__(self, announce: Announce, says: tuple[tuple[float, str], ...]) -> None:
        self._announce = announce
        self._says = says
        self._at = 0.0

    name = "sayer 1"
    open_since: float | None = None

    def begin(self, at: float) -> None:
        self._at = at

    def feed(self, samples: Samples) -> Iterator[Utterance]:
        before, self._at = self._at, self._at + len(samples) / RATE
        for t, text in self._says:
            if before < t <= self._at and self._announce(t - 0.1, t):
                words = tuple(Word(text=word, t0=t - 0.1, t1=t) for word in text.split())
                yield Utterance(n=0, words=words, t0=t - 0.1, t1=t, recogniser=self.name)

    def finish(self) -> list[Utterance]:
        return []


def sayer(announce: Announce, **given: object) -> Sayer:
    return Sayer(announce, **given)  # type: ignore[arg-type]
