"""Other words for an utterance: the findings are read again while one types, and the difference is shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Input, Static
from textual.worker import Worker, WorkerState, get_current_worker

from benchvoice.app.log import Row
from benchvoice.domain.difference import Change, findings_changed, words_changed
from benchvoice.domain.findings import Finding
from benchvoice.domain.readings import Reading
from benchvoice.tui.loglist import Phrase
from benchvoice.tui.marks import clock, plain
from benchvoice.tui.safe import shown

SIGNS = {Change.SAME: "  ", Change.NEW: "+ ", Change.GONE: "− "}
STYLES = {Change.SAME: "", Change.NEW: "bold", Change.GONE: "strike dim"}

Reader = Callable[[Row, str], Reading]
"""Reads words in an utterance's place; slow, so it runs in a thread."""


class WordsScreen(ModalScreen[str | None]):
    """Gives the new words, or None if they are left as they are."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "leave as they are"),
        Binding("up", "other(-1)", "other words", show=False, priority=True),
        Binding("down", "other(1)", "the recogniser's other words", show=False, priority=True),
    ]

    class Read(Message):
        """A thread has read words."""

        def __init__(self, text: str, reading: Reading) -> None:
            self.text = text
            self.reading = reading
            super().__init__()

    def __init__(self, row: Row, read: Reader, phrase: Phrase, *, others: Sequence[str] = (), first: str = "") -> None:
        super().__init__()
        self._row = row
        self._read = read
        self._phrase = phrase
        self._text = shown(row.text)
        self._others = [self._text, *(shown(text) for text in others)]
        self._first = shown(first) or self._text
        self._at = 0

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(plain(f"Words at {clock(self._row.t0).strip()}"), classes="sheet-title")
            yield Input(self._first, id="words", select_on_focus=False)
            yield Static(id="changed")
            yield Static(id="findings")
            yield Static(
                "Enter keeps the words, Escape leaves them, ↑↓ go through the recogniser's other readings.",
                classes="sheet-hint",
            )

    def on_mount(self) -> None:
        words = self.query_one(Input)
        words.focus()
        words.cursor_position = len(words.value)

    @on(Input.Changed, "#words")
    def _typed(self, event: Input.Changed) -> None:
        self.query_one("#changed", Static).update(_words(self._text, event.value))
        self._read_again(event.value)

    @work(thread=True, exclusive=True, exit_on_error=False, group="reading")
    def _read_again(self, text: str) -> None:
        worker = get_current_worker()
        reading = self._read(self._row, text)
        if not worker.is_cancelled:
            self.post_message(self.Read(text, reading))

    @on(Worker.StateChanged)
    def _failed(self, event: Worker.StateChanged) -> None:
        if event.state is WorkerState.ERROR:
            self.query_one("#findings", Static).update(plain(f"These words can't be read: {event.worker.error}"))

    @on(Read)
    def _was_read(self, event: Read) -> None:
        if event.text == self.query_one(Input).value:
            self.query_one("#findings", Static).update(self._findings(event.reading.findings))

    def _findings(self, after: tuple[Finding, ...]) -> Text:
        before = tuple(entry.finding for entry in self._row.entries)
        lines = [
            plain(SIGNS[item.change] + self._phrase(item.finding), STYLES[item.change])
            for item in findings_changed(before, after)
        ]
        return Text("\n").join(lines) if lines else Text("no finding in these words", style="dim")

    @on(Input.Submitted, "#words")
    def _entered(self, event: Input.Submitted) -> None:
        text = " ".join(event.value.split())
        self.dismiss(text if text and text != self._text else None)

    def action_other(self, by: int) -> None:
        self._at = (self._at + by) % len(self._others)
        words = self.query_one(Input)
        words.value = self._others[self._at]
        words.cursor_position = len(words.value)

    def action_leave(self) -> None:
        self.dismiss(None)


def _words(before: str, after: str) -> Text:
    text = Text()
    for run in words_changed(before, after):
        text.append_text(plain(" ".join(run.words), STYLES[run.change]))
        text.append(" ")
    return text
