"""The sound of a film or of any sound file, as one array: what an alignment needs.

Sound files are read as everywhere else. Films (MP4, MOV, MKV ...) are decoded with PyAV, which brings its own codecs
and is imported here only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.files import probe, read_blocks
from benchvoice.errors import SoundError


def film_sound(path: Path, *, on_progress: Callable[[float], None] | None = None) -> Samples:
    """Mono samples at RATE from the film's beginning on. Raises SoundError for a file without readable sound.

    If a film's sound starts later than its picture, the time before is silence: seconds are seconds of the film.
    """
    tell = on_progress or (lambda share: None)
    try:
        seconds = probe(path).seconds
    except SoundError:
        if not path.is_file() or path.stat().st_size == 0:
            raise
        return _joined(_decoded(path, tell))
    return _joined(_told(read_blocks(path), seconds, tell))


def _joined(blocks: Iterator[Samples]) -> Samples:
    pieces = list(blocks)
    return np.concatenate(pieces) if pieces else np.zeros(0, np.float32)


def _told(blocks: Iterator[Samples], seconds: float | None, tell: Callable[[float], None]) -> Iterator[Samples]:
    done = 0
    for block in blocks:
        done += len(block)
        tell(min(1.0, done / RATE / seconds) if seconds else 0.0)
        yield block


def _decoded(path: Path, tell: Callable[[float], None]) -> Iterator[Samples]:
    try:
        import av
    except ImportError as error:
        raise SoundError(
            f"{path} is not a sound file, and reading films needs the package av.",
            hint="pip install av, or save the film's sound as WAV or FLAC and give that.",
        ) from error
    try:
        with av.open(str(path)) as film:
            if not film.streams.audio:
                raise SoundError(f"{path} has no sound.", hint="Give the film with its sound.")
            stream = film.streams.audio[0]
            length = float(film.duration or 0) / av.time_base
            resampler = av.AudioResampler(format="s16", layout="mono", rate=RATE)
            first = True
            for frame in film.decode(stream):
                if first and frame.time:
                    yield np.zeros(round(max(0.0, frame.time) * RATE), np.float32)
                first = False
                tell(min(1.0, (frame.time or 0.0) / length) if length else 0.0)
                yield from map(_samples, resampler.resample(frame))
            yield from map(_samples, resampler.resample(None))
    except (av.error.FFmpegError, OSError, ValueError) as error:
        raise SoundError(
            f"{path} can't be read as a film or sound file.", hint="Save its sound as WAV or FLAC and give that."
        ) from error


def _samples(frame: Any) -> Samples:
    return np.asarray(frame.to_ndarray().reshape(-1) / np.float32(32768.0), dtype=np.float32)
