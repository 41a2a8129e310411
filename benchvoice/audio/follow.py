"""Reading the sound journal while it is being written, from any point on.

The recogniser stands behind the journal: it follows the files on disk as they grow, and if it starts late or again, it
begins where it left off. Nothing is handed to it that isn't on disk.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.segments import HEADER, PACKED, WIDTH, Segment, segments

JOIN_SECONDS = 0.005
"""Segments that follow one another more closely than this are one sound; file names round to a millisecond."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Some sound of the journal. `breaks` is True for the first piece after a gap: what came before is over."""

    start: float
    samples: Samples
    breaks: bool = False

    @property
    def end(self) -> float:
        return self.start + len(self.samples) / RATE


class Follower:
    """Gives the sound from `since` (seconds of the sitting) on, in order, as far as it is on disk."""

    def __init__(self, folder: Path, *, since: float = 0.0, longest: float = 0.5) -> None:
        self._folder = folder
        self._longest = round(longest * RATE)
        self._segment: Segment | None = None
        self._at = 0
        self._since = since
        self._end: float | None = None

    def read(self) -> Piece | None:
        """The next piece, at most `longest` seconds of it, or None if there is nothing new on disk yet."""
        while True:
            if self._segment is None and not self._next_segment():
                return None
            assert self._segment is not None
            later = self._has_later()
            # In this order: once there is a later segment, what is read of this one now is all of it.
            samples = _read(self._segment, self._at, self._longest)
            if len(samples):
                start = self._segment.start + self._at / RATE
                breaks = self._end is None or abs(start - self._end) > JOIN_SECONDS
                self._at += len(samples)
                self._end = start + len(samples) / RATE
                return Piece(start=start, samples=samples, breaks=breaks)
            if not later or not self._next_segment():
                return None

    def _has_later(self) -> bool:
        here = -1.0 if self._segment is None else self._segment.start
        return any(segment.start > here for segment in segments(self._folder))

    def _next_segment(self) -> bool:
        """Go on to the segment after this one. A segment is over as soon as there is a later one."""
        here = -1.0 if self._segment is None else self._segment.start
        for segment in segments(self._folder):
            if segment.start > here and segment.end > self._since:
                self._segment = segment
                self._at = max(0, round((self._since - segment.start) * RATE))
                return True
        return False


def read_stretch(folder: Path, t0: float, t1: float) -> Samples:
    """The sound between two times of a sitting; silence where the journal has a gap."""
    out = np.zeros(max(0, round((t1 - t0) * RATE)), np.float32)
    for segment in segments(folder):
        first = max(0, round((t0 - segment.start) * RATE))
        last = min(segment.samples, round((t1 - segment.start) * RATE))
        if last > first:
            piece = _read(segment, first, last - first)
            at = max(0, round((segment.start - t0) * RATE))
            piece = piece[: len(out) - at]
            out[at : at + len(piece)] = piece
    return out


def _read(segment: Segment, at: int, count: int) -> Samples:
    if segment.path.suffix == PACKED:
        samples, _ = soundfile.read(str(segment.path), start=at, frames=count, dtype="float32")
        return np.asarray(samples, dtype=np.float32)
    try:
        with segment.path.open("rb") as file:
            file.seek(HEADER + at * WIDTH)
            pcm = file.read(count * WIDTH)
    except FileNotFoundError:
        # Packed between the look and the read.
        return _read(
            Segment(path=segment.path.with_suffix(PACKED), start=segment.start, rate=segment.rate, samples=0), at, count
        )
    whole = pcm[: len(pcm) - len(pcm) % WIDTH]
    return (np.frombuffer(whole, dtype="<i2").astype(np.float32) / np.float32(32767.0)).astype(np.float32)
