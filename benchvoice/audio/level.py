"""How loud the room is and how loud the person, measured as sound comes in."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from benchvoice.audio.blocks import FRAME, Samples

QUIETEST = -90.0
"""dB below full scale: what a file of digital silence counts as."""
_WINDOW = 800
"""Frames that the room is judged by: eight seconds."""
_FLOOR_SHARE = 10.0
_VALLEY_SHARE = 25.0
"""Somebody at work is silent for a quarter of the time at least (common practice, no source)."""
_SPEECH_SHARE = 80.0
_BURST_SHARE = 95.0
SYLLABLE = 30
"""Frames whose loudest one stands for what goes on: no voice is silent for longer between its syllables."""
SYLLABLES = 67
"""Such stretches that other voices are judged by: twenty seconds."""
_OTHERS_SHARE = 25.0
_STILL_SHARE = 15.0
_STILL_BELOW = 20.0
"""dB. Where the stillest stretches are further than this below the still ones, nobody else talks all the time."""
_KNOWN = 200
"""Frames between sentences after which the room is known."""
_VOICE_KNOWN = 50
"""Frames of speech after which the person's voice is known."""
_SPEECH_WINDOW = 1500
TYPICAL_SPEECH = -24.0
"""dB: what speech is taken for until some was heard; a close microphone set by its maker's advice (common practice,
no source).
"""


def frame_levels(samples: Samples) -> Samples:
    """Root mean square of each whole 10 ms frame, dB below full scale."""
    count = len(samples) // FRAME
    power = np.mean(np.square(samples[: count * FRAME].reshape(count, FRAME), dtype=np.float64), axis=1)
    return _decibels(power)


def smoothed(levels: Samples, frames: int) -> Samples:
    """Level of the mean power of each frame and those before it, `frames` together; fewer at the beginning."""
    power = np.cumsum(np.concatenate([np.zeros(1), 10.0 ** (np.asarray(levels, dtype=np.float64) / 10.0)]))
    ends = np.arange(1, len(levels) + 1)
    starts = np.maximum(ends - frames, 0)
    return _decibels((power[ends] - power[starts]) / (ends - starts))


def _decibels(power: NDArray[np.float64]) -> Samples:
    return np.asarray(np.maximum(10.0 * np.log10(power + 1e-12), QUIETEST), dtype=np.float32)


@dataclass(slots=True)
class LevelMeter:
    """Noise floor, what is left between sentences after cleaning, and how loud the person is, over the last while."""

    typical_speech: float = TYPICAL_SPEECH
    _all: deque[float] = field(default_factory=lambda: deque(maxlen=_WINDOW))
    _speech: deque[float] = field(default_factory=lambda: deque(maxlen=_SPEECH_WINDOW))
    _left: deque[float] = field(default_factory=lambda: deque(maxlen=_WINDOW))
    _peaks: deque[float] = field(default_factory=lambda: deque(maxlen=SYLLABLES))
    _peak: list[float] = field(default_factory=list)
    _room: deque[float] = field(default_factory=lambda: deque(maxlen=_WINDOW))
    _floor: float | None = None
    _valley: float | None = None
    _others: float | None = None
    _since: int = 0

    def feed(self, levels: Samples) -> None:
        self._all.extend(float(level) for level in levels)
        self._since += len(levels)
        if self._since >= 25 or self._floor is None:
            self._since = 0
            self._floor = float(np.percentile(np.array(self._all), _FLOOR_SHARE)) if self._all else None

    def cleaned(self, levels: Samples) -> None:
        """Levels of all frames after cleaning."""
        self._left.extend(float(level) for level in levels)
        self._valley = float(np.percentile(np.array(self._left), _VALLEY_SHARE)) if self._left else None
        self._peak.extend(float(level) for level in levels)
        while len(self._peak) >= SYLLABLE:
            self._peaks.append(max(self._peak[:SYLLABLE]))
            del self._peak[:SYLLABLE]
            still, others = np.percentile(np.array(self._peaks), [_STILL_SHARE, _OTHERS_SHARE])
            self._others = float(min(others, still + _STILL_BELOW))

    def forget_cleaned(self) -> None:
        """Others talk, and are taken out from now on: how loud they were says nothing more."""
        for known in (self._left, self._peaks, self._peak):
            known.clear()
        self._valley = self._others = None

    def between(self, levels: Samples) -> None:
        """Levels of raw frames while nobody speaks: hum and bursts alike."""
        self._room.extend(float(level) for level in levels)

    def forget_room(self) -> None:
        self._room.clear()

    @property
    def room(self) -> float | None:
        """How loud it gets between sentences, None until that is known."""
        return float(np.percentile(np.array(self._room), _BURST_SHARE)) if len(self._room) >= _KNOWN else None

    def begin(self) -> None:
        """What comes is at another level, and nobody was heard yet."""
        self.typical_speech = TYPICAL_SPEECH
        self.forget_cleaned()
        self.forget_room()
        self.forget_speech()
        self._all.clear()
        self._floor = None

    def softer(self, by: float) -> None:
        """What comes is softer by so many dB, and so was all that is known."""
        for known in (self._all, self._speech, self._left, self._peaks, self._peak, self._room):
            moved = [max(QUIETEST, level - by) for level in known]
            known.clear()
            known.extend(moved)
        self._floor, self._valley, self._others = self.floor - by, self.valley - by, self.others - by

    def forget_speech(self) -> None:
        self._speech.clear()

    def spoke(self, levels: Samples) -> None:
        """Levels of frames within an utterance: its loud ones say how loud the person is."""
        self._speech.extend(float(level) for level in levels)

    @property
    def floor(self) -> float:
        """Noise floor in dB below full scale; QUIETEST before any sound."""
        return QUIETEST if self._floor is None else self._floor

    @property
    def valley(self) -> float:
        """What goes on between sentences: near silence, or what is left of somebody else's voice."""
        return QUIETEST if self._valley is None else self._valley

    @property
    def others(self) -> float:
        """How loud the syllables of whoever talks between the person's sentences are; near silence if nobody does."""
        return QUIETEST if self._others is None else self._others

    @property
    def speech(self) -> float:
        """Level of the person's voice in dB below full scale."""
        return float(np.percentile(np.array(self._speech), _SPEECH_SHARE)) if self.heard else self.typical_speech

    @property
    def heard(self) -> bool:
        """Whether the person's voice is known."""
        return len(self._speech) >= _VOICE_KNOWN

    @property
    def snr(self) -> float:
        """Decibels between the voice and the room."""
        return self.speech - self.floor
