"""Taking shop noise out of speech: a stream at the recognisers' rate through DeepFilterNet, and where others talk
through RNNoise before that.

Both were chosen by word errors in shop noise: see "The denoisers" in DEVELOPERS.md and
`python -m tests.audio.denoisers`.
"""

from __future__ import annotations

import numpy as np
import soxr

from benchvoice.audio import deepfilter, rnnoise
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.deepfilter import DeepFilter
from benchvoice.audio.rnnoise import RNNoise

_LOUDER = np.float32(4.0)
"""DeepFilterNet hears everything 12 dB louder: below a certain level it knows no difference between soft and softer."""


class Denoiser:
    """A stream of blocks in, the same stream without its noise out, some hundredths of a second later.

    Over a whole stream (`feed` ... `finish`) there is one clean sample for each sample fed, at the same place.
    voices: softer voices are taken out too. Raises SoundError if what that takes isn't here.
    """

    def __init__(self, *, voices: bool = False) -> None:
        self._voices = RNNoise() if voices else None
        self._filter = DeepFilter()
        self._delay = deepfilter.DELAY + (rnnoise.DELAY if voices else 0)
        self._begin()

    def _begin(self) -> None:
        self._up = soxr.ResampleStream(RATE, deepfilter.RATE, 1, dtype="float32", quality="MQ")
        self._down = soxr.ResampleStream(deepfilter.RATE, RATE, 1, dtype="float32", quality="MQ")
        self._waiting = np.empty(0, dtype=np.float32)
        self._skip = self._delay * deepfilter.HOP
        self._fed = self._given = 0

    @property
    def inside(self) -> int:
        """Samples that were fed and didn't come out yet."""
        return self._fed - self._given

    def feed(self, samples: Samples) -> Samples:
        self._fed += len(samples)
        wide = self._up.resample_chunk(np.ascontiguousarray(samples, dtype=np.float32))
        out: Samples = self._down.resample_chunk(self._through(np.concatenate([self._waiting, wide])))
        self._given += len(out)
        return out

    def finish(self) -> Samples:
        """What is still inside. The next sound starts afresh, but for what the networks remember of the room."""
        rest = self._up.resample_chunk(np.empty(0, dtype=np.float32), last=True)
        tail = np.zeros((self._delay + 1) * deepfilter.HOP, dtype=np.float32)
        clean = self._through(np.concatenate([self._waiting, rest, tail]))
        out = self._down.resample_chunk(clean, last=True)
        want = self.inside
        short = np.zeros(max(0, want - len(out)), dtype=np.float32)
        self._begin()
        return np.concatenate([out, short])[:want].astype(np.float32)

    def _through(self, wide: Samples) -> Samples:
        """Whole frames through the networks; the rest waits."""
        whole = len(wide) - len(wide) % deepfilter.HOP
        self._waiting = wide[whole:]
        frames = wide[:whole].reshape(-1, deepfilter.HOP)
        if self._voices is not None:
            frames = self._voices.through(frames)
        clean = self._filter.through(frames * _LOUDER).ravel() / _LOUDER
        if self._skip:
            dropped = min(self._skip, len(clean))
            clean, self._skip = clean[dropped:], self._skip - dropped
        return clean
