"""Events become a record: the one place that says what an event does.

`fold` is pure: the same events give the same record, always. An undone event counts as if it had never been made, so
undoing everything returns exactly the start. `RunningFold` is the same computation kept going, for a screen that
follows a sitting: what is added is applied at once, an undo folds the events that still count again.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable

from benchvoice.domain.events import CORRECTIONS, Event, Redone, Undone
from benchvoice.domain.record import Record
from benchvoice.domain.state import State

SAVE_EVERY = 16
"""Events between two kept copies of the state."""
SAVED = 8
"""Copies kept: undoing the last hundred steps stays quick, going further back folds from the start."""


def fold(events: Iterable[Event]) -> Record:
    """The record of one engine from its events, in the order of their ids."""
    running = RunningFold()
    running.advance(events)
    return running.record()


class RunningFold:
    """A fold that can be carried on. Events must come in the order of their ids; one that came already is passed
    over.
    """

    def __init__(self) -> None:
        self._events: list[Event] = []
        self._undone: set[int] = set()
        self._batches: dict[int, list[int]] = {}
        self._undoable: list[int] = []
        self._redoable: list[int] = []
        self._state = State()
        self._saved: list[tuple[int, State]] = []
        """Copies of the state before some of the last corrections, each with how many events it holds."""
        self._record: Record | None = None
        self.last_event = 0

    def advance(self, events: Iterable[Event]) -> None:
        """Take further events in."""
        again: list[int] = []
        for event in events:
            if event.id <= self.last_event:
                continue
            self.last_event = event.id
            self._record = None
            if isinstance(event.body, Undone):
                again += self._undo(event.body.event)
            elif isinstance(event.body, Redone):
                again += self._redo(event.body.event)
            else:
                if not again and isinstance(event.body, CORRECTIONS):
                    self._save()
                self._keep(event)
                if not again:
                    self._state.apply(event)
        if again:
            self._again_from(min(again))

    def record(self) -> Record:
        """The record as it stands; later events leave it as it is."""
        if self._record is None:
            self._record = self._state.record(
                undoable=tuple(self._undoable), redoable=tuple(self._redoable), last_event=self.last_event
            )
        return self._record

    def _save(self) -> None:
        """Keep a copy of the state now and then, so that an undo of a late step needn't begin at the beginning."""
        if not self._saved or len(self._events) - self._saved[-1][0] >= SAVE_EVERY:
            self._saved.append((len(self._events), self._state.copy()))
            del self._saved[:-SAVED]

    def _again_from(self, event: int) -> None:
        """Apply again what counts, from the newest kept state that was made before `event`."""
        at = bisect_left(self._events, event, key=lambda item: item.id)
        while self._saved and self._saved[-1][0] > at:
            self._saved.pop()
        begin, state = self._saved[-1] if self._saved else (0, State())
        before, self._state = self._state, state.copy()
        for item in self._events[begin:]:
            if item.id not in self._undone:
                self._state.apply(item)
        self._state.keep_same(before)

    def _keep(self, event: Event) -> None:
        self._events.append(event)
        if isinstance(event.body, CORRECTIONS):
            self._undoable.append(event.id)
            self._redoable.clear()
            if event.batch is not None:
                self._batches.setdefault(event.batch, []).append(event.id)

    def _together(self, event: int) -> list[int]:
        """The events that one keystroke made with this one."""
        for members in self._batches.values():
            if event in members:
                return members
        return [event]

    def _undo(self, event: int) -> list[int]:
        undone = [item for item in self._together(event) if item in self._undoable]
        for item in undone:
            self._undoable.remove(item)
            self._redoable.append(item)
        self._undone.update(undone)
        return undone

    def _redo(self, event: int) -> list[int]:
        redone = [item for item in self._together(event) if item in self._redoable]
        for item in redone:
            self._redoable.remove(item)
            insort(self._undoable, item)
        self._undone.difference_update(redone)
        return redone
