"""Where an utterance begins and ends: hysteresis over speech chances, no sound, no clock.

Time is counted in frames of 10 ms. A stretch opens when enough frames of a short window hold speech, reaches back over
what led up to it, and closes after a pause. A stretch that grows too long is cut at the longest pause in its second
half. What lies between two stretches never held speech for as long as it takes to open one, so nothing is lost at the
seams.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

FRAME_SECONDS = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Pauses:
    """Thresholds, in seconds unless said otherwise."""

    speaks_above: float = 0.5
    """Chance from which a frame counts as speech while nobody speaks."""
    speaks_on_above: float = 0.25
    """The same within a stretch: trailing sounds are weak."""
    onset_window: float = 0.2
    onset: float = 0.1
    """Speech within the window that opens a stretch."""
    pause: float = 0.45
    """Silence that closes it."""
    lead: float = 0.3
    """Sound before the onset that belongs to it: soft first sounds."""
    tail: float = 0.3
    """Sound after the last speech that belongs to it; less than the pause."""
    longest: float = 18.0
    """A stretch is cut when it gets longer than this."""
    shortest_cut: float = 0.08
    """The shortest pause that an over-long stretch may be cut at; without one it is cut where it is."""

    def __post_init__(self) -> None:
        if not 0 < self.tail <= self.pause or self.onset > self.onset_window or self.longest < 2.0:
            raise ValueError("pauses don't fit one another")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A closed stretch, in frames from the start of the sound: [start, end), with the speech in it at [first, last)."""

    start: int
    end: int
    first: int
    last: int


def _frames(seconds: float) -> int:
    return round(seconds / FRAME_SECONDS)


@dataclass(slots=True)
class Endpointer:
    """Feed speech chances in order, get stretches as they close. `finish` closes what is open."""

    pauses: Pauses = field(default_factory=Pauses)
    _at: int = 0
    _window: deque[bool] = field(default_factory=deque)
    _first: int | None = None
    _last: int = 0
    _gaps: list[tuple[int, int]] = field(default_factory=list)
    _free: int = 0

    @property
    def open_since(self) -> int | None:
        """First frame of the stretch that is open now, lead included."""
        return None if self._first is None else self._start(self._first)

    @property
    def quiet(self) -> int:
        """Frames of silence since the last speech of the open stretch."""
        return 0 if self._first is None else self._at - self._last

    def so_far(self) -> Mark | None:
        """The open stretch as it would be if it closed now, None while nobody speaks."""
        if self._first is None or self._last <= self._first:
            return None
        end = min(self._at, self._last + _frames(self.pauses.tail))
        return Mark(start=self._start(self._first), end=end, first=self._first, last=self._last)

    def feed(self, chances: Sequence[float]) -> list[Mark]:
        """The stretches that close within these frames."""
        return [mark for chance in chances for mark in self._step(float(chance))]

    def finish(self) -> list[Mark]:
        marks = list(self._close(self._last))
        self._window.clear()
        return marks

    def _step(self, chance: float) -> Iterator[Mark]:
        at, pauses = self._at, self.pauses
        self._at += 1
        if self._first is None:
            self._wait(chance)
        elif chance >= pauses.speaks_on_above:
            if at > self._last:
                self._gaps.append((self._last, at))
            self._last = self._at
            if self._last - self._first >= _frames(pauses.longest):
                yield self._cut()
        elif self._at - self._last >= _frames(pauses.pause):
            yield from self._close(self._last)

    def _wait(self, chance: float) -> None:
        """Opens a stretch once the window holds enough speech."""
        self._window.append(chance >= self.pauses.speaks_above)
        if len(self._window) > _frames(self.pauses.onset_window):
            self._window.popleft()
        if sum(self._window) >= _frames(self.pauses.onset):
            self._first = self._at - len(self._window) + self._window.index(True)
            self._last = self._at
            self._gaps = []
            self._window.clear()

    def _start(self, first: int) -> int:
        return max(self._free, first - _frames(self.pauses.lead))

    def _close(self, last: int) -> Iterator[Mark]:
        """Nothing if no speech came after a cut without a pause."""
        first, self._first, self._gaps = self._first, None, []
        if first is not None and last > first:
            end = min(self._at, last + _frames(self.pauses.tail))
            yield Mark(start=self._start(first), end=end, first=first, last=last)
            self._free = end

    def _cut(self) -> Mark:
        """Cuts an over-long stretch in the middle of its longest later pause and goes on with the rest."""
        assert self._first is not None
        half = self._first + _frames(self.pauses.longest) // 2
        later = [gap for gap in self._gaps if gap[0] >= half and gap[1] - gap[0] >= _frames(self.pauses.shortest_cut)]
        ends, goes_on = max(later, key=lambda gap: gap[1] - gap[0]) if later else (self._last, self._last)
        middle = (ends + goes_on) // 2
        mark = Mark(start=self._start(self._first), end=middle, first=self._first, last=ends)
        self._gaps = [gap for gap in self._gaps if gap[0] >= goes_on]
        self._first, self._free = goes_on, middle
        return mark
