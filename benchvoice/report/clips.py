"""The sound behind the findings, cut out of a sitting's recordings: no more than the words, and nothing private."""

from __future__ import annotations

import io
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from benchvoice.domain.events import SoundKept
from benchvoice.domain.record import Record
from benchvoice.report.model import Evidence

MARGIN = 0.25
"""Seconds kept before and after the words where nothing else is said."""
LONGEST = 120.0
"""Seconds; an utterance that claims to be longer is damaged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """One stretch of sound as FLAC; entries are the findings that stand on it."""

    name: str
    data: bytes
    entries: tuple[str, ...]
    t0: float
    t1: float


def cut(evidence: Sequence[Evidence], record: Record, root: Path) -> tuple[Clip, ...]:
    """One clip for each utterance that the evidence stands on, where its sound is still there under `root`.

    Words that are withheld (blanked, a price) have no clip, nor have findings that were entered by hand.
    """
    groups: dict[tuple[str, float, float], list[Evidence]] = {}
    for item in evidence:
        if item.withheld or item.t0 is None or item.t1 is None or not 0 < item.t1 - item.t0 <= LONGEST:
            continue
        groups.setdefault((item.sitting, item.t0, item.t1), []).append(item)
    walls = _walls(record)
    out: list[Clip] = []
    for (name, t0, t1), items in groups.items():
        sitting = record.sittings.get(name)
        if sitting is None:
            continue
        start, end = walls[name].widened(t0, t1)
        data = _read(sitting.sounds, start, end, root)
        if data:
            first = f"{items[0].number:04}.flac"
            out.append(Clip(name=first, data=data, entries=tuple(item.id for item in items), t0=start, t1=end))
    return tuple(out)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Walls:
    """Where other words, or blanked stretches, begin and end in one sitting; each list in order."""

    begins: list[float]
    ends: list[float]

    def widened(self, t0: float, t1: float) -> tuple[float, float]:
        """The stretch a little wider, but never into other words or into a blanked stretch."""
        before = bisect_right(self.ends, t0)
        after = bisect_left(self.begins, t1)
        start, end = max(0.0, t0 - MARGIN), t1 + MARGIN
        if before:
            start = max(start, self.ends[before - 1])
        if after < len(self.begins):
            end = min(end, self.begins[after])
        return start, end


def _walls(record: Record) -> dict[str, _Walls]:
    spans: dict[str, list[tuple[float, float]]] = {}
    for name, sitting in record.sittings.items():
        spans[name] = [(item.t0, item.t1) for item in sitting.blanked]
    for said in record.said.values():
        utterance = said.reading.utterance
        if utterance.t0 is not None and utterance.t1 is not None:
            spans.setdefault(said.sitting, []).append((utterance.t0, utterance.t1))
    return {
        name: _Walls(begins=sorted(low for low, _ in rows), ends=sorted(high for _, high in rows))
        for name, rows in spans.items()
    }


def _read(sounds: Sequence[SoundKept], start: float, end: float, root: Path) -> bytes:
    """The stretch from the files that hold it, b"" if any of it is missing."""
    import numpy as np
    import soundfile

    pieces: list[np.ndarray] = []
    rate = 0
    for sound in sorted(sounds, key=lambda item: item.start):
        low, high = max(start, sound.start), min(end, sound.start + sound.seconds)
        if high - low < 0.001:
            continue
        path = _inside(root, sound.path)
        if path is None or (rate and sound.rate != rate):
            return b""
        try:
            with soundfile.SoundFile(path) as file:
                rate = file.samplerate
                file.seek(min(len(file), round((low - sound.start) * rate)))
                pieces.append(file.read(round((high - low) * rate), dtype="int16", always_2d=True)[:, :1])
        except (soundfile.SoundFileError, OSError, ValueError):
            return b""
    if not pieces or not sum(len(piece) for piece in pieces):
        return b""
    out = io.BytesIO()
    soundfile.write(out, np.concatenate(pieces), rate, format="FLAC", subtype="PCM_16")
    return out.getvalue()


def _inside(root: Path, relative: str) -> Path | None:
    """The file, if it is there and lies inside the root: a path in a journal is foreign text."""
    try:
        path = (root / relative).resolve()
        return path if path.is_relative_to(root.resolve()) and path.is_file() else None
    except (OSError, ValueError):
        return None
