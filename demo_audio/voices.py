"""Synthetic voices, as sound at 16 kHz. A tool of the demo and of the hearing tests, not a part of the product.

The voices come from packages: hibari-tts (Python), flite and espeak-ng (programs). A voice spoken twice gives the same
samples: the neural voice gets a seed made from its text, the other two have no chance in them.
"""

from __future__ import annotations

import functools
import importlib.util
import shutil
import subprocess
import tempfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

RATE = 16_000
Sound = NDArray[np.float32]

LEVEL = 10 ** (-22 / 20)
"""Root mean square of an utterance, full scale 1: what a headset microphone gives with the gain set by the book."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """`program` is "hibari", "flite" or "espeak-ng"; `name` its own name for the voice; pace 1 is the voice's own.

    `depth` above 1 lowers pitch and formants together by that factor, which makes another speaker of the same voice.
    """

    program: str
    name: str
    pace: float = 1.0
    depth: float = 1.0


VOICES = {
    "heart": Voice(program="hibari", name="heart"),
    "heart_easy": Voice(program="hibari", name="heart", pace=0.88),
    "heart_quick": Voice(program="hibari", name="heart", pace=1.2),
    "heart_deep": Voice(program="hibari", name="heart", pace=1.1, depth=1.14),
    "slt": Voice(program="flite", name="slt"),
    "rms": Voice(program="flite", name="rms"),
    "awb": Voice(program="flite", name="awb"),
    "kal": Voice(program="flite", name="kal16"),
    "formant_us": Voice(program="espeak-ng", name="en-us", pace=0.9),
    "formant_rp": Voice(program="espeak-ng", name="en-gb-x-rp", pace=0.9),
}


def usable(name: str) -> bool:
    """True if the voice's program is on this machine."""
    program = VOICES[name].program
    if program == "hibari":
        return importlib.util.find_spec("hibari") is not None
    return shutil.which(program) is not None


def speak(text: str, name: str) -> Sound:
    """One utterance: mono float samples at 16 kHz, silence trimmed at both ends, root mean square LEVEL."""
    voice = VOICES[name]
    raw, rate = _SPEAKERS[voice.program](text, voice)
    if voice.depth != 1.0:
        rate = round(rate / voice.depth)
    sound = np.asarray(soxr.resample(raw, rate, RATE, quality="HQ"), dtype=np.float32)
    sound = _trim(sound)
    rms = float(np.sqrt(np.mean(sound**2))) if sound.size else 0.0
    return sound if rms == 0.0 else np.clip(sound * np.float32(LEVEL / rms), -0.98, 0.98)


@functools.cache
def _hibari() -> Any:
    from hibari import Hibari

    return Hibari(threads=1)


def _speak_hibari(text: str, voice: Voice) -> tuple[Sound, int]:
    tts = _hibari()
    # The full stop gives a falling end, as in speech; without it the last word hangs in the air.
    return tts(text + ".", speed=voice.pace * voice.depth, seed=zlib.crc32(text.encode())), tts.sample_rate


def _speak_flite(text: str, voice: Voice) -> tuple[Sound, int]:
    stretch = 1 / (voice.pace * voice.depth)
    return _run(["flite", "-voice", voice.name, "--setf", f"duration_stretch={stretch:.3f}", "-t", text, "-o"])


def _speak_espeak(text: str, voice: Voice) -> tuple[Sound, int]:
    words_a_minute = round(165 * voice.pace * voice.depth)
    return _run(["espeak-ng", "-v", voice.name, "-s", str(words_a_minute), text, "-w"])


def _run(command: list[str]) -> tuple[Sound, int]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        subprocess.run([*command, str(path)], check=True, capture_output=True)
        sound, rate = soundfile.read(path, dtype="float32")
    return sound, rate


_SPEAKERS = {"hibari": _speak_hibari, "flite": _speak_flite, "espeak-ng": _speak_espeak}


def _trim(sound: Sound, floor: float = 0.004, keep: int = RATE // 50) -> Sound:
    """Without the silence before and after, but for 20 ms."""
    loud = np.flatnonzero(np.abs(sound) > floor)
    if not loud.size:
        return sound[:0]
    return sound[max(0, loud[0] - keep) : loud[-1] + keep]
