"""What a screen may ask for. Screens send these up; only the app touches the record."""

from __future__ import annotations

from collections.abc import Sequence

from textual.message import Message

from benchvoice.app.log import Key, Row
from benchvoice.domain.findings import Finding, Place
from benchvoice.domain.record import Entry


class Accept(Message):
    """Everything in these rows is right."""

    def __init__(self, rows: Sequence[Row]) -> None:
        self.rows = tuple(rows)
        super().__init__()


class Drop(Message):
    def __init__(self, entries: Sequence[Entry], reason: str = "") -> None:
        self.entries = tuple(entries)
        self.reason = reason
        super().__init__()


class Reword(Message):
    """Other words for an utterance."""

    def __init__(self, row: Row, text: str) -> None:
        self.row = row
        self.text = text
        super().__init__()


class Correct(Message):
    """Another finding in the place of one."""

    def __init__(self, entry: Entry, after: Finding) -> None:
        self.entry = entry
        self.after = after
        super().__init__()


class Move(Message):
    """Other numbers or sides for the places of all these findings; keys that are set in `to` replace theirs."""

    def __init__(self, entries: Sequence[Entry], to: Place) -> None:
        self.entries = tuple(entries)
        self.to = to
        super().__init__()


class Add(Message):
    """A finding by hand, on an utterance or on none."""

    def __init__(self, finding: Finding, row: Row | None) -> None:
        self.finding = finding
        self.row = row
        super().__init__()


class Split(Message):
    """One utterance was two; the second begins with the word `at`."""

    def __init__(self, row: Row, at: int) -> None:
        self.row = row
        self.at = at
        super().__init__()


class Join(Message):
    """An utterance and the one after it were one."""

    def __init__(self, row: Row, after: Row) -> None:
        self.row = row
        self.after = after
        super().__init__()


class Settle(Message):
    """A decision about two findings that can't both be true: "first", "second" or "both" with a reason."""

    def __init__(self, first: Entry, second: Entry, decision: str, reason: str = "") -> None:
        self.first = first
        self.second = second
        self.decision = decision
        self.reason = reason
        super().__init__()


class LeaveOut(Message):
    """A part and place is not looked at, on purpose."""

    def __init__(self, part: str, place: Place, reason: str) -> None:
        self.part = part
        self.place = place
        self.reason = reason
        super().__init__()


class FileIt(Message):
    """Seal a revision. `anyway`: although findings wait for a decision."""

    def __init__(self, by: str, *, anyway: bool = False) -> None:
        self.by = by
        self.anyway = anyway
        super().__init__()


class Hear(Message):
    """Play an utterance, half a second either side; speed 1 is as it was said."""

    def __init__(self, row: Row, speed: float = 1.0) -> None:
        self.row = row
        self.speed = speed
        super().__init__()


class Undo(Message):
    pass


class Redo(Message):
    pass


class Heard(Message):
    """A row's sound was played, or could not be: then `problem` says why. `level` is 0..1 along its time."""

    def __init__(self, key: Key, level: tuple[float, ...], problem: str = "") -> None:
        self.key = key
        self.level = level
        self.problem = problem
        super().__init__()
