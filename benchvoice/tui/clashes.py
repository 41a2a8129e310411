"""Findings that can't both be true, side by side: each pair waits for a decision before the record can be filed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from benchvoice.app.choices import Choice
from benchvoice.app.log import Row
from benchvoice.domain.contradictions import Contradiction
from benchvoice.domain.record import Entry
from benchvoice.tui import asks
from benchvoice.tui.keys import Keys
from benchvoice.tui.loglist import Phrase
from benchvoice.tui.marks import of_status, plain, when, wording
from benchvoice.tui.page import Page, View
from benchvoice.tui.pick import Pick
from benchvoice.tui.topbar import TopBar


class ClashScreen(Page):
    """The list above, the pair in full below."""

    topic = "clashes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,1", "settle('first')", "keep left", key_display="←"),
        Binding("right,2", "settle('second')", "keep right", key_display="→"),
        Binding("b", "both", "keep both", tooltip="Keep both, with a reason"),
        Binding("space", "hear(0)", "hear the left one", show=False),
        Binding("full_stop", "hear(1)", "hear the right one", show=False, key_display="."),
        Binding("u", "undo", "undo"),
        Binding("r", "redo", "redo", show=False),
        Binding("escape,z", "app.log", "back to the log", key_display="esc"),
    ]

    class GoTo(Message):
        """Show a finding's line in the log."""

        def __init__(self, entry: Entry) -> None:
            self.entry = entry
            super().__init__()

    def __init__(self, phrase: Phrase) -> None:
        super().__init__()
        self._phrase = phrase

    def compose(self) -> ComposeResult:
        yield TopBar("clashes")
        yield OptionList(id="pairs", markup=False)
        with Horizontal(id="pair"):
            yield Static(id="first", classes="side")
            yield Static(id="second", classes="side")
        yield Keys()

    def on_mount(self) -> None:
        self.query_one(OptionList).focus()

    def show(self, view: View, old: View) -> None:
        pairs = self.query_one(OptionList)
        at = pairs.highlighted or 0
        pairs.clear_options()
        pairs.add_options(Option(self._line(found)) for found in view.contradictions)
        if view.contradictions:
            pairs.highlighted = min(at, len(view.contradictions) - 1)
        else:
            self.query_one("#first", Static).update("Nothing contradicts anything.")
            self.query_one("#second", Static).update("")

    def _line(self, found: Contradiction) -> Text:
        text = plain(self._phrase(found.first.finding))
        text.append("  ≠  ", "bold")
        return text.append_text(plain(self._phrase(found.second.finding)))

    @property
    def _pair(self) -> Contradiction | None:
        at = self.query_one(OptionList).highlighted
        pairs = self.view.contradictions
        return pairs[at] if at is not None and at < len(pairs) else None

    @on(OptionList.OptionHighlighted)
    def _marked(self) -> None:
        pair = self._pair
        if pair is not None:
            for name, entry in (("#first", pair.first), ("#second", pair.second)):
                self.query_one(name, Static).update(self._full(entry))

    @on(OptionList.OptionSelected)
    def _chosen(self) -> None:
        if self._pair is not None:
            self.post_message(self.GoTo(self._pair.second))

    def _row_of(self, entry: Entry) -> Row | None:
        return next((row for row in self.view.rows if any(item.id == entry.id for item in row.entries)), None)

    def _full(self, entry: Entry) -> Text:
        row = self._row_of(entry)
        text = plain(when(row).strip() if row else "by hand", "dim").append("\n")
        text.append_text(plain(self._phrase(entry.finding), "bold"))
        state = of_status(entry.status)
        text.append(f"\n{state.shape} {state.says}\n\n", "dim")
        if row is not None and row.text:
            text.append_text(plain(f"“{row.text}”"))
        return text

    def action_settle(self, decision: str) -> None:
        if self._pair is not None:
            self.post_message(asks.Settle(self._pair.first, self._pair.second, decision))

    def action_both(self) -> None:
        pair = self._pair
        if pair is not None:
            reasons = [Choice(value=reason, label=reason) for reason in wording()["reasons"]["both"]]
            ask: Callable[[str | None], None] = partial(self._both, pair)
            self.app.push_screen(Pick("Why can both be true?", reasons, free=True), ask)

    def _both(self, pair: Contradiction, reason: str | None) -> None:
        if reason is not None:
            self.post_message(asks.Settle(pair.first, pair.second, "both", reason))

    def action_hear(self, which: int) -> None:
        pair = self._pair
        row = None if pair is None else self._row_of(pair.second if which else pair.first)
        if row is not None:
            self.post_message(asks.Hear(row))

    def action_undo(self) -> None:
        self.post_message(asks.Undo())

    def action_redo(self) -> None:
        self.post_message(asks.Redo())
