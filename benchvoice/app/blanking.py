"""Taking a stretch out of a sitting at the person's wish: its sound and its words, for good. That it happened stays."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from benchvoice import paths
from benchvoice.app.camera import find_sitting
from benchvoice.app.live.plan import Lock, folder_of
from benchvoice.audio import segments as sj
from benchvoice.domain.events import SoundKept, StretchBlanked
from benchvoice.errors import BenchvoiceError, SoundError
from benchvoice.journal import Journal

CHUNK = 65_536


@dataclass(frozen=True, slots=True, kw_only=True)
class Blanked:
    """What was removed: seconds of sound in our files, and utterances of the record. `outside` are files of the
    person's own that hold the stretch and were left alone.
    """

    seconds: float
    utterances: int
    outside: tuple[Path, ...]


def blank_stretch(journal: Journal, sitting: str, t0: float, t1: float, *, reason: str = "") -> Blanked:
    """Silence the sound between two times of a sitting and remove the words that were said in it.

    Sound first: if that fails, nothing else is done. Refused while the sitting is being recorded.
    """
    if not 0.0 <= t0 < t1:
        raise BenchvoiceError(f"From {t0:g} to {t1:g} s is no stretch of time.", hint="Give the earlier time first.")
    stock = find_sitting(journal, sitting)
    record = journal.record(stock)
    kept = record.sittings[sitting]
    folder = folder_of(sitting)
    with Lock(folder):
        seconds, outside, again = _blank_sound(folder, kept.sounds, t0, t1)
        said = sum(
            1
            for (name, _), item in record.said.items()
            if name == sitting
            and not item.blanked
            and _touches(item.heard.utterance.t0, item.heard.utterance.t1, t0, t1)
        )
        journal.blank(StretchBlanked(sitting=sitting, t0=t0, t1=t1, reason=reason), stock)
        if again:
            journal.append(again, stock)
    return Blanked(seconds=seconds, utterances=said, outside=outside)


def _touches(a: float | None, b: float | None, t0: float, t1: float) -> bool:
    return a is not None and b is not None and a < t1 and b > t0


def _blank_sound(
    folder: Path, sounds: tuple[SoundKept, ...], t0: float, t1: float
) -> tuple[float, tuple[Path, ...], list[SoundKept]]:
    data = paths.data()
    ours = {segment.path: segment.start for segment in sj.segments(folder)}
    entered = {data / kept.path: kept for kept in sounds}
    seconds, outside, again = 0.0, [], []
    for path, start in (ours | {path: kept.start for path, kept in entered.items() if path not in ours}).items():
        if not path.is_file():
            continue
        length = soundfile.info(str(path)).duration
        first, last = max(t0, start), min(t1, start + length)
        if last <= first:
            continue
        if not path.resolve().is_relative_to(data.resolve()) and path not in ours:
            outside.append(path)
            continue
        _silence(path, first - start, last - start)
        seconds += last - first
        if path in entered:
            old = entered[path]
            again.append(
                SoundKept(
                    sitting=old.sitting,
                    path=old.path,
                    start=old.start,
                    seconds=old.seconds,
                    rate=old.rate,
                    sha256=sj.fingerprint(path),
                )
            )
    return seconds, tuple(outside), again


def _silence(path: Path, first: float, last: float) -> None:
    """Write the file anew with zeros from `first` to `last` seconds, and put it in the old one's place."""
    part = path.with_name(path.name + ".part")
    try:
        with (
            soundfile.SoundFile(str(path)) as source,
            os.fdopen(os.open(part, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600), "r+b") as file,
        ):
            a, b = round(first * source.samplerate), round(last * source.samplerate)
            with soundfile.SoundFile(
                file, "w", source.samplerate, source.channels, source.subtype, format=source.format
            ) as target:
                at = 0
                for block in source.blocks(blocksize=CHUNK, dtype="int32", always_2d=True):
                    index = np.arange(at, at + len(block))
                    block[(index >= a) & (index < b)] = 0
                    target.write(block)
                    at += len(block)
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)
    except (OSError, RuntimeError, soundfile.SoundFileError) as error:
        raise SoundError(
            f"The sound in {path} can't be blanked: {error}.", hint="Nothing was removed from it."
        ) from error
    finally:
        part.unlink(missing_ok=True)
