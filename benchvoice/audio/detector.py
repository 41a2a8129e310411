"""Where a sound is like a voice."""

from __future__ import annotations

from typing import Any

import numpy as np

from benchvoice.audio.blocks import RATE, Samples, to_pcm

STEP = 320
"""Samples that are looked at together: 20 ms, two frames."""


class Detector:
    """The voice detector inside pocketsphinx (WebRTC's), one answer for each 10 ms frame."""

    def __init__(self) -> None:
        from pocketsphinx import Vad

        self._vad: Any = Vad(Vad.MEDIUM_LOOSE, RATE, STEP / RATE)

    def through(self, samples: Samples) -> list[bool]:
        """`samples` are whole steps."""
        pcm = to_pcm(samples)
        answers: list[bool] = []
        for at in range(0, len(pcm), 2 * STEP):
            answers += [bool(self._vad.is_speech(pcm[at : at + 2 * STEP]))] * 2
        return answers


class Steps:
    """A stream of pieces in, as many whole steps out; the rest waits for the next piece."""

    def __init__(self) -> None:
        self._waiting: Samples = np.empty(0, dtype=np.float32)

    def whole(self, samples: Samples) -> Samples:
        sound = np.concatenate([self._waiting, samples])
        count = len(sound) // STEP * STEP
        self._waiting = sound[count:]
        return sound[:count]
