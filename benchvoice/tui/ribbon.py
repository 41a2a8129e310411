"""The whole sitting in one column: where the doubts lie, what is done, and which stretch is in view."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from benchvoice.app.log import Row, RowState

DOUBT, WAITS, DONE, QUIET = "▪", "│", "┃", "╎"


class Ribbon(Widget):
    """A column as high as the list. Each cell stands for a slice of the rows and shows the gravest of them."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "ribbon--doubt", "ribbon--waits", "ribbon--done", "ribbon--quiet", "ribbon--view",
    }  # fmt: skip

    view: reactive[tuple[int, int]] = reactive((0, 0))
    """First and last row in view."""

    class Sought(Message):
        """A place on the ribbon was clicked: go to this row."""

        def __init__(self, index: int) -> None:
            self.index = index
            super().__init__()

    def __init__(self) -> None:
        super().__init__()
        self._rows: Sequence[Row] = ()
        self._cells: list[str] = []

    def show(self, rows: Sequence[Row]) -> None:
        self._rows = rows
        self._cells = self._summary()
        self.refresh()

    def on_resize(self) -> None:
        self._cells = self._summary()
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        if self._rows and self.size.height:
            self.post_message(self.Sought(min(len(self._rows) - 1, event.y * len(self._rows) // self.size.height)))

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        if y >= len(self._cells):
            return Strip.blank(width, self.rich_style)
        cell = self._cells[y]
        name = {DOUBT: "doubt", WAITS: "waits", DONE: "done", QUIET: "quiet"}[cell]
        style = self.rich_style + self.get_component_rich_style(f"ribbon--{name}", partial=True)
        first, last = self._slice(y)
        if first <= self.view[1] and last > self.view[0]:
            style += self.get_component_rich_style("ribbon--view", partial=True)
        return Strip([Segment(cell.rjust(width - 1).ljust(width), style)])

    def _height(self) -> int:
        return min(self.size.height, len(self._rows))

    def _slice(self, y: int) -> tuple[int, int]:
        height = max(1, self._height())
        return y * len(self._rows) // height, max(
            1 + y * len(self._rows) // height, (y + 1) * len(self._rows) // height
        )

    def _summary(self) -> list[str]:
        return [_gravest(self._rows[slice(*self._slice(y))]) for y in range(self._height())]


def _gravest(rows: Sequence[Row]) -> str:
    if any(row.doubts for row in rows):
        return DOUBT
    states = {row.state for row in rows}
    if RowState.WAITS in states:
        return WAITS
    return DONE if RowState.SETTLED in states else QUIET
