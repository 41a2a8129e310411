"""Watching over a recording: loudness, clipping, silence, the clock, the disk.

All of it takes numbers and seconds and gives signs; nothing here reads a clock, a disk or a device.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from benchvoice.audio.blocks import Samples, level

CLIPPED = 0.985
"""A sample at or above this share of full scale counts as clipped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loudness:
    """A moment of the meter. `rms` and `peak` in dB below full scale, `clipping` while sound was clipped lately."""

    rms: float = -120.0
    peak: float = -120.0
    clipping: bool = False


class Meter:
    """A loudness meter: the peak falls by 20 dB a second, a clipping sign stays for `hold` seconds."""

    def __init__(self, rate: int, *, hold: float = 3.0, fall: float = 20.0) -> None:
        self._rate = rate
        self._hold = hold
        self._fall = fall
        self._peak = -120.0
        self._clipping_for = 0.0
        self.clipped_samples = 0

    def see(self, samples: Samples) -> Loudness:
        seconds = len(samples) / self._rate
        top = float(np.max(np.abs(samples), initial=0.0))
        peak = 20.0 * float(np.log10(top)) if top > 1e-6 else -120.0
        self._peak = max(peak, self._peak - self._fall * seconds, -120.0)
        clipped = int(np.count_nonzero(np.abs(samples) >= CLIPPED))
        self.clipped_samples += clipped
        # One full-scale sample may be a knock; several in a block are a gain set too high.
        self._clipping_for = self._hold if clipped >= 3 else max(0.0, self._clipping_for - seconds)
        return Loudness(rms=level(samples), peak=self._peak, clipping=self._clipping_for > 0.0)


class SilenceWatch:
    """True once, when nothing has been heard for `after` seconds; then again only after something was heard."""

    def __init__(self, after: float = 300.0) -> None:
        self._after = after
        self._last = 0.0
        self._warned = False

    def heard(self, at: float) -> None:
        self._last = max(self._last, at)
        self._warned = False

    def due(self, now: float) -> bool:
        if self._warned or now - self._last < self._after:
            return False
        self._warned = True
        return True


class SleepWatch:
    """Notices that the machine slept: one clock that stands still in sleep fell behind one that goes on.

    On Linux CLOCK_MONOTONIC stands still and CLOCK_BOOTTIME goes on (clock_gettime(2)). Elsewhere the wall clock
    serves, which a person may also set, so that only jumps above `least` seconds count.
    """

    def __init__(self, still: float, going: float, *, least: float = 2.0) -> None:
        self._behind = going - still
        self._least = least

    def slept(self, still: float, going: float) -> float:
        """Seconds slept since the last call, 0 if it didn't."""
        behind = going - still
        jump = behind - self._behind
        self._behind = behind
        return jump if jump >= self._least else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How much longer the disk lasts."""

    minutes: float
    low: bool
    """Time to warn."""
    out: bool
    """Time to stop, while there is still enough to close properly."""


class SpaceWatch:
    """Judges free space. `rate` is bytes a second that the recording takes, `keep` what closing needs."""

    def __init__(self, rate: float, *, keep: int, warn_minutes: float = 15.0) -> None:
        self._rate = rate
        self._keep = keep
        self._warn_minutes = warn_minutes

    def look(self, free: int) -> Room:
        minutes = max(0.0, (free - self._keep) / self._rate / 60)
        return Room(minutes=minutes, low=minutes < self._warn_minutes, out=free <= self._keep)
