"""What the recogniser's process needs of hearing: sound in, utterances out, and a word before each stretch is heard.

The real one is made from the recogniser that is asked for; tests bring one that hears what it is told to.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from benchvoice.app import voice
from benchvoice.app.hearing import Listener
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.spans import Setting
from benchvoice.domain.words import Utterance
from benchvoice.recognise import open_recogniser
from benchvoice.recognise.base import Heard, Recogniser

Announce = Callable[[float, float], bool]
"""Called with the times of a stretch before it is heard. False: leave it, it has killed the recogniser before."""

REAL = "benchvoice.app.live.ear:real"


class Ear(Protocol):
    """Hears sound that comes in pieces. One sitting, one thread."""

    @property
    def name(self) -> str:
        """Which recogniser it is, with its version."""
        ...

    @property
    def open_since(self) -> float | None:
        """When the earliest sound began that may still become an utterance, None in silence."""
        ...

    def begin(self, at: float) -> None:
        """The sound that follows starts at this time of the sitting; what came before is over."""
        ...

    def feed(self, samples: Samples) -> Iterable[Utterance]:
        """The utterances that are complete with this piece, as they are heard."""
        ...

    def finish(self) -> Iterable[Utterance]:
        """The sound is over: what was still open, if anything."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class EarMaker:
    """Says how another process makes its ear: "module:function" and what to call it with, after the announcement."""

    where: str = REAL
    given: Mapping[str, Any] = field(default_factory=dict)

    def __call__(self, announce: Announce) -> Ear:
        module, _, function = self.where.partition(":")
        make: Callable[..., Ear] = getattr(importlib.import_module(module), function)
        return make(announce, **self.given)


def real(announce: Announce, recogniser: str | None = None, denoiser: bool = True) -> RealEar:
    """Opens a recogniser by name, None for the best one here. BenchvoiceError if it can't be used."""
    setting = replace(voice.setting(voice.load()), denoiser=denoiser)
    return RealEar(open_recogniser(recogniser), announce, setting)


class RealEar:
    """The same hearing as for a sound file."""

    def __init__(self, recogniser: Recogniser, announce: Announce, setting: Setting) -> None:
        self.name = f"{recogniser.name} {recogniser.version}"
        self._listener = Listener(_Announcing(recogniser, announce), setting)

    @property
    def open_since(self) -> float | None:
        return self._listener.open_since

    def begin(self, at: float) -> None:
        self._listener.begin(at)

    def feed(self, samples: Samples) -> Iterable[Utterance]:
        return self._listener.feed(samples)

    def finish(self) -> Iterable[Utterance]:
        return self._listener.finish()


class _Announcing:
    """A recogniser that tells of each stretch before it hears it."""

    def __init__(self, inner: Recogniser, announce: Announce) -> None:
        self._inner = inner
        self._announce = announce

    @property
    def name(self) -> str:
        return self._inner.name

    @property
    def version(self) -> str:
        return self._inner.version

    def hear(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Heard:
        if not self._announce(start, start + len(pcm) / 2 / RATE):
            return Heard(recogniser=self._inner.name)
        return self._inner.hear(pcm, start=start, snr=snr)

    def close(self) -> None:
        self._inner.close()
