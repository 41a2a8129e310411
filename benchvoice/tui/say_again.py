"""Listening for one line: said again by microphone, its words are then shown like typed ones before they are kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Static
from textual.worker import get_current_worker

from benchvoice.errors import BenchvoiceError
from benchvoice.tui.marks import plain

Listen = Callable[[Callable[[], bool]], str]
"""Waits for words; asks the given function all the while whether to give up. BenchvoiceError if there are none."""


class SayAgain(ModalScreen[str | None]):
    """Gives the words that were heard, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "stop listening")]

    class Heard(Message):
        def __init__(self, text: str, problem: str = "") -> None:
            self.text = text
            self.problem = problem
            super().__init__()

    def __init__(self, listen: Listen) -> None:
        super().__init__()
        self._listen = listen

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static("Say the line again", classes="sheet-title")
            yield Static("■ listening ...", id="listening")
            yield Static("Escape stops listening.", classes="sheet-hint")

    def on_mount(self) -> None:
        self._wait_for_words()

    @work(thread=True, exclusive=True, exit_on_error=False, group="listening")
    def _wait_for_words(self) -> None:
        worker = get_current_worker()
        try:
            text, problem = self._listen(lambda: worker.is_cancelled), ""
        except BenchvoiceError as error:
            text, problem = "", f"{error.what} {error.hint}".strip()
        if not worker.is_cancelled:
            self.post_message(self.Heard(text, problem))

    @on(Heard)
    def _was_heard(self, event: Heard) -> None:
        if event.text:
            self.dismiss(event.text)
        else:
            self.query_one("#listening", Static).update(plain(event.problem))

    def action_leave(self) -> None:
        self.workers.cancel_group(self, "listening")
        self.dismiss(None)
