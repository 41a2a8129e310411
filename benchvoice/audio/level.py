"""How loud the room is and how loud the person, measured as sound comes in."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

import numpy as np

from benchvoice.audio.blocks import FRAME, Samples

QUIETEST = -90.0
"""dB below full scale: what a file of digital silence counts as."""
_WINDOW = 800
"""Frames that the room is judged by: eight seconds."""
_FLOOR_SHARE = 10.0
_SPEECH_SHARE = 80.0
_SPEECH_WINDOW = 1500
_TYPICAL_SPEECH = -24.0
"""dB: what speech is taken for until some was heard; a close microphone set by its maker's advice (common practice,
no source).
"""


def frame_levels(samples: Samples) -> Samples:
    """Root mean square of each whole 10 ms frame, dB below full scale."""
    count = len(samples) // FRAME
    power = np.mean(np.square(samples[: count * FRAME].reshape(count, FRAME), dtype=np.float64), axis=1)
    return np.asarray(np.maximum(10.0 * np.log10(power + 1e-12), QUIETEST), dtype=np.float32)


@dataclass(slots=True)
class LevelMeter:
    """Noise floor and speech level over the last while. Feed every frame's level, and which of them were speech."""

    typical_speech: float = _TYPICAL_SPEECH
    _all: deque[float] = field(default_factory=lambda: deque(maxlen=_WINDOW))
    _speech: deque[float] = field(default_factory=lambda: deque(maxlen=_SPEECH_WINDOW))
    _floor: float | None = None
    _since: int = 0

    def feed(self, levels: Samples) -> None:
        self._all.extend(float(level) for level in levels)
        self._since += len(levels)
        if self._since >= 25 or self._floor is None:
            self._since = 0
            self._floor = float(np.percentile(np.array(self._all), _FLOOR_SHARE)) if self._all else None

    def spoke(self, levels: Samples) -> None:
        """Levels of frames within an utterance: its loud ones say how loud the person is."""
        self._speech.extend(float(level) for level in levels)

    @property
    def floor(self) -> float:
        """Noise floor in dB below full scale; QUIETEST before any sound."""
        return QUIETEST if self._floor is None else self._floor

    @property
    def speech(self) -> float:
        """Level of the person's voice in dB below full scale."""
        if len(self._speech) < 50:
            return self.typical_speech
        return float(np.percentile(np.array(self._speech), _SPEECH_SHARE))

    @property
    def snr(self) -> float:
        """Decibels between the voice and the room."""
        return self.speech - self.floor
