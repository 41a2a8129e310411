"""While one talks: lines as they are heard, what is spoken of, how loud it is; in big letters on request."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.reactive import reactive
from textual.widgets import Static

from benchvoice.app.log import RowState
from benchvoice.app.watching import Pulse, focus
from benchvoice.tui import asks
from benchvoice.tui.keys import Keys
from benchvoice.tui.letters import big
from benchvoice.tui.loglist import LogList, Phrase
from benchvoice.tui.marks import clock, plain
from benchvoice.tui.page import Page, View
from benchvoice.tui.topbar import TopBar

TICK = 0.2
METER = 24
FLOOR = -60.0
LOUD = -3.0
LETTER_LINES = 5
"""Terminal lines that a line of big letters takes, with its gap."""


class LiveScreen(Page):
    """Follows a sitting. Nothing has to be pressed here; `x` drops the newest finding and `u` brings it back."""

    topic = "live"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("b", "letters", "big letters", id="letters"),
        Binding("x", "drop_newest", "drop the newest", id="drop_newest"),
        Binding("u", "undo", "undo"),
        Binding("escape,v", "app.log", "to the log", key_display="esc"),
    ]

    pulse: reactive[Pulse] = reactive(Pulse())
    letters: reactive[bool] = reactive(False)

    def __init__(self, phrase: Phrase, pulse: Callable[[], Pulse]) -> None:
        super().__init__()
        self._phrase = phrase
        self._pulse = pulse

    def compose(self) -> ComposeResult:
        yield TopBar("live")
        yield Static(id="meter")
        yield Static(id="focus")
        yield Static(id="big")
        yield LogList(self._phrase)
        yield Keys()

    def on_mount(self) -> None:
        self.query_one("#big").display = False
        self.set_interval(TICK, self._tick)
        self._tick()

    def _tick(self) -> None:
        self.pulse = self._pulse()
        self.query_one("#meter", Static).update(_meter(self.pulse))

    def show(self, view: View, old: View) -> None:
        rows = self.query_one(LogList)
        rows.show(view.rows)
        rows.move_to(len(view.rows) - 1)
        self._draw()

    def watch_letters(self) -> None:
        if self.is_mounted:
            self.query_one(LogList).display = not self.letters
            self.query_one("#focus").display = not self.letters
            self.query_one("#big").display = self.letters
            self._draw()

    def on_resize(self) -> None:
        self._draw()

    def _draw(self) -> None:
        newest = focus(self.view.rows)
        says = self._phrase(newest) if newest is not None else "nothing found yet"
        last = next((row for row in reversed(self.view.rows) if row.state is not RowState.BLANKED), None)
        said = Text()
        said.append("spoken of: ", "dim")
        said.append_text(plain(says, "bold"))
        if last is not None and last.text:
            said.append("\nheard:     ", "dim").append_text(plain(last.text))
        self.query_one("#focus", Static).update(said)
        if self.letters:
            place = self.query_one("#big", Static)
            room = max(1, (self.size.height - 4) // LETTER_LINES)
            place.update(Text("\n".join(big(says, max(12, self.size.width - 2), room)), no_wrap=True))

    def action_letters(self) -> None:
        self.letters = not self.letters

    def action_drop_newest(self) -> None:
        row = next((row for row in reversed(self.view.rows) if any(entry.counts for entry in row.entries)), None)
        if row is not None:
            self.post_message(asks.Drop([entry for entry in row.entries if entry.counts]))

    def action_undo(self) -> None:
        self.post_message(asks.Undo())


def _meter(pulse: Pulse) -> Text:
    """Recording or not, in sign, word and number; the level as a bar."""
    if pulse.level is None:
        return Text(f"□ not recording   {clock(pulse.seconds).strip()} on disk", style="dim")
    share = max(0.0, min(1.0, 1 - pulse.level / FLOOR))
    full = round(share * METER)
    loud = "  too loud" if pulse.level > LOUD else ""
    text = Text(f"■ recording {clock(pulse.seconds).strip()}  ", style="bold")
    text.append("▮" * full + "▯" * (METER - full))
    return text.append(f" {pulse.level:4.0f} dB{loud}")
