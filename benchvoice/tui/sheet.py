"""The squares of the engine: parts down, positions across, a shape and a word in each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from benchvoice.app.glance import Block, Seen, Square
from benchvoice.tui.marks import of_seen, plain

LABEL = 20
WIDE, NARROWEST = 12, 3
AXES = {"cylinder": "by cylinder", "journal": "by main journal", "bank": "by bank", "engine": "the rest"}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """One line of the sheet: a heading, or a part with its squares."""

    block: Block
    heading: str = ""
    label: str = ""
    squares: tuple[Square | None, ...] = ()


class Sheet(ScrollView, can_focus=True, inherit_bindings=False):
    """Draws blocks of squares with a cursor that moves both ways."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "sheet--heading", "sheet--label", "sheet--cursor", "sheet--not_looked_at", "sheet--in_part",
        "sheet--looked_at", "sheet--measured", "sheet--bad", "sheet--left", "sheet--gone",
    }  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1,0)", "up", show=False),
        Binding("down", "move(1,0)", "down", show=False),
        Binding("left", "move(0,-1)", "left", show=False),
        Binding("right", "move(0,1)", "right", show=False),
        Binding("pageup", "move(-10,0)", "a page up", show=False),
        Binding("pagedown", "move(10,0)", "a page down", show=False),
        Binding("enter", "choose", "what was said"),
    ]

    at: reactive[tuple[int, int]] = reactive((0, 0))
    """Line and column of the cursor."""

    class Moved(Message):
        def __init__(self, square: Square | None) -> None:
            self.square = square
            super().__init__()

    class Chosen(Message):
        def __init__(self, square: Square) -> None:
            self.square = square
            super().__init__()

    def __init__(self, title: Callable[[str], str]) -> None:
        super().__init__()
        self._title = title
        self._lines: list[_Drawn] = []

    def show(self, blocks: Sequence[Block]) -> None:
        lines: list[_Drawn] = []
        for block in blocks:
            groups = any(column.group for column in block.columns)
            lines += [_Drawn(block=block, heading="group")] if groups else []
            lines.append(_Drawn(block=block, heading="numbers"))
            for line in block.lines:
                label = " ".join(filter(None, (line.detail, self._title(line.part))))
                lines.append(_Drawn(block=block, label=label, squares=line.squares))
            lines.append(_Drawn(block=block, heading="gap"))
        self._lines = lines
        self.virtual_size = Size(self.size.width, len(lines))
        if self.square is None:
            self.at = next(((i, 0) for i, line in enumerate(lines) if line.squares), (0, 0))
        self.refresh()
        self.post_message(self.Moved(self.square))

    @property
    def square(self) -> Square | None:
        line, column = self.at
        if not 0 <= line < len(self._lines):
            return None
        squares = self._lines[line].squares
        return squares[column] if column < len(squares) else None

    def watch_at(self) -> None:
        top, height = self.scroll_offset.y, max(1, self.size.height)
        if self.at[0] < top + 1:
            self.scroll_to(y=max(0, self.at[0] - 2), animate=False)
        elif self.at[0] >= top + height:
            self.scroll_to(y=self.at[0] - height + 1, animate=False)
        self.refresh()
        self.post_message(self.Moved(self.square))

    def action_move(self, down: int, across: int) -> None:
        line, column = self.at
        if down:
            stops = [i for i, drawn in enumerate(self._lines) if drawn.squares]
            if not stops:
                return
            here = stops.index(line) if line in stops else 0
            line = stops[max(0, min(here + down, len(stops) - 1))]
        width = len(self._lines[line].squares) if line < len(self._lines) else 0
        self.at = (line, max(0, min(column + across, width - 1)))

    def action_choose(self) -> None:
        if self.square is not None:
            self.post_message(self.Chosen(self.square))

    def on_click(self, event: events.Click) -> None:
        line = event.y + self.scroll_offset.y
        if line >= len(self._lines) or not self._lines[line].squares or event.x < LABEL:
            return
        at = (line, min((event.x - LABEL) // self._cell(self._lines[line].block), len(self._lines[line].squares) - 1))
        if at == self.at:
            self.action_choose()
        self.at = at

    def on_resize(self, event: events.Resize) -> None:
        self.virtual_size = Size(event.size.width, len(self._lines))

    # Drawing

    def _cell(self, block: Block) -> int:
        return max(NARROWEST, min(WIDE, (self.size.width - LABEL - 1) // max(1, len(block.columns))))

    def render_line(self, y: int) -> Strip:
        index = y + self.scroll_offset.y
        width = self.size.width
        if index >= len(self._lines):
            return Strip.blank(width, self.rich_style)
        drawn = self._lines[index]
        text = self._heading(drawn) if drawn.heading else self._squares(drawn, index)
        base = self.rich_style
        segments = [Segment(part.text, base + (part.style or Style())) for part in text.render(self.app.console)]
        return Strip(segments).adjust_cell_length(width, base)

    def _heading(self, drawn: _Drawn) -> Text:
        cell, style = self._cell(drawn.block), self._part("heading")
        if drawn.heading == "gap":
            return Text(end="")
        if drawn.heading == "group":
            line = Text(" " * LABEL, end="")
            seen: dict[str, int] = {}
            for column in drawn.block.columns:
                seen[column.group] = seen.get(column.group, 0) + 1
            for group, count in seen.items():
                line.append(group[: cell * count - 1].ljust(cell * count), style)
            return line
        line = Text(AXES[drawn.block.axis].ljust(LABEL), style, end="")
        for column in drawn.block.columns:
            line.append(column.name[: cell - 1].ljust(cell), style)
        return line

    def _squares(self, drawn: _Drawn, index: int) -> Text:
        cell = self._cell(drawn.block)
        label = plain(drawn.label)
        label.truncate(LABEL - 1, overflow="ellipsis", pad=True)
        label.stylize(self._part("label"))
        line = Text(end="").append_text(label)
        line.append(" ")
        for column, square in enumerate(drawn.squares):
            if square is None:
                line.append(" " * cell)
                continue
            style = self._part(square.seen.value)
            if (index, column) == self.at:
                style += self._part("cursor")
            word = self._word(square, cell - 3)
            face = f"{of_seen(square.seen).shape} {word}" if word else of_seen(square.seen).shape
            line.append(face.ljust(cell - 1)[: cell - 1], style)
            line.append(" ")
        return line

    def _word(self, square: Square, room: int) -> str:
        """The longest word that fits: what is bad by name, else the state, else nothing but the shape."""
        mark = of_seen(square.seen)
        names = [self._title(square.worst)] if square.seen is Seen.BAD and square.worst else []
        return next((word for word in (*names, mark.short, mark.tiny) if len(word) <= room), "")

    def _part(self, name: str) -> Style:
        return self.get_component_rich_style(f"sheet--{name}", partial=True)
