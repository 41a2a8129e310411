"""How far a soft voice must be brought up before anything else looks at it.

The denoiser of noise takes a voice 25 dB softer than usual for the room and leaves silence, and so does every level
that is known beforehand. A microphone far away, or one with its gain turned down, gives such a voice.
"""

from __future__ import annotations

from collections import deque

import numpy as np

from benchvoice.audio.blocks import Samples
from benchvoice.audio.detector import Detector, Steps
from benchvoice.audio.level import SYLLABLE, TYPICAL_SPEECH, frame_levels

_USUAL = -20.0
"""dB below full scale: the loudest syllables of a voice at the level that everything here was fitted to."""
_SOFT = 10.0
"""dB below that from which a voice is brought up."""
_LOUDEST = 6.0
"""dB above the usual that the very loudest syllable may then be."""
MOST = 45.0
"""dB that a voice is brought up by at most, however little of it was known."""
_STANDS_OUT = 12.0
"""dB by which a voice is louder than its room."""
_ROOM_SHARE = 10.0
_STILLEST = -75.0
"""dB: a microphone that shuts itself off between sounds leaves no room to stand out from."""
_VOICED_SHARE = 0.5
"""Of a stretch that counts; knocks are shorter."""
_COUNTS = 5
"""The loudest stretches may be something else; this one counts."""
_LATELY = 83
"""Stretches that are looked at: twenty-five seconds."""


def of_known(speech: float) -> float:
    """dB for a person whose level is known."""
    missing = TYPICAL_SPEECH - speech
    return min(missing, MOST) if missing > _SOFT else 0.0


class Lift:
    """Looks at the room while nobody is heard."""

    def __init__(self) -> None:
        self._detector = Detector()
        self.forget()

    def forget(self) -> None:
        self._steps = Steps()
        self._frames: deque[float] = deque(maxlen=_LATELY * SYLLABLE)
        self._stretch: Samples = np.empty(0, dtype=np.float32)
        self._peaks: deque[float] = deque(maxlen=_LATELY)

    def feed(self, sound: Samples) -> float:
        """dB by which `sound` and what was fed before would have to be louder; 0 if it is loud enough, or no voice."""
        sound = self._steps.whole(sound)
        levels = frame_levels(sound)
        self._frames.extend(levels.tolist())
        voiced = np.where(self._detector.through(sound), levels, -np.inf)
        self._stretch = np.concatenate([self._stretch, voiced.astype(np.float32)])
        while len(self._stretch) >= SYLLABLE:
            one, self._stretch = self._stretch[:SYLLABLE], self._stretch[SYLLABLE:]
            connected = np.mean(one > -np.inf) >= _VOICED_SHARE
            self._peaks.append(float(one.max()) if connected else -np.inf)
        return self._missing()

    def _missing(self) -> float:
        if len(self._peaks) < _COUNTS:
            return 0.0
        peaks = sorted(self._peaks, reverse=True)
        room = max(_STILLEST, float(np.percentile(np.array(self._frames), _ROOM_SHARE)))
        missing = min(_USUAL - peaks[_COUNTS - 1], _USUAL + _LOUDEST - peaks[0])
        return missing if missing > _SOFT and peaks[_COUNTS - 1] > room + _STANDS_OUT else 0.0
