"""What everything in this folder passes along: short arrays of mono sound at one rate.

A block is a float32 array of any length, -1..1, mono, at `RATE`. Blocks follow one another without gaps, so time is
a count of samples and nothing here needs a clock.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
"""Samples a second inside the program: what both recognisers were trained on."""

FRAME = 160
"""Samples of one analysis frame, 10 ms."""

Samples = NDArray[np.float32]


def cut(blocks: Iterable[Samples], size: int) -> Iterator[Samples]:
    """The same sound in blocks of exactly `size` samples; the last one may be shorter, and is never empty."""
    left: list[Samples] = []
    held = 0
    for block in blocks:
        left.append(block)
        held += len(block)
        if held < size:
            continue
        joined = np.concatenate(left) if len(left) > 1 else left[0]
        whole = held - held % size
        for start in range(0, whole, size):
            yield joined[start : start + size]
        left, held = [joined[whole:]], held - whole
    if held:
        yield np.concatenate(left)


def to_pcm(samples: Samples) -> bytes:
    """16-bit little-endian PCM; what is louder than full scale is clipped."""
    return np.round(np.clip(samples, -1.0, 1.0) * 32767.0).astype("<i2").tobytes()


def from_pcm(pcm: bytes) -> Samples:
    """The reverse of `to_pcm`."""
    return (np.frombuffer(pcm, dtype="<i2").astype(np.float32) / np.float32(32767.0)).astype(np.float32)


def level(samples: Samples) -> float:
    """Root mean square in dB below full scale; -120 for silence."""
    if not len(samples):
        return -120.0
    power = float(np.mean(np.square(samples, dtype=np.float64)))
    return 10.0 * float(np.log10(power)) if power > 1e-12 else -120.0
