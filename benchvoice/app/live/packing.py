"""The files of a sitting's sound journal on their way into the record: heard, packed in the background, entered."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor

from benchvoice import paths
from benchvoice.audio import segments as sj
from benchvoice.domain.events import SoundKept
from benchvoice.errors import SoundError


class Packing:
    """Packs what was gone through, on a thread of its own. `pack` False: enters the files as they are."""

    def __init__(self, sitting: str, *, pack: bool) -> None:
        self._sitting = sitting
        self._pack = pack
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="packing")
        self._waiting: list[sj.Segment] = []
        self._working: list[Future[SoundKept]] = []

    def add(self, segment: sj.Segment) -> None:
        """A file that is complete, but perhaps not heard yet."""
        self._waiting.append(segment)

    def heard_up_to(self, until: float) -> None:
        """Everything before this time was gone through: those files may be packed."""
        for segment in [segment for segment in self._waiting if segment.end <= until]:
            self._waiting.remove(segment)
            self._working.append(self._pool.submit(self._enter, segment))

    def done(self, *, wait: bool = False) -> Iterator[SoundKept]:
        """The events of the files that are ready, each once; `wait`: of all that were begun."""
        for work in [work for work in self._working if wait or work.done()]:
            event = work.result()
            yield event
            # Only now: an event that could not be kept is offered again.
            self._working.remove(work)

    def close(self) -> None:
        self._pool.shutdown(wait=True)

    def _enter(self, segment: sj.Segment) -> SoundKept:
        if self._pack:
            # What can't be packed stays what it was, a WAV that can be played.
            with contextlib.suppress(SoundError):
                segment = sj.pack(segment)
        data = paths.data()
        path = segment.path.relative_to(data) if segment.path.is_relative_to(data) else segment.path
        return SoundKept(
            sitting=self._sitting,
            path=str(path),
            start=segment.start,
            seconds=round(segment.seconds, 4),
            rate=segment.rate,
            sha256=sj.fingerprint(segment.path),
        )
