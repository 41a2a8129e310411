"""What all screens share: they are handed a view of the record and never reach for it themselves."""

from __future__ import annotations

from dataclasses import dataclass, field

from textual.reactive import reactive
from textual.screen import Screen

from benchvoice.app.log import Counts, Row
from benchvoice.domain.contradictions import Contradiction
from benchvoice.domain.record import Record
from benchvoice.tui.safe import shown
from benchvoice.tui.topbar import TopBar, title_of


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """The record as it stands, with what was made of it."""

    stock: str = ""
    record: Record = field(default_factory=Record)
    rows: tuple[Row, ...] = ()
    counts: Counts | None = None
    contradictions: tuple[Contradiction, ...] = ()


class Page(Screen[None]):
    """A screen with the line at the top. `view` comes down from the app; what the person wants goes up as messages."""

    topic = "log"
    """Its page of help."""

    view: reactive[View] = reactive(View(), always_update=True)

    def watch_view(self, old: View, new: View) -> None:
        if self.is_mounted:
            self._show(new, old)

    def on_mount(self) -> None:
        self._show(self.view, View())

    def _show(self, view: View, old: View) -> None:
        bar = self.query_one(TopBar)
        bar.title = title_of(view.record.engine, view.stock)
        bar.counts = view.counts
        bar.clashes = len(view.contradictions)
        self.show(view, old)

    def say(self, text: str) -> None:
        """One line about what was just done; it gives way to the counts at the next move."""
        self.query_one(TopBar).note = shown(text)

    def hush(self) -> None:
        self.query_one(TopBar).note = ""

    def show(self, view: View, old: View) -> None:
        """Bring the screen up to date with the view."""
