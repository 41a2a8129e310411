"""Watching a sitting that is being recorded, by this program or another one: how loud it is, and what is spoken of.

Only the journal and the sound on disk are read, so watching can neither disturb nor stop a recording.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from benchvoice.app.log import Row
from benchvoice.domain.findings import Finding
from benchvoice.errors import BenchvoiceError

WINDOW = 0.3
"""Seconds of sound that the level is taken over."""
STALE = 3.0
"""Seconds without new sound on disk after which nothing is being recorded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """level: dB below full scale, None where no sound is coming. seconds: how much has been recorded."""

    level: float | None = None
    seconds: float = 0.0


class Watching:
    """Looks at the newest sound of a sitting's folder. Cheap enough to be asked some times a second."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._end = 0.0
        self._grew = 0.0

    def pulse(self, now: float | None = None) -> Pulse:
        """How it stands now; `now` in seconds of a steady clock."""
        moment = time.monotonic() if now is None else now
        try:
            end, level = self._look()
        except (BenchvoiceError, OSError, RuntimeError):
            return Pulse(seconds=self._end)
        if end > self._end:
            self._end, self._grew = end, moment
        alive = end > 0 and moment - self._grew < STALE
        return Pulse(level=level if alive else None, seconds=self._end)

    def _look(self) -> tuple[float, float]:
        from benchvoice.audio.blocks import level
        from benchvoice.audio.follow import read_stretch
        from benchvoice.audio.segments import segments

        found = segments(self._folder) if self._folder.is_dir() else []
        if not found:
            return 0.0, -120.0
        end = found[-1].end
        return end, float(level(read_stretch(self._folder, max(0.0, end - WINDOW), end)))


def focus(rows: Sequence[Row]) -> Finding | None:
    """The newest finding: what is being spoken of."""
    for row in reversed(rows):
        if row.said is not None and row.entries and row.said.reading.findings:
            return row.entries[-1].finding
    return None
