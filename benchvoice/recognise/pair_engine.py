"""The embedded recogniser and the encoder-decoder beside it, as one.

The first one hears everything: it knows the trade's sentences and when each word was said. Where its words leave a
doubt, the second one, which knows people's voices, hears the span as well, and `pair` weighs what each of them has.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from benchvoice.errors import BenchvoiceError
from benchvoice.recognise import moonshine_files, pocketsphinx_engine
from benchvoice.recognise.base import RATE, Availability, Heard, Progress
from benchvoice.recognise.beam import END_OF_TEXT, Text, search
from benchvoice.recognise.calibration import Calibration, Evidence, load_calibration
from benchvoice.recognise.language import package, prepare
from benchvoice.recognise.moonshine import Moonshine
from benchvoice.recognise.pair import ALTERNATIVES, Both, PairCalibration, load_pair, regions
from benchvoice.recognise.pocketsphinx_engine import LOG_STEP, PocketsphinxEngine

NAME = "pocketsphinx+moonshine"
PIECES_A_SECOND = 8.0
"""Nobody speaks faster; a decoder that goes round in circles does."""
SOME_PIECES = 10
_RAREST = -14.0
"""Natural logarithm of the chance of a word that the n-grams lack."""


def availability() -> Availability:
    first = pocketsphinx_engine.availability()
    why = first.why if not first.usable else moonshine_files.missing()
    if why is not None:
        return Availability(name=NAME, usable=False, why=why)
    return Availability(
        name=NAME,
        usable=True,
        why="pocketsphinx for the trade's words, Moonshine's English model for people's voices.",
        version=f"{first.version}+{moonshine_files.package_version()}",
    )


def open_engine(*, on_progress: Progress | None = None) -> PairEngine:
    """Opens it; the first time on a machine the language model is made and the second recogniser made ready."""
    language = prepare(on_progress)
    second = Moonshine(moonshine_files.prepare(on_progress))
    calibration = load_calibration()
    first = PocketsphinxEngine(language, package(), calibration)
    return PairEngine(first, second, SentenceModel(language.mixed), calibration, load_pair())


class SentenceModel:
    """How likely words are after those before them, by the n-grams that the embedded recogniser listens with."""

    def __init__(self, path: Path) -> None:
        from pocketsphinx import NGramModel

        self._model = NGramModel.readfile(str(path))
        self._known: dict[tuple[str, ...], float] = {}

    def word(self, word: str, before: Sequence[str]) -> float:
        """Natural logarithm of the word's chance. Only the last two of those before it count."""
        latest = (word, *reversed(["<s>", *before][-2:]))
        found = self._known.get(latest)
        if found is None:
            found = max(self._model.prob(list(latest)) * LOG_STEP, _RAREST)
            self._known[latest] = found
        return found

    def sentence(self, words: Sequence[str]) -> float:
        return sum(self.word(word, words[:i]) for i, word in enumerate([*words, END_OF_TEXT]))

    def forget(self) -> None:
        """Let go of what was looked up: it would grow with every new word pair of a long day."""
        self._known.clear()


class PairEngine:
    """See `recognise.base.Recogniser`. One thread at a time."""

    def __init__(
        self,
        first: PocketsphinxEngine,
        second: Moonshine,
        sentences: SentenceModel,
        calibration: Calibration,
        pair: PairCalibration,
    ) -> None:
        self._first = first
        self._second = second
        self._sentences = sentences
        self._calibration = calibration
        self._pair = pair
        self._closed = False

    @property
    def name(self) -> str:
        return NAME

    @property
    def version(self) -> str:
        return f"{self._first.version}+{moonshine_files.package_version()}"

    def hear(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Heard:
        if self._closed:
            raise BenchvoiceError("This recogniser was closed.", hint="Open another one.")
        seen = self._first.first_look(pcm, start=start, snr=snr)
        if self._calibration.sure(seen):
            return self._calibration.judge(seen, NAME)
        both = self._with_second(seen, pcm)
        if not both.first.words and not both.second.words:
            return Heard(recogniser=NAME)
        return self._pair.judge(both, NAME)

    def evidence(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Both:
        """What both made of a span, before anything is decided. Calibration is done on this."""
        return self._with_second(self._first.evidence(pcm, start=start, snr=snr, both=True), pcm)

    def _with_second(self, seen: Evidence, pcm: bytes) -> Both:
        most = SOME_PIECES + math.ceil(PIECES_A_SECOND * len(pcm) / 2 / RATE)
        found = search(self._second, self._second.states(pcm), self._sentences.word, most)
        best = found[0] if found else Text()
        both = Both(
            first=seen,
            second=best,
            others=tuple(" ".join(text.words) for text in found[1 : 1 + ALTERNATIVES]),
            second_known=self._first.known(best.words),
            second_text_gain=self._first.text_gain(best.words),
            regions=regions([word.text for word in seen.words], best.words, self._sentences.sentence),
        )
        self._sentences.forget()
        return both

    def close(self) -> None:
        self._closed = True
        self._first.close()
