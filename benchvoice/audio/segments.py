"""The sound journal: what the microphone heard, on disk as it comes.

A sitting's folder holds segments: WAV files, 16-bit mono, named by the millisecond of the sitting at which they start.
Their header is brought up to date behind every write, so that at any moment the file is a complete, ordinary WAV: after
a crash or a power cut nothing has to be repaired to play it, and `repair` only adds the last write's samples to the
header. A segment ends when an hour is full or the sound breaks off; then it may be packed into FLAC.

How much can be lost: a killed process loses what it had not yet written (the caller's buffer), a power cut what was not
yet synced, which is at most `sync_seconds` more.
"""

from __future__ import annotations

import hashlib
import os
import struct
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import soundfile

from benchvoice.errors import SoundError

HEADER = 44
WIDTH = 2
"""Bytes of a sample."""
ROTATE_SECONDS = 3600.0
SYNC_SECONDS = 0.5
PACKED, OPEN = ".flac", ".wav"


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """A file of the sound journal. `start` in seconds of the sitting."""

    path: Path
    start: float
    rate: int
    samples: int

    @property
    def seconds(self) -> float:
        return self.samples / self.rate

    @property
    def end(self) -> float:
        return self.start + self.seconds


def folder_for(base: Path, sitting: str) -> Path:
    """The sitting's folder, made with mode 0700."""
    folder = base / sitting
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder


def name_of(start: float) -> str:
    """File name of a segment that starts at `start` seconds; sorting names sorts times."""
    return f"{round(start * 1000):011d}"


def free_start(folder: Path, start: float) -> float:
    """`start`, or the first millisecond after it at which no segment begins yet, written or packed."""
    start = round(start, 3)
    while any((folder / (name_of(start) + kind)).exists() for kind in (OPEN, PACKED)):
        start = round(start + 0.001, 3)
    return start


class SegmentWriter:
    """Appends PCM to one segment. Not for two threads at once.

    Raises OSError as the system gives it (a full disk above all); the file is complete and playable then too.
    """

    def __init__(
        self,
        folder: Path,
        *,
        start: float,
        rate: int,
        sync_seconds: float = SYNC_SECONDS,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.path = folder / (name_of(start) + OPEN)
        self.start = start
        self.rate = rate
        self.samples = 0
        self._sync_seconds = sync_seconds
        self._clock = clock
        self._file = os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o600)
        try:
            os.pwrite(self._file, _header(rate, 0), 0)
            os.fsync(self._file)
            _sync_folder(folder)
        except OSError:
            os.close(self._file)
            self.path.unlink(missing_ok=True)
            raise
        self._synced = clock()

    @property
    def seconds(self) -> float:
        return self.samples / self.rate

    def append(self, pcm: bytes) -> None:
        """Whole samples go to the file before this returns. What didn't fit in on a full disk is not in the file."""
        view = memoryview(pcm)[: len(pcm) - len(pcm) % WIDTH]
        at = HEADER + self.samples * WIDTH
        done = 0
        try:
            while done < len(view):
                done += os.pwrite(self._file, view[done:], at + done)
        finally:
            self.samples += done // WIDTH
            self._set_size()
        if self._clock() - self._synced >= self._sync_seconds:
            self.sync()

    def sync(self) -> None:
        """Ask the system to put all of it on the disk now."""
        os.fdatasync(self._file)
        self._synced = self._clock()

    def close(self) -> Segment:
        try:
            os.ftruncate(self._file, HEADER + self.samples * WIDTH)
            self._set_size()
            os.fsync(self._file)
        finally:
            os.close(self._file)
        return Segment(path=self.path, start=self.start, rate=self.rate, samples=self.samples)

    def _set_size(self) -> None:
        # Both sizes lie in the first 44 bytes, in one block of any disk: they change together.
        os.pwrite(self._file, _header(self.rate, self.samples), 0)


def segments(folder: Path) -> list[Segment]:
    """All segments of a sitting in order, whatever their headers say about their length; broken ones are left out."""
    found: dict[str, Segment] = {}
    for path in sorted(folder.glob("*")):
        if path.suffix in (OPEN, PACKED) and path.stem.isdigit():
            segment = _look(path)
            # A crash between packing and removing leaves both; the packed one was verified before it got its name.
            if segment is not None and (path.suffix == PACKED or path.stem not in found):
                found[path.stem] = segment
    return sorted(found.values(), key=lambda segment: segment.start)


