"""From the microphone to the sound journal: one thread that does nothing else and waits for nobody.

Recognition, database and screen may stall or die; what the device delivers goes to disk. The thread looks after the
device (gone and back), the disk's free space and the clock, and tells what happened in signs.
"""

from __future__ import annotations

import errno
import os
import shutil
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from queue import Empty, SimpleQueue

import numpy as np
import soxr

from benchvoice.app.live.signs import Gap, Level, RecordingStopped, SegmentDone, Sign, SpaceLow
from benchvoice.audio import segments as sj
from benchvoice.audio.blocks import RATE
from benchvoice.audio.microphone import Delivery, LiveSource
from benchvoice.audio.watch import Meter, SleepWatch, SpaceWatch
from benchvoice.errors import SoundError

GONE_SECONDS = 2.0
"""A device that delivers nothing for this long is gone, whatever its driver says."""
RETRY_SECONDS = 1.0
LOOK_SECONDS = 2.0
"""How often the disk and the clock are looked at."""
KEEP_BYTES = 4_000_000
"""What closing a sitting may need: the journal's last transactions and its checkpoint."""
RESERVE_BYTES = 4_000_000
"""Kept in a file from the start, so that closing works even if others fill the disk to the last byte."""
SEAM_SECONDS = 0.25
"""After an overflow, a segment is ended when its clock has fallen behind by more than this."""


def _going() -> float:
    return time.clock_gettime(time.CLOCK_BOOTTIME) if hasattr(time, "CLOCK_BOOTTIME") else time.time()


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocks:
    """Two clocks that differ by the time that the machine slept, and the free bytes of a folder's disk."""

    still: Callable[[], float] = time.monotonic
    going: Callable[[], float] = _going
    free: Callable[[Path], int] = lambda folder: shutil.disk_usage(folder).free


