"""From a stream of sound to the stretches of it in which somebody speaks, cleaned and at an even level.

High-pass, gain for a soft voice, then a denoiser if the room is loud, then the voice detector and the end-pointer. What
a recogniser gets is this cleaned sound; what is kept on disk is the raw one, which never comes through here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from benchvoice.audio import detector, lift
from benchvoice.audio.blocks import FRAME, RATE, Samples, to_pcm
from benchvoice.audio.cleaning import Cleaner
from benchvoice.audio.detector import Detector
from benchvoice.audio.endpoint import Endpointer, Mark, Pauses
from benchvoice.audio.level import TYPICAL_SPEECH, LevelMeter, frame_levels, smoothed
from benchvoice.audio.lift import Lift

_HIGH_PASS = 80.0
"""Hz. Below it a shop rumbles and no voice speaks (common practice, no source)."""
_LEVEL = -23.0
"""dB below full scale that every span is brought to."""
_MOST_GAIN = 40.0
_STEP = 1600
"""Samples that are looked at in one go: a tenth of a second."""
AGAIN_SECONDS = 8.0
"""Of sound that are heard once more, louder, where nobody was heard in them."""
_AGAIN = round(AGAIN_SECONDS * RATE)
_TOO_LOUD = 15.0
"""dB above the usual level from which a voice that was brought up is let down again."""
_GONE = 180 * RATE
"""Samples without a sentence after which somebody softer than before is listened for (common practice, no source)."""
_SMOOTH = 4
"""Frames whose mean power counts: a voice is loud for longer than a knock or the peak of a distant vowel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What a person's voice profile may change. Levels in dB below full scale, ratios in dB."""

    pauses: Pauses = field(default_factory=Pauses)
    speech_level: float = TYPICAL_SPEECH
    """How loud the person is into this microphone, until some speech was heard."""
    denoise_below: float = 35.0
    """Ratio of voice to room, bursts included, above which the denoiser rests."""
    above_valley: float = 18.0
    """A frame of speech is this much louder than what goes on between sentences."""
    below_speech: float = 30.0
    """A frame of speech is at most this much softer than the person usually is."""
    above_others: float = 6.0
    """A frame of speech is this much louder than the syllables of others who talk between sentences."""
    nearest: float = 7.0
    """However loud other voices are, a frame this much softer than the person still counts as theirs."""
    denoiser: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """One stretch for a recogniser: 16-bit PCM at RATE from t0 to t1, the speech in it from `speaks` to `silent`.

    Times in seconds from the start of the sound. snr: decibels between voice and room when it was heard. gain: by how
    much a soft voice had been brought up before that, dB.
    """

    t0: float
    t1: float
    speaks: float
    silent: float
    pcm: bytes
    snr: float
    gain: float = 0.0
    denoised: bool = False


