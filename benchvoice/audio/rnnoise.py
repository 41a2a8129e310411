"""RNNoise, a block of frames at a time: it takes softer voices away as well, which DeepFilterNet leaves.

Valin, "A hybrid DSP/deep learning approach to real-time full-band speech enhancement" (IEEE Workshop on Multimedia
Signal Processing, 2018): gains for bands on a scale of hearing, and a comb filter at the pitch of the voice. The
package pyrnnoise carries the C library with its trained net inside, for Linux on x86-64. The package itself is never
imported: that would open a plotting library for every sitting.
"""

from __future__ import annotations

import contextlib
import ctypes
import importlib.util
import weakref
from pathlib import Path
from typing import Any

import numpy as np

from benchvoice.audio.blocks import Samples
from benchvoice.errors import SoundError

RATE = 48_000
HOP = 480
DELAY = 2
"""Frames by which what comes out lags what goes in: one of overlap, one of looking ahead."""
_FULL_SCALE = 32_768.0
"""The library counts as 16-bit samples do."""
_LIBRARY = "librnnoise.so"


def available() -> bool:
    """Whether the library is on this machine, and runs there."""
    with contextlib.suppress(SoundError):
        _library()
        return True
    return False


def _library() -> Any:
    """The C library. Raises SoundError if it isn't here."""
    spec = importlib.util.find_spec("pyrnnoise")
    for place in (spec and spec.submodule_search_locations) or ():
        with contextlib.suppress(OSError, AttributeError):
            library = ctypes.CDLL(str(Path(place) / _LIBRARY))
            library.rnnoise_create.restype = ctypes.c_void_p
            library.rnnoise_create.argtypes = [ctypes.c_void_p]
            library.rnnoise_destroy.argtypes = [ctypes.c_void_p]
            library.rnnoise_process_frame.argtypes = [ctypes.c_void_p] * 3
            if library.rnnoise_get_frame_size() == HOP:
                return library
    raise SoundError("The denoiser of voices is missing.", hint="Install pyrnnoise, or go on without it.")


class RNNoise:
    """A stream of frames of HOP samples at RATE, cleaned, DELAY frames later. Raises SoundError if it isn't here."""

    def __init__(self) -> None:
        self._library = _library()
        self._state = self._library.rnnoise_create(None)
        weakref.finalize(self, self._library.rnnoise_destroy, self._state)

    def through(self, frames: Samples) -> Samples:
        """(n, HOP) in, (n, HOP) out."""
        sound: Samples = np.multiply(frames, _FULL_SCALE, dtype=np.float32, order="C").reshape(-1, HOP)
        for frame in sound:
            self._library.rnnoise_process_frame(self._state, frame.ctypes.data, frame.ctypes.data)
        sound /= np.float32(_FULL_SCALE)
        return sound
