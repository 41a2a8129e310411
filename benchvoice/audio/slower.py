"""Speech played slower at the same pitch: overlapping pieces, each shifted to where it fits the one before best."""

from __future__ import annotations

import numpy as np

from benchvoice.audio.blocks import RATE, Samples

PIECE_SECONDS = 0.040
SEEK_SECONDS = 0.010
"""How far a piece may be shifted to fall into step with the one before."""


def slower(sound: Samples, speed: float, rate: int = RATE) -> Samples:
    """The same sound at `speed` times its speed (0.25..1), by waveform-similarity overlap-add.

    Source of the method: Verhelst and Roelands, ICASSP 1993, "An overlap-add technique based on waveform similarity".
    """
    if not 0.25 <= speed <= 1:
        raise ValueError(f"a speed of {speed}")
    piece = round(PIECE_SECONDS * rate)
    step, seek = piece // 2, round(SEEK_SECONDS * rate)
    if speed == 1 or len(sound) < 2 * piece:
        return sound
    padded = np.concatenate([sound, np.zeros(piece + seek + step, np.float32)])
    count = int(len(sound) / (step * speed))
    out = np.zeros(count * step + piece, np.float32)
    window = np.hanning(piece).astype(np.float32)
    at = 0
    for k in range(count):
        out[k * step : k * step + piece] += padded[at : at + piece] * window
        follows = padded[at + step : at + step + piece]
        wanted = min(round((k + 1) * step * speed), len(sound) - 1)
        low = max(0, wanted - seek)
        room = padded[low : low + piece + 2 * seek]
        fit = np.correlate(room, follows, "valid") if len(room) >= piece else np.zeros(1)
        at = low + int(np.argmax(fit))
    return out[: round(len(sound) / speed)]