class Spanner:
    """Finds spans in sound that comes in pieces. One sitting, one thread; memory stays flat."""

    def __init__(self, setting: Setting | None = None) -> None:
        self.setting = setting or Setting()
        self.gain = lift.of_known(self.setting.speech_level)
        """dB by which a soft voice is brought up."""
        self.meter = LevelMeter(typical_speech=self.setting.speech_level + self.gain)
        self._cleaner = Cleaner(self.meter, below=self.setting.denoise_below, enabled=self.setting.denoiser)
        self._detector = Detector()
        self._lift = Lift()
        self.begin(0.0)

    def begin(self, at: float) -> None:
        """The sound that follows starts at this time; what came before is over."""
        self._filter = _HighPass()
        self._unheard = np.empty(0, dtype=np.float32)
        self._since_span = 0
        self._lift.forget()
        self._begin(at)

    def _begin(self, at: float) -> None:
        self._zero = at
        self._fed = 0
        self._ends = Endpointer(pauses=self.setting.pauses)
        self._clean = np.empty(0, dtype=np.float32)
        self._gone = 0
        self._looked = 0
        self._levels = np.empty(0, dtype=np.float32)
        self._cleaner.begin()

    @property
    def speech_level(self) -> float:
        """Of the person's voice as it comes in, dB below full scale."""
        return self.meter.speech - self.gain

    @property
    def room_level(self) -> float:
        """Of the room as it comes in, dB below full scale."""
        return self.meter.floor - self.gain

    @property
    def open_since(self) -> float | None:
        """When the span began that is not over yet, None in silence."""
        frame = self._ends.open_since
        return None if frame is None else self._zero + frame * FRAME / RATE

    @property
    def quiet(self) -> float:
        """Seconds of silence since the last speech of the open span."""
        return self._ends.quiet * FRAME / RATE

    def so_far(self) -> Span | None:
        """The open span as it would be if it closed now, None in silence. Lets a recogniser begin during the pause."""
        mark = self._ends.so_far()
        return None if mark is None else self._with_tail(self._span(mark, learn=False), mark)

    def _with_tail(self, span: Span, mark: Mark) -> Span:
        """The span with as much silence after it as it will have once it is closed: what there is of it, backwards and
        forwards again. How long a span is, and how it ends, says something to those who hear it.
        """
        silent = (mark.end - mark.last) * FRAME
        missing = round(self.setting.pauses.tail * RATE) - silent
        if missing <= 0 or silent <= 0:
            return span
        tail = np.frombuffer(span.pcm, dtype="<i2")[-silent:]
        more = np.resize(np.concatenate([tail[::-1], tail]), missing)
        return replace(span, pcm=span.pcm + more.astype("<i2").tobytes(), t1=span.t1 + missing / RATE)

    def feed(self, samples: Samples) -> list[Span]:
        """The spans that are complete with this piece."""
        return [span for piece in _pieces(samples) for span in self._feed(piece)]

    def _feed(self, samples: Samples) -> list[Span]:
        raw = self._filter.through(np.asarray(samples, dtype=np.float32))
        self._let_down()
        found = self._through(raw)
        if found:
            self._since_span = 0
        else:
            self._since_span += len(raw)
            if self._since_span >= _GONE:
                self.meter.forget_speech()
        if found or self.meter.heard:
            self._unheard = self._unheard[:0]
            self._lift.forget()
            return found
        return self._bring_up(raw)

    def _through(self, raw: Samples) -> list[Span]:
        self._fed += len(raw)
        clean = self._cleaner.feed(self._brought_up(raw), between=self.open_since is None)
        self._clean = np.concatenate([self._clean, clean])
        return self._look()

    def _brought_up(self, raw: Samples) -> Samples:
        return raw * np.float32(10.0 ** (self.gain / 20.0))

    def _bring_up(self, raw: Samples) -> list[Span]:
        """Hears what nobody was heard in once more, if there is a voice in it that is too soft."""
        self._unheard = np.concatenate([self._unheard, raw])[-_AGAIN:]
        missing = min(self._lift.feed(self._brought_up(raw)), lift.MOST - self.gain)
        if missing <= 0:
            return []
        self.gain += missing
        again, self._unheard = self._unheard, self._unheard[:0]
        self._lift.forget()
        self.meter.begin()
        self._begin(self._zero + (self._fed - len(again)) / RATE)
        return [span for piece in _pieces(again) for span in self._through(piece)]

    def _let_down(self) -> None:
        """Goes back where somebody speaks louder than the one for whom all was brought up."""
        above = min(self.meter.speech - TYPICAL_SPEECH, self.gain)
        if above >= _TOO_LOUD and self.open_since is None:
            self.gain -= above
            self.meter.softer(above)
            self._cleaner.forget_levels()

    def finish(self) -> list[Span]:
        """The sound is over: the span that was still open, if any."""
        spans = self._close()
        self.begin(self._zero)
        return spans

    def _close(self) -> list[Span]:
        self._clean = np.concatenate([self._clean, self._cleaner.finish()])
        return self._look() + [self._span(mark) for mark in self._ends.finish()]

    def _look(self) -> list[Span]:
        """Judges the clean frames that nobody looked at yet."""
        fresh = self._clean[self._looked - self._gone :]
        count = len(fresh) // detector.STEP * 2
        if not count:
            return []
        fresh = fresh[: count * FRAME]
        levels = frame_levels(fresh)
        chances = self._chances(fresh, levels)
        self._looked += count * FRAME
        self._levels = np.concatenate([self._levels, levels])
        spans = [self._span(mark) for mark in self._ends.feed(chances)]
        self._forget()
        return spans

    def _chances(self, fresh: Samples, levels: Samples) -> list[float]:
        """1.0 for a frame of speech, else 0.0: loud enough over the room, near enough to the person, and voice-like."""
        self.meter.cleaned(levels)
        speech = self.meter.speech
        least = max(self.meter.valley + self.setting.above_valley, self.meter.others + self.setting.above_others)
        least = min(max(least, speech - self.setting.below_speech), speech - self.setting.nearest)
        known = np.concatenate([self._levels[-_SMOOTH + 1 :], levels])
        smooth = smoothed(known, _SMOOTH)[-len(levels) :]
        voiced = self._detector.through(fresh)
        return [float(level >= least and voice) for level, voice in zip(smooth, voiced, strict=True)]

    def _span(self, mark: Mark, *, learn: bool = True) -> Span:
        first, last = mark.start * FRAME - self._gone, mark.end * FRAME - self._gone
        sound = self._clean[max(0, first) : last]
        spoken = self._levels[mark.first - self._gone // FRAME : mark.last - self._gone // FRAME]
        loud = float(np.percentile(spoken, 80.0)) if len(spoken) else -60.0
        if learn:
            self.meter.spoke(spoken[spoken >= loud - 20.0])
        gain = 10.0 ** (min(_LEVEL - loud, _MOST_GAIN) / 20.0)
        return Span(
            t0=self._zero + mark.start * FRAME / RATE,
            t1=self._zero + mark.end * FRAME / RATE,
            speaks=self._zero + mark.first * FRAME / RATE,
            silent=self._zero + mark.last * FRAME / RATE,
            pcm=to_pcm(sound * np.float32(gain)),
            snr=round(self.meter.snr, 1),
            gain=self.gain,
            denoised=self._cleaner.works,
        )

    def _forget(self) -> None:
        """Drops what no span can reach any more."""
        opened = self._ends.open_since
        reach = opened if opened is not None else self._looked // FRAME - 100
        drop = max(0, reach * FRAME - self._gone)
        if drop >= RATE:
            drop -= drop % FRAME
            self._clean = self._clean[drop:]
            self._levels = self._levels[drop // FRAME :]
            self._gone += drop


def spans(blocks: Iterable[Samples], setting: Setting | None = None) -> Iterator[Span]:
    """All spans of a sound."""
    spanner = Spanner(setting)
    for block in blocks:
        yield from spanner.feed(block)
    yield from spanner.finish()


def _pieces(samples: Samples) -> Iterator[Samples]:
    return (samples[at : at + _STEP] for at in range(0, len(samples), _STEP))


class _HighPass:
    """Second-order Butterworth, as a stream."""

    def __init__(self) -> None:
        from scipy.signal import butter

        self._sections: Any = butter(2, _HIGH_PASS, "highpass", fs=RATE, output="sos")
        self._state = np.zeros((len(self._sections), 2))

    def through(self, samples: Samples) -> Samples:
        from scipy.signal import sosfilt

        if not len(samples):
            return samples
        out, self._state = sosfilt(self._sections, samples, zi=self._state)
        return np.asarray(out, dtype=np.float32)
