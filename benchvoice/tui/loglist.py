"""The log as a list: drawn line by line, so that five thousand utterances cost no more than the twenty in view."""

from __future__ import annotations

from collections.abc import Callable, Sequence
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

from benchvoice.app.log import Key, Row, RowState, words_of
from benchvoice.domain.doubts import Doubt
from benchvoice.domain.findings import Finding
from benchvoice.domain.record import Status
from benchvoice.tui.marks import of_doubt, of_state, plain, when

Phrase = Callable[[Finding], str]

HERE, MARKED = "▸", "│"
"""Signs before the row at the cursor and before a marked stretch, for who sees no colours."""

NARROW = 100
"""Below this width the words get less room, since the findings are what is checked."""

GRAVE = (Doubt.CONTRADICTION, Doubt.NOT_ON_ENGINE, Doubt.IMPLAUSIBLE)


class LogList(ScrollView, can_focus=True, inherit_bindings=False):
    """Rows with a cursor and, on request, a marked stretch. Says where the cursor is with `Moved`."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "log--when", "log--words", "log--finding", "log--settled", "log--dropped", "log--quiet", "log--doubt",
        "log--grave", "log--cursor", "log--marked",
    }  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "step(-1)", "up", show=False),
        Binding("down", "step(1)", "down", show=False),
        Binding("pageup", "page(-1)", "a page up", show=False),
        Binding("pagedown", "page(1)", "a page down", show=False),
        Binding("home", "jump(0)", "first line", show=False),
        Binding("end", "jump(-1)", "last line", show=False),
        Binding("shift+up", "stretch(-1)", "mark a stretch upwards", show=False, id="mark_up"),
        Binding("shift+down", "stretch(1)", "mark a stretch downwards", show=False, id="mark_down"),
    ]

    cursor: reactive[int] = reactive(0)

    class Moved(Message):
        """The cursor stands on another row, or the row under it changed."""

        def __init__(self, row: Row | None) -> None:
            self.row = row
            super().__init__()

    class Chosen(Message):
        """A row was clicked again: the person wants to do something with it."""

    def __init__(self, phrase: Phrase) -> None:
        super().__init__()
        self._phrase = phrase
        self._rows: Sequence[Row] = ()
        self._anchor: int | None = None
        self._styles: dict[str, Style] = {}

    # What is shown

    @property
    def rows(self) -> Sequence[Row]:
        return self._rows

    @property
    def row(self) -> Row | None:
        return self._rows[self.cursor] if 0 <= self.cursor < len(self._rows) else None

    @property
    def marked(self) -> Sequence[Row]:
        """The rows of the marked stretch; the row under the cursor if nothing is marked."""
        if not self._rows:
            return ()
        first, last = self._stretch()
        return self._rows[first : last + 1]

    @property
    def has_stretch(self) -> bool:
        return self._anchor is not None

    def show(self, rows: Sequence[Row], *, follow: Key | None = None) -> None:
        """Show these rows, the cursor on the row `follow` if it is there, else where it was."""
        self._rows = rows
        self._anchor = None
        if follow is not None:
            self.cursor = next((i for i, row in enumerate(rows) if row.key == follow), self.cursor)
        self.cursor = max(0, min(self.cursor, len(rows) - 1))
        self.virtual_size = Size(self.size.width, len(rows))
        self.refresh()
        self._keep_in_view()
        self.post_message(self.Moved(self.row))

    def release(self) -> bool:
        """Unmark the stretch; False if none was marked."""
        had, self._anchor = self._anchor is not None, None
        if had:
            self.refresh()
        return had

    def move_to(self, index: int) -> None:
        if self._rows:
            self.release()
            self.cursor = max(0, min(index, len(self._rows) - 1))

    def watch_cursor(self, old: int, new: int) -> None:
        if self._anchor is not None:
            self.refresh()
        else:
            self.refresh_line(old)
            self.refresh_line(new)
        self._keep_in_view()
        self.post_message(self.Moved(self.row))

    def _keep_in_view(self) -> None:
        height = max(1, self.scrollable_content_region.height)
        top = self.scroll_offset.y
        if self.cursor < top:
            self.scroll_to(y=self.cursor, animate=False)
        elif self.cursor >= top + height:
            self.scroll_to(y=self.cursor - height + 1, animate=False)

    def _stretch(self) -> tuple[int, int]:
        other = self.cursor if self._anchor is None else self._anchor
        return min(self.cursor, other), max(self.cursor, other)

    # Keys and mouse

    def action_step(self, by: int) -> None:
        self.move_to(self.cursor + by)

    def action_page(self, by: int) -> None:
        self.move_to(self.cursor + by * max(1, self.size.height - 1))

    def action_jump(self, index: int) -> None:
        self.move_to(len(self._rows) - 1 if index < 0 else index)

    def action_stretch(self, by: int) -> None:
        if self._anchor is None:
            self._anchor = self.cursor
        self.cursor = max(0, min(self.cursor + by, len(self._rows) - 1))
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        index = event.y + self.scroll_offset.y
        if index >= len(self._rows):
            return
        if event.shift:
            self._anchor = self.cursor if self._anchor is None else self._anchor
            self.cursor = index
            self.refresh()
        elif index == self.cursor:
            self.post_message(self.Chosen())
        else:
            self.move_to(index)
        event.stop()

    def on_resize(self, event: events.Resize) -> None:
        self.virtual_size = Size(event.size.width, len(self._rows))
        self._keep_in_view()

    # Drawing

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        index = y + self.scroll_offset.y
        if index >= len(self._rows):
            return Strip.blank(width, self._part(""))
        base, sign = self._part(""), " "
        first, last = self._stretch()
        if index == self.cursor:
            base, sign = base + self._part("cursor"), HERE
        elif self._anchor is not None and first <= index <= last:
            base, sign = base + self._part("marked"), MARKED
        text = self._line(self._rows[index], sign, width)
        segments = [Segment(part.text, base + (part.style or Style())) for part in text.render(self.app.console)]
        return Strip(segments).adjust_cell_length(width, base)

    def _part(self, name: str) -> Style:
        """A component's style, kept until the theme or the focus changes: lines ask for it a thousand times."""
        if name not in self._styles:
            self._styles[name] = (
                self.rich_style if not name else self.get_component_rich_style(f"log--{name}", partial=True)
            )
        return self._styles[name]

    def notify_style_update(self) -> None:
        self._styles.clear()
        super().notify_style_update()

    def _line(self, row: Row, sign: str, width: int) -> Text:
        room = width - 10
        tag = of_doubt(row.doubts[0]) if row.doubts else None
        tag_room = 11 if room >= 50 else 2
        words_room = int((room - tag_room) * (0.42 if width < NARROW else 0.48))
        finding_room = room - words_room - 2 - (tag_room if tag is not None else 0)
        line = Text(end="", no_wrap=True)
        line.append(sign, self._part("words"))
        line.append(of_state(row.state).shape + " ", self._part("when"))
        line.append(f"{when(row)}  ", self._part("when"))
        quiet = row.state in (RowState.CHATTER, RowState.TAKEN_BACK, RowState.BLANKED)
        words = plain(row.text)
        words.truncate(words_room, overflow="ellipsis", pad=True)
        line.append_text(_styled(words, self._part("quiet" if quiet else "words")))
        line.append("  ")
        found = self._findings(row)
        found.truncate(finding_room, overflow="ellipsis", pad=True)
        line.append_text(found)
        if tag is not None:
            style = self._part("grave" if row.doubts[0] in GRAVE else "doubt")
            label = f" {tag.shape} {tag.short}" if tag_room > 2 else f" {tag.shape}"
            line.append(label, style)
        return line

    def _findings(self, row: Row) -> Text:
        if row.entries and all(entry.status is Status.DROPPED for entry in row.entries):
            text = plain("; ".join(self._phrase(entry.finding) for entry in row.entries))
            return _styled(text, self._part("dropped"))
        text = plain(words_of(row, self._phrase))
        return _styled(text, self._part("finding" if row.waiting else "settled"))


def _styled(text: Text, style: Style) -> Text:
    text.stylize(style)
    return text
