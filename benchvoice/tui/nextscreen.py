"""What to look at next, beside the log: the looks that are expected to pay, each with its reason."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import Static
from textual.worker import get_current_worker

from benchvoice.domain.record import Record
from benchvoice.errors import BenchvoiceError
from benchvoice.tui.keys import Keys
from benchvoice.tui.page import Page, View
from benchvoice.tui.safe import shown
from benchvoice.tui.topbar import TopBar


class NextScreen(Page):
    """Worked out anew whenever the record changes, in a thread: judging loads libraries that take a moment."""

    topic = "next"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,L", "app.log", "back to the log", key_display="esc")]

    class Judged(Message):
        def __init__(self, lines: tuple[str, ...]) -> None:
            self.lines = lines
            super().__init__()

    def compose(self) -> ComposeResult:
        yield TopBar("next looks")
        with VerticalScroll():
            yield Static("Working it out ...", id="looks")
        yield Keys()

    def show(self, view: View, old: View) -> None:
        if view.record is not old.record:
            self._judge(view.record)

    @work(thread=True, exclusive=True, exit_on_error=False)
    def _judge(self, record: Record) -> None:
        from benchvoice.app.judging import steps

        worker = get_current_worker()
        try:
            lines = steps(record) or ("No further look is expected to pay for its minutes.",)
        except BenchvoiceError as error:
            lines = (f"{error.what} {error.hint}".strip(),)
        if not worker.is_cancelled:
            self.post_message(self.Judged(lines))

    @on(Judged)
    def _tell(self, judged: Judged) -> None:
        judged.stop()
        text = Text("\n\n").join(Text(f"{n}. {shown(line)}") for n, line in enumerate(judged.lines, 1))
        self.query_one("#looks", Static).update(text)
