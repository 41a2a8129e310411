"""The embedded recogniser: pocketsphinx with the trade's language model and, beside it, its own general one.

The trade's decoder gives the words. Where they leave a doubt, the general model decodes the span as well: how much
better or worse the trade's explains the sound tells talk about the engine from all other talk, whose words the general
decoder gives.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from importlib.metadata import PackageNotFoundError, version
from itertools import islice
from typing import Any

from benchvoice.domain.words import Word
from benchvoice.errors import BenchvoiceError
from benchvoice.recognise.base import Availability, Heard, Progress
from benchvoice.recognise.calibration import Calibration, Evidence, load_calibration
from benchvoice.recognise.language import Language, Package, package, prepare
from benchvoice.recognise.pronounce import without_variant
from benchvoice.recognise.text_model import LOG_STEP, TextModel

NAME = "pocketsphinx"
FRAME_SECONDS = 0.01
ALTERNATIVES = 5
_TINY = 1e-300
_ROUGH: dict[str, Any] = {"fwdflat": False, "bestpath": False, "maxhmmpf": 3000}
"""The general decoder is only asked how well it explains the sound: one pass does, in half the time."""
_RAREST = -120_000 * LOG_STEP
"""What a word counts as that a model lacks: about -12."""


def availability() -> Availability:
    try:
        package()
        found = version("pocketsphinx")
    except (BenchvoiceError, PackageNotFoundError) as error:
        return Availability(name=NAME, usable=False, why=str(error))
    return Availability(name=NAME, usable=True, why="Its package's US English model.", version=found)


def open_engine(*, on_progress: Progress | None = None) -> PocketsphinxEngine:
    """Opens it; the first time on a machine the language model is made."""
    engine = PocketsphinxEngine(prepare(on_progress), package())
    engine.open_general()
    return engine


class PocketsphinxEngine:
    """See `recognise.base.Recogniser`. One thread at a time."""

    def __init__(self, language: Language, where: Package, calibration: Calibration | None = None) -> None:
        self._trade = _decoder(where, str(language.mixed), str(language.dictionary))
        self._where = where
        self._trade_text = TextModel(language.trade, rarest=_RAREST)
        self._other_text = TextModel(language.other, rarest=_RAREST)
        self._calibration = calibration or load_calibration()
        self._words = language.trade_words()
        self._closed = False

    def open_general(self) -> None:
        """Opens the general decoder now instead of at the first doubt, in the middle of a sitting. Who never asks it
        spares some hundred megabytes.
        """
        _ = self._general

    @cached_property
    def _general(self) -> Any:
        return _decoder(self._where, str(self._where.general), str(self._where.dictionary), **_ROUGH)

    @property
    def name(self) -> str:
        return NAME

    @property
    def version(self) -> str:
        return version("pocketsphinx")

    def hear(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Heard:
        if self._closed:
            raise BenchvoiceError("This recogniser was closed.", hint="Open another one.")
        evidence = self.evidence(pcm, start=start, snr=snr)
        if not evidence.words and not evidence.general_words:
            return Heard(recogniser=NAME)
        return self._calibration.judge(evidence, NAME)

    def evidence(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None, both: bool = False) -> Evidence:
        """What the decoders made of a span, before anything is decided. Calibration is done on this.

        The general decoder, which takes most of the time, is only asked when the trade's words leave a doubt, or
        always (`both`).
        """
        seen = self.first_look(pcm, start=start, snr=snr)
        if not both and self._calibration.settled(seen):
            return seen
        general = _decode(self._general, pcm)
        others = tuple(_words(self._general, start))
        return replace(
            seen,
            general_score=general,
            general_words=others,
            general_text_gain=self.text_gain([word.text for word in others]),
        )

    def first_look(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Evidence:
        """What the trade's decoder alone made of a span."""
        score = _decode(self._trade, pcm)
        words = tuple(_words(self._trade, start))
        return Evidence(
            words=words,
            general_words=(),
            trade_score=score,
            general_score=None,
            seconds=int(self._trade.n_frames()) * FRAME_SECONDS,
            known=self.known([word.text for word in words]),
            text_gain=self.text_gain([word.text for word in words]),
            alternatives=tuple(_alternatives(self._trade)),
            snr=snr,
            start=start,
        )

    def known(self, words: Sequence[str]) -> int:
        """How many of the words are the trade's own."""
        return sum(word in self._words for word in words)

    def text_gain(self, words: Sequence[str]) -> float:
        """Log probability of the words by the trade's sentences less that by all other talk, a word."""
        gain = self._trade_text.words(words) - self._other_text.words(words)
        return round(gain / max(1, len(words)), 4)

    def close(self) -> None:
        self._closed = True


def _decoder(where: Package, model: str, dictionary: str, **settings: Any) -> Any:
    from pocketsphinx import Config, Decoder

    config = Config(hmm=str(where.acoustic), lm=model, dict=dictionary, loglevel="FATAL", cmn="batch", **settings)
    try:
        return Decoder(config)
    except RuntimeError as error:
        raise BenchvoiceError("pocketsphinx can't open its models.", hint="Install benchvoice again.") from error


def _decode(decoder: Any, pcm: bytes) -> float:
    """Decodes a span and returns the natural logarithm of its best path's score (scaled down as pocketsphinx does)."""
    decoder.start_utt()
    decoder.process_raw(pcm, full_utt=True)
    decoder.end_utt()
    best = decoder.hyp()
    return math.log(max(float(best.best_score), _TINY)) if best is not None else math.log(_TINY)


def _words(decoder: Any, start: float) -> Iterator[Word]:
    for segment in decoder.seg() or ():
        text = segment.word
        if text.startswith(("<", "[", "+")):
            continue
        yield Word(
            text=without_variant(text),
            t0=round(start + segment.start_frame * FRAME_SECONDS, 3),
            t1=round(start + (segment.end_frame + 1) * FRAME_SECONDS, 3),
            confidence=min(1.0, max(0.0, float(segment.prob))),
        )


def _alternatives(decoder: Any) -> Iterator[str]:
    """Other readings, best first, without the best one and without repeats."""
    best = decoder.hyp()
    seen = {_plain(best.hypstr)} if best is not None else {""}
    try:
        readings = decoder.nbest()
    except RuntimeError:
        return
    for reading in islice(readings or (), 12 * ALTERNATIVES):
        if reading is None:
            return
        text = _plain(reading.hypstr)
        if text and text not in seen:
            seen.add(text)
            yield text
            if len(seen) > ALTERNATIVES:
                return


def _plain(text: str | None) -> str:
    return " ".join(without_variant(word) for word in (text or "").split() if not word.startswith(("<", "[", "+")))
