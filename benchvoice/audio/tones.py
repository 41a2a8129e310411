"""Short tones that tell a person with greasy hands and closed ears what happened.

Made here from sines, distinct by direction rather than by pitch alone: rising is heard, level and double is not sure,
falling is struck out, long and low is stopped.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from benchvoice.audio.blocks import Samples

RATE = 48_000
LOUDNESS = 0.25


class Tone(StrEnum):
    HEARD = "heard"
    NOT_SURE = "not_sure"
    STRUCK = "struck"
    STOPPED = "stopped"
    HELD = "held"
    CARRIED_ON = "carried_on"


_NOTES: dict[Tone, tuple[tuple[float, float], ...]] = {
    Tone.HEARD: ((880.0, 0.06), (1320.0, 0.07)),
    Tone.NOT_SURE: ((740.0, 0.08), (0.0, 0.05), (740.0, 0.08)),
    Tone.STRUCK: ((1320.0, 0.07), (660.0, 0.09)),
    Tone.STOPPED: ((220.0, 0.35), (0.0, 0.08), (196.0, 0.5)),
    Tone.HELD: ((660.0, 0.09), (550.0, 0.09), (440.0, 0.12)),
    Tone.CARRIED_ON: ((440.0, 0.09), (550.0, 0.09), (660.0, 0.12)),
}
"""Hertz and seconds of each note; 0 Hz is a rest. No tone is longer than a second."""


def samples(tone: Tone, rate: int = RATE) -> Samples:
    """The tone as mono float samples, faded in and out over 5 ms so that it doesn't click."""
    return np.concatenate([_note(hertz, seconds, rate) for hertz, seconds in _NOTES[tone]])


def _note(hertz: float, seconds: float, rate: int) -> Samples:
    t = np.arange(round(seconds * rate)) / rate
    if hertz == 0.0:
        return np.zeros(t.size, np.float32)
    fade = np.clip(np.minimum(t, seconds - t) / 0.005, 0.0, 1.0)
    wave = np.sin(2 * np.pi * hertz * t) + 0.25 * np.sin(4 * np.pi * hertz * t)
    return (LOUDNESS * fade * wave).astype(np.float32)
