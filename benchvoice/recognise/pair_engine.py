"""The embedded recogniser and the encoder-decoder beside it, as one.

The first one hears everything: it knows the trade's sentences and when each word was said. Where its words leave a
doubt, the second one, which knows people's voices, hears the span as well, and `pair` weighs what each of them has.
"""

from __future__ import annotations

import math
from dataclasses import replace

from benchvoice.errors import BenchvoiceError
from benchvoice.recognise import PAIR, moonshine_files, pocketsphinx_engine
from benchvoice.recognise.base import RATE, Availability, Heard, Progress
from benchvoice.recognise.beam import Text, search
from benchvoice.recognise.calibration import Calibration, Evidence, load_calibration
from benchvoice.recognise.homophones import Homophones
from benchvoice.recognise.language import Language, package, prepare
from benchvoice.recognise.moonshine import Moonshine
from benchvoice.recognise.pair import ALTERNATIVES, Both, PairCalibration, load_pair, regions
from benchvoice.recognise.pocketsphinx_engine import PocketsphinxEngine
from benchvoice.recognise.second_opinion import Speller, weighed
from benchvoice.recognise.text_model import TextModel

PIECES_A_SECOND = 8.0
"""Nobody speaks faster; a decoder that goes round in circles does."""
SOME_PIECES = 10
RAREST = -14.0
"""What a word counts as that the n-grams lack. They are those that the embedded recogniser listens with."""


def availability() -> Availability:
    first = pocketsphinx_engine.availability()
    why = first.why if not first.usable else moonshine_files.missing()
    if why is not None:
        return Availability(name=PAIR, usable=False, why=why)
    return Availability(
        name=PAIR,
        usable=True,
        why="pocketsphinx for the trade's words, Moonshine's English model for people's voices.",
        version=f"{first.version}+{moonshine_files.package_version()}",
    )


def open_engine(*, on_progress: Progress | None = None) -> PairEngine:
    """Opens it; the first time on a machine the language model is made and the second recogniser made ready."""
    language = prepare(on_progress)
    return PairEngine.of(language, Moonshine(moonshine_files.prepare(on_progress)))


class PairEngine:
    """See `recognise.base.Recogniser`. One thread at a time."""

    def __init__(
        self,
        first: PocketsphinxEngine,
        second: Moonshine,
        sentences: TextModel,
        homophones: Homophones,
        calibration: Calibration,
        pair: PairCalibration,
    ) -> None:
        self._first = first
        self._second = second
        self._speller = Speller(second.pieces)
        self._sentences = sentences
        self._homophones = homophones
        self._calibration = calibration
        self._pair = pair
        self._closed = False

    @classmethod
    def of(cls, language: Language, second: Moonshine) -> PairEngine:
        """With the weights that come with the program."""
        calibration = load_calibration()
        sentences = TextModel(language.mixed, rarest=RAREST)
        return cls(
            PocketsphinxEngine(language, package(), calibration),
            second,
            sentences,
            Homophones(language.dictionary, sentences.sentence),
            calibration,
            load_pair(),
        )

    @property
    def name(self) -> str:
        return PAIR

    @property
    def version(self) -> str:
        return f"{self._first.version}+{moonshine_files.package_version()}"

    def hear(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Heard:
        if self._closed:
            raise BenchvoiceError("This recogniser was closed.", hint="Open another one.")
        seen = self._settled(self._first.first_look(pcm, start=start, snr=snr))
        if self._calibration.sure(seen):
            return self._calibration.judge(seen, PAIR)
        both = self._with_second(seen, pcm)
        if not both.first.words and not both.second.words:
            return Heard(recogniser=PAIR)
        return self._pair.judge(both, PAIR)

    def evidence(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Both:
        """What both made of a span, before anything is decided. Calibration is done on this."""
        return self._with_second(self._settled(self._first.evidence(pcm, start=start, snr=snr, both=True)), pcm)

    def _settled(self, seen: Evidence) -> Evidence:
        texts = self._homophones.settled([word.text for word in seen.words])
        words = tuple(replace(word, text=text) for word, text in zip(seen.words, texts, strict=True))
        return replace(seen, words=words)

    def _with_second(self, seen: Evidence, pcm: bytes) -> Both:
        most = SOME_PIECES + math.ceil(PIECES_A_SECOND * len(pcm) / 2 / RATE)
        states = self._second.states(pcm)
        found = search(self._second, states, self._sentences.word, most)
        best = found[0] if found else Text()
        best = replace(best, words=tuple(self._homophones.settled(best.words)))
        first = [word.text for word in seen.words]
        apart = regions(first, best.words, self._sentences.sentence)
        return Both(
            first=seen,
            second=best,
            others=tuple(" ".join(text.words) for text in found[1 : 1 + ALTERNATIVES]),
            second_known=self._first.known(best.words),
            second_text_gain=self._first.text_gain(best.words),
            regions=weighed(self._second, self._speller, states, best, first, apart),
        )

    def close(self) -> None:
        self._closed = True
        self._first.close()