class Recording(threading.Thread):
    """Records `source` into `folder` until `stop` is called or the disk is full.

    `begin` is the time of the sitting at which it starts; one that is continued begins where its clock now stands.
    """

    def __init__(
        self,
        source: LiveSource,
        folder: Path,
        tell: Callable[[Sign], None],
        *,
        begin: float = 0.0,
        clocks: Clocks | None = None,
        sync_seconds: float = sj.SYNC_SECONDS,
        rotate_seconds: float = sj.ROTATE_SECONDS,
        refresh: Callable[[], None] | None = None,
    ) -> None:
        super().__init__(name="recording", daemon=True)
        self._source = source
        self._folder = folder
        self._tell = tell
        self._clocks = clocks or Clocks()
        self._sync_seconds = sync_seconds
        self._rotate_seconds = rotate_seconds
        self._refresh = refresh or (lambda: None)
        self._queue: SimpleQueue[Delivery] = SimpleQueue()
        self._stopping = threading.Event()
        self._paused = threading.Event()
        self._gave_up: str | None = None
        self._zero = self._clocks.going() - begin
        self._writer: sj.SegmentWriter | None = None
        self._resampler: soxr.ResampleStream | None = None
        self._end = begin
        self._meter = Meter(RATE)
        self._last_delivery = self._clocks.still()
        self._looked = self._clocks.still()
        self._sleep = SleepWatch(self._clocks.still(), self._clocks.going())
        self._space = SpaceWatch(RATE * sj.WIDTH, keep=KEEP_BYTES)
        self._warned = False
        self._gap: Gap | None = None
        self._overflowed = False
        self._overflow_told = -60.0
        self._overflows_untold = 0
        self.overflows = 0
        self._reserve = folder / "reserve"

    @property
    def until(self) -> float:
        """How far the sound on disk reaches."""
        return self._end

    def now(self) -> float:
        """The sitting's clock."""
        return self._clocks.going() - self._zero

    def stop(self) -> None:
        """Ask it to write what has come and end; `join` waits for that."""
        self._stopping.set()

    def give_up(self, why: str) -> None:
        """As `stop`, for a reason that is told with the end."""
        self._gave_up = why
        self._stopping.set()

    def pause(self, on: bool) -> None:
        """Let go of the microphone, or take it again. Nothing is recorded in between."""
        (self._paused.set if on else self._paused.clear)()

    def run(self) -> None:
        why, detail = "asked", ""
        try:
            self._set_aside()
            self._open_source()
            while not self._stopping.is_set():
                self._step()
            self._source.stop()
            self._drain()
            why = self._gave_up or why
        except _DiskFullError:
            why = "disk_full"
        except OSError as error:
            full = error.errno in (errno.ENOSPC, errno.EDQUOT)
            why, detail = ("disk_full", "") if full else ("failed", error.strerror or str(error))
        except Exception as error:
            # Whatever it was, what is on disk stays and the person must hear that nothing more is recorded.
            why, detail = "failed", f"{type(error).__name__}: {error}"
        finally:
            self._source.stop()
            self._reserve.unlink(missing_ok=True)
            self._flush_quietly()
            self._tell_overflows(force=True)
            if self._gap is not None:
                self._tell(Gap(t0=self._gap.t0, t1=self.now(), why=self._gap.why, detail=self._gap.detail))
            self._tell(RecordingStopped(until=self._end, why=why, detail=detail))

    # One step of the loop

    def _step(self) -> None:
        if self._paused.is_set() and (self._gap is None or self._gap.why != "hold"):
            self._source.stop()
            self._drain()
            self._break("hold")
        elif not self._paused.is_set() and self._gap is not None and self._gap.why == "hold":
            self._close_gap_by_opening()
        try:
            delivery = self._queue.get(timeout=0.1)
        except Empty:
            self._no_delivery()
        else:
            self._take(delivery)
        if self._clocks.still() - self._looked >= LOOK_SECONDS:
            self._look_round()

    def _no_delivery(self) -> None:
        if self._paused.is_set() or (self._gap is not None and self._gap.why == "hold"):
            return
        now = self._clocks.still()
        if not self._queue.empty():
            # It came while this thread was held up: the time since the last delivery says nothing about the device.
            return
        if self._gap is not None:
            if now - self._last_delivery >= RETRY_SECONDS:
                self._last_delivery = now
                self._reopen()
        elif not self._source.alive or now - self._last_delivery >= GONE_SECONDS:
            self._source.stop()
            self._drain()
            self._break("device_gone", self._source.name)

    def _take(self, delivery: Delivery) -> None:
        self._last_delivery = self._clocks.still()
        if self._gap is not None:
            self._tell(Gap(t0=self._gap.t0, t1=self.now(), why=self._gap.why, detail=self._gap.detail))
            self._gap = None
        if delivery.overflow:
            self.overflows += 1
            self._overflows_untold += 1
            self._overflowed = True
        if self._overflowed and self._queue.empty():
            # Only with an empty queue is "now" the time at which this sound was made.
            self._overflowed = False
            if self._writer is not None and self.now() - self._end > SEAM_SECONDS + self._in_delivery(delivery):
                self._end_segment()
        self._tell_overflows()
        self._write(delivery)

    def _write(self, delivery: Delivery) -> None:
        if self._writer is None:
            self._begin_segment(delivery)
        assert self._writer is not None
        samples = np.frombuffer(delivery.pcm[: len(delivery.pcm) - len(delivery.pcm) % 2], dtype="<i2")
        sound = samples if self._resampler is None else self._resampler.resample_chunk(samples)
        self._append(np.asarray(sound, dtype="<i2"))
        if self._writer is not None and self._writer.seconds >= self._rotate_seconds:
            self._end_segment(keep_resampler=True)

    def _append(self, sound: np.ndarray) -> None:
        assert self._writer is not None
        try:
            self._writer.append(sound.tobytes())
        finally:
            self._end = self._writer.start + self._writer.seconds
        if len(sound):
            loudness = self._meter.see(sound.astype(np.float32) / np.float32(32768.0))
            self._tell(Level(until=self._end, loudness=loudness))

    def _look_round(self) -> None:
        self._looked = self._clocks.still()
        room = self._space.look(self._clocks.free(self._folder))
        if room.out:
            raise _DiskFullError
        if room.low and not self._warned:
            self._tell(SpaceLow(minutes=room.minutes))
        self._warned = room.low
        slept = self._sleep.slept(self._clocks.still(), self._clocks.going())
        if slept and self._gap is None:
            # What was recorded lies before the sleep; what comes next gets the clock's time.
            self._end_segment()
            self._tell(Gap(t0=self._end, t1=self.now(), why="asleep", detail=f"{slept:.0f} s"))

    # Segments

    def _begin_segment(self, delivery: Delivery) -> None:
        start = max(0.0, self.now() - self._in_delivery(delivery))
        joins = self._resampler is not None
        if joins or abs(start - self._end) < SEAM_SECONDS:
            start = self._end
        elif start < self._end:
            start = self._end + 0.001
        if not joins and self._source.rate != RATE:
            self._resampler = soxr.ResampleStream(self._source.rate, RATE, 1, dtype="int16", quality="HQ")
        start = sj.free_start(self._folder, start)
        self._writer = sj.SegmentWriter(self._folder, start=start, rate=RATE, sync_seconds=self._sync_seconds)

    def _end_segment(self, *, keep_resampler: bool = False) -> None:
        writer = self._writer
        if writer is not None and self._resampler is not None and not keep_resampler:
            last = self._resampler.resample_chunk(np.zeros(0, dtype="<i2"), last=True)
            self._append(np.asarray(last, dtype="<i2"))
        if not keep_resampler:
            self._resampler = None
        self._writer = None
        if writer is not None:
            segment = writer.close()
            self._end = segment.end
            if segment.samples:
                self._tell(SegmentDone(segment=segment))
            else:
                segment.path.unlink(missing_ok=True)

    def _flush_quietly(self) -> None:
        """End the segment whatever state the disk is in; the file is complete with or without its last few samples."""
        try:
            self._end_segment()
        except OSError:
            self._writer, self._resampler = None, None

    def _drain(self) -> None:
        while not self._queue.empty():
            self._write(self._queue.get())

    # The device

    def _open_source(self) -> None:
        try:
            self._source.start(self._queue)
        except SoundError as error:
            self._gap = Gap(t0=self._end, t1=None, why="device_gone", detail=error.what)
            self._tell(self._gap)
        self._last_delivery = self._clocks.still()

    def _break(self, why: str, detail: str = "") -> None:
        """The sound is over for now."""
        self._end_segment()
        self._gap = Gap(t0=self._end, t1=None, why=why, detail=detail)
        self._tell(self._gap)
        self._last_delivery = self._clocks.still()

    def _reopen(self) -> None:
        try:
            self._refresh()
            self._source.start(self._queue)
        except SoundError:
            self._source.stop()

    def _close_gap_by_opening(self) -> None:
        self._reopen()
        self._last_delivery = self._clocks.still()
        assert self._gap is not None
        self._tell(Gap(t0=self._gap.t0, t1=self.now(), why="hold"))
        self._gap = None

    # Small things

    def _in_delivery(self, delivery: Delivery) -> float:
        return len(delivery.pcm) / sj.WIDTH / self._source.rate

    def _tell_overflows(self, *, force: bool = False) -> None:
        now = self._end
        if self._overflows_untold and (force or now - self._overflow_told >= 10.0):
            count, self._overflows_untold, self._overflow_told = self._overflows_untold, 0, now
            self._tell(Gap(t0=now, t1=now, why="overflow", detail=f"{count} times"))

    def _set_aside(self) -> None:
        if self._clocks.free(self._folder) < RESERVE_BYTES + 2 * KEEP_BYTES:
            raise _DiskFullError
        file = os.open(self._reserve, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        try:
            if hasattr(os, "posix_fallocate"):
                os.posix_fallocate(file, 0, RESERVE_BYTES)
            else:
                os.write(file, b"\1" * RESERVE_BYTES)
        finally:
            os.close(file)


class _DiskFullError(Exception):
    """There is just enough room left to close properly."""
