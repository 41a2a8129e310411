"""The engine at a glance: what was looked at, what was not, and what is bad, as the engine lies."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Static

from benchvoice.app.choices import Choice
from benchvoice.app.glance import Block, Seen, Square, counted
from benchvoice.app.log import Sift
from benchvoice.lexicon.phrases import place_phrase
from benchvoice.tui import asks
from benchvoice.tui.keys import Keys
from benchvoice.tui.marks import of_seen, plain, wording
from benchvoice.tui.page import Page, View
from benchvoice.tui.pick import Pick
from benchvoice.tui.sheet import Sheet
from benchvoice.tui.topbar import TopBar


class GlanceScreen(Page):
    """A second way to go through the record: by the engine and not by time."""

    topic = "glance"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "app.nothing", "what was said", key_display="enter"),
        Binding("l", "leave", "left on purpose", id="leave", tooltip="Not looked at, on purpose: the report says so"),
        Binding("u", "undo", "undo"),
        Binding("r", "redo", "redo", show=False),
        Binding("escape,g", "app.log", "back to the log", key_display="esc"),
    ]

    blocks: reactive[tuple[Block, ...]] = reactive(())

    class Narrow(Message):
        """Show the log, narrowed to what was said about a square."""

        def __init__(self, sift: Sift) -> None:
            self.sift = sift
            super().__init__()

    def __init__(self, title: Callable[[str], str]) -> None:
        super().__init__()
        self._title = title

    def compose(self) -> ComposeResult:
        yield TopBar("engine")
        yield Sheet(self._title)
        yield Static(id="square")
        yield Static(id="legend")
        yield Keys()

    def on_mount(self) -> None:
        self.query_one(Sheet).focus()
        self._draw()

    def watch_blocks(self) -> None:
        if self.is_mounted:
            self._draw()

    def _draw(self) -> None:
        self.query_one(Sheet).show(self.blocks)
        count = counted(self.blocks)
        there = [seen for seen in Seen if count[seen]]
        marks = [(of_seen(seen), count[seen]) for seen in there]
        legend = Text("  ".join(f"{mark.shape} {mark.short} {number}" for mark, number in marks))
        if legend.cell_len > self.app.size.width - 2:
            legend = Text("  ".join(f"{mark.shape} {mark.tiny} {number}" for mark, number in marks))
        self.query_one("#legend", Static).update(legend)

    def show(self, view: View, old: View) -> None:
        if view.record.engine is None:
            self.query_one("#square", Static).update("This engine was not taken in yet, so its layout is unknown.")

    @on(Sheet.Moved)
    def _moved(self, event: Sheet.Moved) -> None:
        if event.square is not None:
            self.query_one("#square", Static).update(self._says(event.square))

    def _says(self, square: Square) -> Text:
        cell = square.cell
        name = f"{self._title(cell.part)} {place_phrase(cell.place)}".strip()
        text = plain(f"{name}: ", "bold")
        text.append(of_seen(square.seen).says)
        found = [self._title(condition) for condition in cell.conditions]
        found += [f"{self._title(quantity)} measured" for quantity in cell.measured]
        if found:
            text.append_text(plain(" Found: " + ", ".join(found) + "."))
        if cell.note:
            text.append_text(plain(f" {cell.note[:1].upper()}{cell.note[1:].rstrip('.')}.", "dim"))
        text.append(f"\n{len(cell.evidence)} finding{'s' * (len(cell.evidence) != 1)}", "dim")
        return text

    @on(Sheet.Chosen)
    def _chosen(self, event: Sheet.Chosen) -> None:
        self.post_message(self.Narrow(Sift(part=event.square.cell.part, place=event.square.cell.place)))

    def action_leave(self) -> None:
        square = self.query_one(Sheet).square
        if square is None:
            return
        if square.seen not in (Seen.NOT_LOOKED_AT, Seen.IN_PART):
            self.say("That one was looked at.")
            return
        reasons = [Choice(value=reason, label=reason) for reason in wording()["reasons"]["left"]]
        self.app.push_screen(Pick("Why was it left?", reasons, free=True), partial(self._left, square))

    def _left(self, square: Square, reason: str | None) -> None:
        if reason is not None:
            self.post_message(asks.LeaveOut(square.cell.part, square.cell.place, reason))

    def action_undo(self) -> None:
        self.post_message(asks.Undo())

    def action_redo(self) -> None:
        self.post_message(asks.Redo())
