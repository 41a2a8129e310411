"""What the recogniser's process needs of hearing: sound in, stretches of speech and their words out.

The real one is made from the recogniser that is asked for; tests bring one that hears what it is told to.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from benchvoice.audio.blocks import Samples
from benchvoice.domain.words import Utterance

REAL = "benchvoice.app.live.real_ear:make"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Speech between two pauses. `sound` is what the recogniser gets, `t0` and `t1` bound it in the sitting."""

    t0: float
    t1: float
    sound: Samples


class Ear(Protocol):
    """Finds stretches in sound that comes in pieces, and hears them. One sitting, one thread."""

    @property
    def name(self) -> str:
        """Which recogniser it is, with its version."""
        ...

    @property
    def open_since(self) -> float | None:
        """When the stretch began that is not over yet, None in silence."""
        ...

    def begin(self, at: float) -> None:
        """The sound that follows starts at this time of the sitting; what came before is over."""
        ...

    def feed(self, samples: Samples) -> list[Stretch]:
        """The stretches that are complete with this piece."""
        ...

    def finish(self) -> list[Stretch]:
        """The sound is over: the stretch that was still open, if any."""
        ...

    def hear(self, stretch: Stretch) -> Utterance | None:
        """Its words; None if it holds none."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class EarMaker:
    """Says how another process makes its ear: "module:function" and what to call it with."""

    where: str = REAL
    given: Mapping[str, Any]

    def __call__(self) -> Ear:
        module, _, function = self.where.partition(":")
        make: Callable[..., Ear] = getattr(importlib.import_module(module), function)
        return make(**self.given)
