"""How far a soft voice must be brought up before anything else looks at it.

The denoiser of noise takes a voice 25 dB softer than usual for the room and leaves silence, and so does every level
that is known beforehand. A microphone far away, or one with its gain turned down, gives such a voice.
"""

from __future__ import annotations

from collections import deque

import numpy as np

from benchvoice.audio.blocks import Samples
from benchvoice.audio.detector import STEP, Detector
from benchvoice.audio.level import SYLLABLE, TYPICAL_SPEECH, frame_levels

USUAL = -20.0
"""dB below full scale: the loudest syllables of a voice at the level that everything here was fitted to."""
_SOFT = 10.0
"""dB below that from which a voice is brought up."""
MOST = 45.0
_STANDS_OUT = 12.0
"""dB by which a voice is louder than its room."""
_ROOM_SHARE = 10.0
_COUNTS = 5
"""The loudest stretches may be knocks; this one counts."""
_LATELY = 27
"""Stretches that are looked at: eight seconds."""


def known(speech: float) -> float:
    """dB for a person whose level is known."""
    missing = TYPICAL_SPEECH - speech
    return min(missing, MOST) if missing > _SOFT else 0.0


class Lift:
    """Looks at the room while nobody was heard yet."""

    def __init__(self) -> None:
        self._detector = Detector()
        self.forget()

    def forget(self) -> None:
        self._waiting: Samples = np.empty(0, dtype=np.float32)
        self._frames: deque[float] = deque(maxlen=_LATELY * SYLLABLE)
        self._voiced: deque[float] = deque(maxlen=_LATELY * SYLLABLE)

    def feed(self, raw: Samples) -> float:
        """dB by which `raw` and what was fed before would have to be louder; 0 if it is loud enough, or no voice."""
        sound = np.concatenate([self._waiting, raw])
        whole = len(sound) // STEP * STEP
        self._waiting = sound[whole:]
        levels = frame_levels(sound[:whole])
        self._frames.extend(levels.tolist())
        self._voiced.extend(np.where(self._detector.through(sound[:whole]), levels, -np.inf).tolist())
        count = len(self._voiced) // SYLLABLE
        if count < _COUNTS:
            return 0.0
        peaks = np.array(self._voiced)[: count * SYLLABLE].reshape(count, SYLLABLE).max(axis=1)
        voice = float(np.sort(peaks)[-_COUNTS])
        room = float(np.percentile(np.array(self._frames), _ROOM_SHARE))
        missing = USUAL - voice
        return min(missing, MOST) if missing > _SOFT and voice > room + _STANDS_OUT else 0.0