def repair(folder: Path) -> list[Segment]:
    """Bring every header up to its file's length and clear away leftovers; gives the segments.

    Called at the next start after a crash, while nobody records into the folder.
    """
    for path in sorted(folder.glob("*" + OPEN)):
        size = path.stat().st_size
        if path.with_suffix(PACKED).exists() or size <= HEADER:
            path.unlink()
            continue
        segment = _look(path)
        if segment is None:
            continue
        samples = segment.samples
        with path.open("r+b") as file:
            file.seek(0)
            file.write(_header(segment.rate, samples))
            file.truncate(HEADER + samples * WIDTH)
            file.flush()
            os.fsync(file.fileno())
    for leftover in folder.glob("*.part"):
        leftover.unlink()
    return segments(folder)


def pack(segment: Segment) -> Segment:
    """The segment as FLAC, about half the size. The WAV goes only after the FLAC on disk was read back and is equal.

    Raises SoundError if it can't be done; then the WAV is what it was.
    """
    if segment.path.suffix == PACKED:
        return segment
    part, packed = segment.path.with_suffix(".part"), segment.path.with_suffix(PACKED)
    try:
        with os.fdopen(os.open(part, os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_CLOEXEC, 0o600), "r+b") as file:
            before = _transcode(segment, file)
            os.fsync(file.fileno())
        if _digest(part) != before:
            raise SoundError(f"{segment.path} could not be packed.", hint="It is kept as it is.")
        os.replace(part, packed)
        _sync_folder(packed.parent)
    except (OSError, RuntimeError, soundfile.SoundFileError) as error:
        raise SoundError(f"{segment.path} could not be packed: {error}.", hint="It is kept as it is.") from error
    finally:
        part.unlink(missing_ok=True)
    segment.path.unlink()
    return Segment(path=packed, start=segment.start, rate=segment.rate, samples=segment.samples)


def fingerprint(path: Path) -> str:
    """SHA-256 of a file, hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _transcode(segment: Segment, file: object) -> str:
    digest = hashlib.sha256()
    with (
        soundfile.SoundFile(str(segment.path)) as source,
        soundfile.SoundFile(file, "w", samplerate=segment.rate, channels=1, format="FLAC", subtype="PCM_16") as target,
    ):
        for block in source.blocks(blocksize=65_536, dtype="int16"):
            digest.update(block.tobytes())
            target.write(block)
    return digest.hexdigest()


def _digest(path: Path) -> str:
    digest = hashlib.sha256()
    with soundfile.SoundFile(str(path)) as source:
        for block in source.blocks(blocksize=65_536, dtype="int16"):
            digest.update(block.tobytes())
    return digest.hexdigest()


def _look(path: Path) -> Segment | None:
    start = int(path.stem) / 1000
    try:
        if path.suffix == OPEN:
            with path.open("rb") as file:
                rate = _rate(file.read(HEADER))
            samples = max(0, path.stat().st_size - HEADER) // WIDTH
        else:
            info = soundfile.info(str(path))
            rate, samples = info.samplerate, info.frames
    except (OSError, RuntimeError, SoundError, soundfile.SoundFileError):
        return None
    return Segment(path=path, start=start, rate=rate, samples=samples) if samples else None


def _header(rate: int, samples: int) -> bytes:
    """A canonical WAV header: RIFF, one fmt chunk (PCM, mono, 16 bit), one data chunk."""
    size = samples * WIDTH
    return struct.pack(
        "<4sI4s4sIHHIIHH4sI",
        b"RIFF",
        36 + size,
        b"WAVE",
        b"fmt ",
        16,
        1,
        1,
        rate,
        rate * WIDTH,
        WIDTH,
        16,
        b"data",
        size,
    )


def _rate(header: bytes) -> int:
    if len(header) < HEADER or header[:4] != b"RIFF":
        raise SoundError("A segment of the sound journal has no header.", hint="Keep the file and look at it by hand.")
    return int(struct.unpack_from("<I", header, 24)[0])


def _sync_folder(folder: Path) -> None:
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
