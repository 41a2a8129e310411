"""Hearing a line of the log again: its sound with half a second either side, at full speed or slower."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from benchvoice import paths
from benchvoice.domain.events import SoundKept
from benchvoice.errors import BenchvoiceError, SoundError

if TYPE_CHECKING:
    from benchvoice.audio.blocks import Samples

MARGIN = 0.5
"""Seconds of sound before and after a line."""
CELLS = 72
FLOOR_DB = 50.0
"""Below full scale; quieter than that is drawn as nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """What to play: times are seconds of the sitting, `sounds` the files of it."""

    sitting: str
    t0: float | None
    t1: float | None
    sounds: Sequence[SoundKept] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """`level` is 0..1 along the time of what was played; `problem` is empty if it is sounding now."""

    level: tuple[float, ...] = ()
    problem: str = ""


class Hearing:
    """Reads sound from the data folder and plays it. Safe to use from a thread of its own."""

    def __init__(self, data: Path | None = None) -> None:
        self._data = data
        self._player: object | None = None

    def play(self, stretch: Stretch, speed: float = 1.0) -> Played:
        """Start playing and come back. What is in the way is said and never raised: everything else must work on."""
        if stretch.t0 is None or stretch.t1 is None:
            return Played(problem="This line was typed: there is no sound of it.")
        try:
            sound = self.read(stretch)
        except (BenchvoiceError, OSError, RuntimeError) as error:
            return Played(problem=f"The sound of this line can't be read: {_text(error)}")
        if not len(sound):
            return Played(problem="The sound of this line was not kept.")
        level = trace(sound)
        try:
            self._sound(sound, speed)
        except SoundError as error:
            return Played(level=level, problem=f"{error.what} {error.hint}".strip())
        return Played(level=level)

    def read(self, stretch: Stretch) -> Samples:
        """Mono samples at 16 kHz, silence where the journal has a gap; empty if there is no sound at all."""
        import numpy as np

        from benchvoice.audio.follow import read_stretch

        t0, t1 = max(0.0, (stretch.t0 or 0.0) - MARGIN), (stretch.t1 or 0.0) + MARGIN
        kept = [sound for sound in stretch.sounds if sound.start < t1 and sound.start + sound.seconds > t0]
        if kept:
            return _read_file((self._data or paths.data()) / kept[0].path, t0 - kept[0].start, t1 - kept[0].start)
        folder = (self._data or paths.data()) / "sound" / stretch.sitting
        return read_stretch(folder, t0, t1) if folder.is_dir() else np.zeros(0, np.float32)

    def _sound(self, sound: Samples, speed: float) -> None:
        from benchvoice.audio.playback import Player
        from benchvoice.audio.slower import slower

        if not isinstance(self._player, Player):
            self._player = Player()
        self._player.play(slower(sound, speed))


def trace(sound: Samples, cells: int = CELLS) -> tuple[float, ...]:
    """The level along a sound: root mean square of each slice in decibels, 0 at the floor, 1 at full scale."""
    import numpy as np

    slices = np.array_split(np.asarray(sound, np.float64), cells)
    loud = np.array([np.sqrt(np.mean(piece**2)) if len(piece) else 0.0 for piece in slices])
    decibels = 20 * np.log10(np.maximum(loud, 1e-6))
    return tuple(float(value) for value in np.clip(1 + decibels / FLOOR_DB, 0, 1))


def _read_file(path: Path, t0: float, t1: float) -> Samples:
    import numpy as np
    import soundfile

    from benchvoice.audio.blocks import RATE

    with soundfile.SoundFile(str(path)) as file:
        rate = file.samplerate
        file.seek(min(max(0, round(t0 * rate)), file.frames))
        sound = file.read(max(0, round((t1 - max(0.0, t0)) * rate)), dtype="float32", always_2d=True).mean(axis=1)
    if rate != RATE and len(sound):
        import soxr

        sound = soxr.resample(sound, rate, RATE)
    return np.asarray(sound, np.float32)


def _text(error: Exception) -> str:
    return f"{error.what} {error.hint}".strip() if isinstance(error, BenchvoiceError) else str(error)
