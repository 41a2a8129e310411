"""Two recognisers' words for the same sound as one, and what their agreement says.

The words are aligned as in recogniser output voting (Fiscus, "A post-processing system to yield reduced word error
rates: Recognizer Output Voting Error Reduction (ROVER)", ASRU 1997). With two voters there is no majority, so where
they differ a logistic function decides, as it does what talk is about and how sure words are: weights fitted by
`python -m tests.recognise.calibrate`, in `calibration.toml` under "pair".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rapidfuzz.distance import Levenshtein

from benchvoice.domain.words import Word
from benchvoice.recognise.base import Heard
from benchvoice.recognise.beam import Text
from benchvoice.recognise.calibration import ABOUT, Evidence
from benchvoice.recognise.logistic import Terms, chance_of, fitted, logit

SHORTEST = 0.03
"""Seconds that a word takes at least where only its neighbours' times are known."""
ALTERNATIVES = 5
_MOST_HEARD = 20.0
"""Beyond that, one is as plainly right as can be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """A run of words in which both agree, or one in which they don't: from..to in the first's words and the second's.

    gain: by how much the sentence is likelier, as sentences go, with the second's words here. heard: by how much, as
    the second heard it; both natural logarithms.
    """

    first: tuple[int, int]
    second: tuple[int, int]
    same: bool
    gain: float = 0.0
    heard: float = 0.0


def regions(
    first: Sequence[str], second: Sequence[str], likely: Callable[[Sequence[str]], float]
) -> tuple[Region, ...]:
    """The regions of two readings. likely: natural logarithm of a sentence's chance."""
    found: list[Region] = []
    for op in Levenshtein.opcodes(first, second):
        same = op.tag == "equal"
        ours, theirs = (op.src_start, op.src_end), (op.dest_start, op.dest_end)
        if found and not same and not found[-1].same:
            before = found.pop()
            ours, theirs = (before.first[0], ours[1]), (before.second[0], theirs[1])
        found.append(Region(first=ours, second=theirs, same=same))
    as_it_is = likely(first)

    def gain(region: Region) -> float:
        (a, b), (c, d) = region.first, region.second
        return likely([*first[:a], *second[c:d], *first[b:]]) - as_it_is

    return tuple(region if region.same else replace(region, gain=round(gain(region), 3)) for region in found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """A word that was chosen, with what speaks for it: how sure the first recogniser was (None where it has other
    words), the logarithm of the chance that the second gave it (the same), and the chance that this side was right.
    """

    word: Word
    first: float | None
    second: float | None
    chance: float


@dataclass(frozen=True, kw_only=True)
class Both:
    """What both recognisers made of a span, before anything is decided. `first.words` have times, `second` has none."""

    first: Evidence
    second: Text
    others: tuple[str, ...] = ()
    """Further readings of the second, best first."""
    second_known: int = 0
    """How many of its words are the trade's own."""
    second_text_gain: float = 0.0
    regions: tuple[Region, ...] = ()

    @cached_property
    def agreed(self) -> float:
        """Share of the words that both have, 0..1."""
        same = sum(region.first[1] - region.first[0] for region in self.regions if region.same)
        return 2 * same / max(1, len(self.first.words) + len(self.second.words))

    def choice_features(self, region: Region) -> dict[str, float]:
        """What the chance is read from that the second is right where they differ."""
        ours = [logit(word.confidence) for word in self.first.words[slice(*region.first)]]
        theirs = self.second.logs[slice(*region.second)]
        return {
            "bias": 1.0,
            "gain": region.gain,
            "heard": min(_MOST_HEARD, max(-_MOST_HEARD, region.heard)),
            "first_mean": sum(ours) / len(ours) if ours else 0.0,
            "first_least": min(ours, default=0.0),
            "first_none": float(not ours),
            "second_mean": sum(theirs) / len(theirs) if theirs else 0.0,
            "second_least": min(theirs, default=0.0),
            "second_none": float(not theirs),
            "longer": float(len(theirs) - len(ours)),
            "length": math.log(1 + len(ours)),
            "single": float(len(ours) == len(theirs) == 1),
            "agreed": self.agreed,
            "noise": self.first.noise,
        }

    def domain_features(self) -> dict[str, float]:
        count = max(1, len(self.second.words))
        logs = self.second.logs
        return {
            **self.first.early_features(),
            "second_known": self.second_known / count,
            "second_text_gain": self.second_text_gain,
            "second_log": sum(logs) / count,
            "second_count": math.log(count),
            "agreed": self.agreed,
            "seconds": math.log(max(0.3, self.first.seconds)),
        }

    def word_features(self, chosen: Sequence[Chosen], at: int) -> dict[str, float]:
        one = chosen[at]
        around = [chosen[i] for i in (at - 2, at - 1, at + 1, at + 2) if 0 <= i < len(chosen)]
        length = (one.word.t1 or 0.0) - (one.word.t0 or 0.0)
        return {
            "bias": 1.0,
            "first": 0.0 if one.first is None else logit(one.first),
            "second": 0.0 if one.second is None else one.second,
            "only_first": float(one.second is None),
            "only_second": float(one.first is None),
            "chance": logit(one.chance) if one.first is None or one.second is None else 0.0,
            "around": sum(_agreed(other) for other in around) / len(around) if around else self.agreed,
            "length": math.log(max(SHORTEST, length)),
            "text_gain": self.first.text_gain,
            "noise": self.first.noise,
        }

    def utterance_features(self, chances: Sequence[float]) -> dict[str, float]:
        """chances: of each word, by itself. The same form as that of one recogniser (`calibration.Evidence`)."""
        apart = sum(not region.same for region in self.regions)
        return {**self.first.utterance_features(chances), "apart": float(apart), "agreed": self.agreed}


def _agreed(one: Chosen) -> float:
    return float(one.first is not None and one.second is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PairCalibration:
    """Terms by feature name, for two recognisers."""

    share: float
    choice: Terms
    domain: Terms
    word: Terms
    utterance: Terms

    def choose(self, both: Both) -> tuple[Chosen, ...]:
        """The words of both, where they agree, and of the likelier one, where they don't."""
        out: list[Chosen] = []
        for region in both.regions:
            first, second = slice(*region.first), slice(*region.second)
            ours, logs = both.first.words[first], both.second.logs[second]
            if region.same:
                pairs = zip(ours, logs, strict=True)
                out += [Chosen(word=word, first=word.confidence, second=log, chance=1.0) for word, log in pairs]
                continue
            chance = chance_of(self.choice, both.choice_features(region))
            if chance <= 0.5:
                out += [Chosen(word=word, first=word.confidence, second=None, chance=1.0 - chance) for word in ours]
            else:
                words = _timed(both, region)
                pairs = zip(words, logs, strict=True)
                out += [Chosen(word=word, first=None, second=log, chance=chance) for word, log in pairs]
        return tuple(out)

    def judge(self, both: Both, recogniser: str) -> Heard:
        """Words, confidences and the domain decision for this span by itself; see `stretches` for what came before."""
        chosen = self.choose(both)
        chance = chance_of(self.domain, both.domain_features())
        score = round(logit(chance) - logit(self.share), 3)
        chances = [chance_of(self.word, both.word_features(chosen, i)) for i in range(len(chosen))]
        words = tuple(replace(one.word, confidence=round(sure, 4)) for one, sure in zip(chosen, chances, strict=True))
        sure = chance_of(self.utterance, both.utterance_features(chances))
        about = chance >= ABOUT
        ours = Heard(
            words=words,
            confidence=round(sure, 4),
            alternatives=tuple(_others(both, " ".join(word.text for word in words)))[:ALTERNATIVES],
            domain_score=score,
            recogniser=recogniser,
        )
        # Other talk is not the first one's field: the second's words are the better ones.
        told = tuple(word for region in both.regions for word in _timed(both, region)) or words
        unsure = round(1.0 - chance, 4)
        others = Heard(
            words=tuple(replace(word, confidence=unsure) for word in told),
            confidence=unsure,
            domain=False,
            domain_score=score,
            recogniser=recogniser,
        )
        return replace(ours, other=others) if about else replace(others, other=ours)


def _others(both: Both, said: str) -> Iterator[str]:
    """Other readings: each recogniser's own, then what they thought of besides."""
    ours, theirs = " ".join(word.text for word in both.first.words), " ".join(both.second.words)
    seen = {said, ""}
    for text in (ours, theirs, *both.first.alternatives, *both.others):
        if text not in seen:
            seen.add(text)
            yield text


def _timed(both: Both, region: Region) -> tuple[Word, ...]:
    """The second's words of a region with times: those of the first's words there or, where it has none, of the pause
    between its neighbours, shared out by the letters.
    """
    first, last = region.first
    if region.same:
        return both.first.words[first:last]
    texts, logs = both.second.words[slice(*region.second)], both.second.logs[slice(*region.second)]
    begin, end = _room(both.first, first, last, SHORTEST * len(texts))
    total, at, out = sum(map(len, texts)), begin, []
    for text, log in zip(texts, logs, strict=True):
        until = at + (end - begin) * len(text) / total
        out.append(Word(text=text, t0=round(at, 3), t1=round(until, 3), confidence=min(1.0, math.exp(log))))
        at = until
    return tuple(out)


def _room(heard: Evidence, first: int, last: int, least: float) -> tuple[float, float]:
    """From when to when the words first..last were said. Words that aren't there take at least so many seconds: where
    the pause is too short for that, of the latter half of the word before, so that none begins after the next one.
    """
    words = heard.words
    if first < last:
        return words[first].t0 or 0.0, words[last - 1].t1 or 0.0
    before = words[first - 1] if first else None
    begin = (before.t1 or 0.0) if before else heard.start
    if last == len(words):
        return begin, max(heard.start + heard.seconds, begin + least)
    end = words[last].t0 or 0.0
    earliest = ((before.t0 or 0.0) + begin) / 2 if before else 0.0
    begin = max(earliest, min(begin, end - least))
    return begin, end if end > begin else begin + least


def load_pair() -> PairCalibration:
    """The weights that come with the program."""
    return PairCalibration(**fitted("pair"))
