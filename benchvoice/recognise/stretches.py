"""Talk comes in stretches: who was just speaking of the engine mostly goes on, and so does a chat about the weather.

A hidden Markov model of two states, about the engine or not, filtered forward over the spans (Rabiner, "A tutorial on
hidden Markov models and selected applications in speech recognition", 1989, section III A). What a span's sound and
words say for one state or the other is `Heard.domain_score`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from benchvoice.recognise.base import Heard
from benchvoice.recognise.calibration import ABOUT
from benchvoice.recognise.logistic import logit

GOES_ON = 0.95
"""Chance that the next span is about the engine when this one is."""
CHATS_ON = 0.95
"""Chance that the next one isn't when this one isn't; `python -m tests.recognise.calibrate` shows others."""


@dataclass(slots=True)
class Stretches:
    """Spans in the order of a sitting. It begins with the engine."""

    goes_on: float = GOES_ON
    chats_on: float = CHATS_ON
    _chance: float = field(init=False)

    def __post_init__(self) -> None:
        self._chance = self.goes_on

    def settle(self, heard: Heard) -> Heard:
        """What was heard, decided anew in the light of what came before."""
        if heard.domain_score is None:
            return heard
        about = self.about(heard.domain_score)
        if about == heard.domain or heard.other is None or not heard.other.words:
            return heard
        return replace(heard.other, other=replace(heard, other=None))

    def about(self, score: float) -> bool:
        """Whether the next span is about the engine. score: its `domain_score`."""
        before = self._chance * self.goes_on + (1.0 - self._chance) * (1.0 - self.chats_on)
        self._chance = 1.0 / (1.0 + math.exp(-score - logit(before)))
        return self._chance >= ABOUT
