"""Sound files of any rate and any number of channels as a stream of blocks.

soundfile reads WAV, FLAC, OGG and what else libsndfile knows; soxr resamples as it goes, so memory stays flat
however long the recording is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
import soxr

from benchvoice.audio.blocks import RATE, Samples
from benchvoice.errors import SoundError

READ_SECONDS = 0.5
_LOUDEST = 8.0
"""Float files may exceed full scale; beyond this factor they are taken for damaged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundInfo:
    """What a file's header says. `seconds` is None where the header doesn't know (a recording that was cut off)."""

    path: Path
    rate: int
    channels: int
    seconds: float | None
    kind: str


def probe(path: str | Path) -> SoundInfo:
    """Header of a sound file. Raises SoundError for one that is missing, empty or not sound."""
    with _opened(Path(path)) as sound:
        return _info(Path(path), sound)


def read_blocks(path: str | Path) -> Iterator[Samples]:
    """Blocks of mono sound at RATE, about half a second each.

    A file that ends early (a truncated one) gives what is there and then raises SoundError, unless nothing could be
    read at all: then it raises at once.
    """
    where = Path(path)
    with _opened(where) as sound:
        info = _info(where, sound)
        resample = soxr.ResampleStream(info.rate, RATE, 1, dtype="float32") if info.rate != RATE else None
        size = max(1, int(info.rate * READ_SECONDS))
        got = 0
        while True:
            try:
                raw = sound.read(size, dtype="float32", always_2d=True)
            except (RuntimeError, soundfile.SoundFileError) as error:
                raise _broken(where, got / info.rate) from error
            got += len(raw)
            mono = _mono(raw)
            block = mono if resample is None else resample.resample_chunk(mono, last=not len(raw))
            if len(block):
                yield block
            if not len(raw):
                break
        if not got:
            raise SoundError(f"{where} holds no sound.", hint="Record it again, or give another file.")
        if info.seconds is not None and got < 0.98 * info.seconds * info.rate:
            raise _broken(where, got / info.rate)


def _opened(path: Path) -> soundfile.SoundFile:
    if not path.exists():
        raise SoundError(f"There is no sound file {path}.", hint="Check the path.")
    if path.is_dir():
        raise SoundError(f"{path} is a folder, not a sound file.", hint="Name the file in it.")
    try:
        if path.stat().st_size == 0:
            raise SoundError(f"{path} is empty.", hint="Record it again, or give another file.")
        return soundfile.SoundFile(str(path))
    except (RuntimeError, soundfile.SoundFileError) as error:
        raise SoundError(
            f"{path} can't be read as sound.", hint="Give a WAV, FLAC or OGG file that is complete."
        ) from error
    except OSError as error:
        raise SoundError(f"{path} can't be opened: {error.strerror}.", hint="Check its permissions.") from error


def _info(path: Path, sound: soundfile.SoundFile) -> SoundInfo:
    frames = int(sound.frames)
    known = 0 < frames < 2**62
    return SoundInfo(
        path=path,
        rate=int(sound.samplerate),
        channels=int(sound.channels),
        seconds=frames / sound.samplerate if known else None,
        kind=f"{sound.format} {sound.subtype}",
    )


def _broken(path: Path, seconds: float) -> SoundError:
    return SoundError(
        f"{path} breaks off after {seconds:.1f} s.",
        hint="What came before was heard; repair the file or record the rest again.",
    )


def _mono(raw: Samples) -> Samples:
    """Mean of the channels; samples that are not numbers become silence."""
    mono = raw[:, 0] if raw.shape[1] == 1 else raw.mean(axis=1, dtype=np.float32)
    clean = np.nan_to_num(mono, nan=0.0, posinf=0.0, neginf=0.0)
    return np.ascontiguousarray(np.clip(clean, -_LOUDEST, _LOUDEST), dtype=np.float32)
