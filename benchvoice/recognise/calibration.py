"""From a decoder's scores to numbers that mean something: is it about the engine, and how sure is each word.

Logistic functions of a few features (Platt, "Probabilistic outputs for support vector machines", 1999, uses the same
form), fitted by `python -m tests.recognise.calibrate` to talk that may be tuned on; see `logistic`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from benchvoice.domain.words import Word
from benchvoice.recognise.base import Heard
from benchvoice.recognise.logistic import EDGE, Terms, chance_of, fitted, logit

_MOST = 2.0
_QUIET = 40.0
"""dB between voice and room from which a room counts as quiet."""
ABOUT = 2 / 3
"""Chance from which talk is taken to be about the engine: a finding that nobody spoke costs twice one that is lost."""
SURE = 0.6
"""Chance of a wholly right utterance from which a second recogniser has nothing to add."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What two decodings of a span gave. Scores are natural logarithms, both on the recogniser's own scale."""

    words: tuple[Word, ...]
    general_words: tuple[Word, ...]
    trade_score: float
    general_score: float | None
    """None if the general decoder was not asked, since the words alone said enough."""
    seconds: float
    known: int
    """How many of `words` are the trade's own."""
    text_gain: float = 0.0
    """Log probability of the words by the trade's sentences less that by all other talk, a word."""
    general_text_gain: float = 0.0
    """The same of the general decoder's words, which no trade sentence pulled its way."""
    alternatives: tuple[str, ...] = ()
    snr: float | None = None
    """Decibels between voice and room, None where nobody measured."""
    start: float = 0.0
    """When the span begins, seconds of the sitting."""

    @property
    def noise(self) -> float:
        """How much louder than a quiet room, in steps of ten decibels, 0..3."""
        return 0.0 if self.snr is None else min(3.0, max(0.0, (_QUIET - self.snr) / 10.0))

    @property
    def gain(self) -> float:
        """How much better the trade's decoder explains the sound, -2..2: one that found no path has no real score."""
        return 0.0 if self.general_score is None else min(_MOST, max(-_MOST, self.trade_score - self.general_score))

    def early_features(self) -> dict[str, float]:
        """What is known after one decoding: is it plainly about the engine?"""
        count = max(1, len(self.words))
        return {
            "bias": 1.0,
            "known": self.known / count,
            "confidence": sum(word.confidence for word in self.words) / count,
            "count": math.log(count),
            "text_gain": self.text_gain,
            "noise": self.noise,
        }

    def domain_features(self) -> dict[str, float]:
        return {
            **self.early_features(),
            "gain": self.gain,
            "gain_a_second": self.gain / max(0.3, self.seconds),
            "general_count": math.log(max(1, len(self.general_words))),
            "general_text_gain": self.general_text_gain,
            "seconds": math.log(max(0.3, self.seconds)),
        }

    def utterance_features(self, chances: Sequence[float]) -> dict[str, float]:
        """What the chance of a wholly right utterance is read from. chances: of each word, by itself."""
        # The chance that no word is wrong, were the words wrong independently of one another; of that the logarithm's
        # logarithm, in which a long sentence of sure words and a short one of doubtful words lie on one line.
        doubt = -sum(math.log(max(EDGE, chance)) for chance in chances)
        return {
            "bias": 1.0,
            "doubt": math.log(doubt + EDGE),
            "count": math.log(max(1, len(chances))),
            "foreign": float(len(self.words) - self.known),
            "text_gain": self.text_gain,
            "noise": self.noise,
        }

    def word_features(self, at: int) -> dict[str, float]:
        """What the chance of one right word is read from."""
        word = self.words[at]
        around = [self.words[i].confidence for i in (at - 1, at + 1) if 0 <= i < len(self.words)]
        length = (word.t1 or 0.0) - (word.t0 or 0.0)
        return {
            "bias": 1.0,
            "own": logit(word.confidence),
            "around": logit(sum(around) / len(around)) if around else 0.0,
            "length": math.log(max(0.03, length)),
            "text_gain": self.text_gain,
            "noise": self.noise,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """Terms by feature name for the four judgements."""

    share: float
    """Share of talk about the engine in what the weights were fitted to."""
    early: Terms
    enough: float
    """Chance from which the early look settles it."""
    domain: Terms
    word: Terms
    utterance: Terms

    def settled(self, evidence: Evidence) -> bool:
        """Whether the first decoding alone says that it is about the engine."""
        return bool(evidence.words) and chance_of(self.early, evidence.early_features()) >= self.enough

    def sure(self, evidence: Evidence) -> bool:
        """Whether one decoding says enough: plainly about the engine, and every word likely right."""
        return self.settled(evidence) and self._about(evidence, "").confidence >= SURE

    def judge(self, evidence: Evidence, recogniser: str) -> Heard:
        """Words, confidences and the domain decision for this span by itself; see `stretches` for what came before.
        Talk that isn't about the engine gets the general words.
        """
        if evidence.general_score is None:
            chance = chance_of(self.early, evidence.early_features())
        else:
            chance = chance_of(self.domain, evidence.domain_features())
        score = round(logit(chance) - logit(self.share), 3)
        ours = replace(self._about(evidence, recogniser), domain_score=score)
        others = replace(_not_about(evidence, recogniser, 1.0 - chance), domain_score=score)
        return replace(ours, other=others) if chance >= ABOUT else replace(others, other=ours)

    def _about(self, evidence: Evidence, recogniser: str) -> Heard:
        """The trade's words, if this is talk about the engine."""
        words = tuple(
            replace(word, confidence=round(chance_of(self.word, evidence.word_features(i)), 4))
            for i, word in enumerate(evidence.words)
        )
        features = evidence.utterance_features([word.confidence for word in words])
        sure = round(chance_of(self.utterance, features), 4)
        return Heard(words=words, confidence=sure, alternatives=evidence.alternatives, recogniser=recogniser)


def _not_about(evidence: Evidence, recogniser: str, chance: float) -> Heard:
    """The general words with the chance that this is other talk: nobody calibrated the words of that."""
    sure = round(chance, 4)
    words = tuple(replace(word, confidence=sure) for word in evidence.general_words or evidence.words)
    return Heard(words=words, confidence=sure, domain=False, recogniser=recogniser)


def load_calibration(name: str = "pocketsphinx") -> Calibration:
    """The weights that come with the program for a recogniser."""
    return Calibration(**fitted(name))
