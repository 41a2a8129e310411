"""Fixes that keep coming back: what would be written into the person's own files, and what that would change."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option
from textual.worker import Worker, WorkerState, get_current_worker

from benchvoice.app.learn import Effect, FileChange, Offer
from benchvoice.domain.difference import Change, findings_changed
from benchvoice.errors import BenchvoiceError
from benchvoice.tui.keys import Keys
from benchvoice.tui.loglist import Phrase
from benchvoice.tui.marks import plain
from benchvoice.tui.page import Page, View
from benchvoice.tui.topbar import TopBar
from benchvoice.tui.words import SIGNS, STYLES

SHOWN = 6
"""Lines of the effect that are shown in full."""


class LearnScreen(Page):
    """Offers above, the change to the file below. Nothing is written before `a` is pressed on it."""

    topic = "learn"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "keep", "write it into my file", id="keep_offer"),
        Binding("p", "preview", "what it would change", id="preview_offer"),
        Binding("escape,l", "app.log", "back to the log", key_display="esc"),
    ]

    class Keep(Message):
        """The person wants this written into their own file."""

        def __init__(self, offer: Offer) -> None:
            self.offer = offer
            super().__init__()

    class Previewed(Message):
        def __init__(self, offer: Offer, effect: Effect) -> None:
            self.offer = offer
            self.effect = effect
            super().__init__()

    class Gathered(Message):
        def __init__(self, offers: Sequence[Offer]) -> None:
            self.offers = tuple(offers)
            super().__init__()

    def __init__(
        self,
        phrase: Phrase,
        gather: Callable[[], Sequence[Offer]],
        change: Callable[[Offer], FileChange],
        preview: Callable[[Offer], Effect],
    ) -> None:
        super().__init__()
        self._phrase = phrase
        self._gather = gather
        self._change = change
        self._preview = preview
        self.offers: tuple[Offer, ...] = ()

    def compose(self) -> ComposeResult:
        yield TopBar("learn")
        yield Static(id="kept")
        yield OptionList(id="offers", markup=False)
        with VerticalScroll(id="effect"):
            yield Static(id="diff")
            yield Static(id="changes")
        yield Keys()

    def on_mount(self) -> None:
        self.query_one(OptionList).focus()
        self.query_one("#diff", Static).update("Looking through all engines ...")
        self._look()

    def kept(self, made: FileChange, stock: str) -> None:
        """An offer was written down: say what that means, and look what is left."""
        text = plain(f"Written into {made.path.name}. What you type here is read with it from now on.\n", "bold")
        if made.path.name == "pronunciations.toml":
            text = plain(f"Written into {made.path.name}. The next sitting listens for it.\n", "bold")
        text.append_text(
            plain(f"Older sittings stay as they were: `benchvoice rerun {stock}` shows what it changes in them.")
        )
        self.query_one("#kept", Static).update(text)
        self._look()

    @work(thread=True, exclusive=True, exit_on_error=False, group="gather")
    def _look(self) -> None:
        worker = get_current_worker()
        offers = self._gather()
        if not worker.is_cancelled:
            self.post_message(self.Gathered(offers))

    @on(Gathered)
    def _gathered(self, event: Gathered) -> None:
        self.offers = event.offers
        self._fill()

    def show(self, view: View, old: View) -> None:
        return

    def _fill(self) -> None:
        offers = self.query_one(OptionList)
        offers.clear_options()
        offers.add_options(Option(_line(offer)) for offer in self.offers)
        if self.offers:
            offers.highlighted = 0
        else:
            self.query_one("#diff", Static).update("No fix that isn't in your files was made twice: nothing to learn.")
            self.query_one("#changes", Static).update("")

    @property
    def _offer(self) -> Offer | None:
        at = self.query_one(OptionList).highlighted
        return self.offers[at] if at is not None and at < len(self.offers) else None

    @on(OptionList.OptionHighlighted, "#offers")
    def _marked(self) -> None:
        offer = self._offer
        self.query_one("#changes", Static).update("")
        if offer is None:
            return
        made = self._change(offer)
        text = plain(str(made.path), "dim").append("\n")
        for line in made.diff[2:]:
            style = STYLES[Change.NEW] if line.startswith("+") else STYLES[Change.GONE] if line.startswith("-") else ""
            text.append_text(plain(line, style)).append("\n")
        self.query_one("#diff", Static).update(text)

    def action_keep(self) -> None:
        if self._offer is not None:
            self.post_message(self.Keep(self._offer))

    def action_preview(self) -> None:
        if self._offer is not None:
            self.query_one("#changes", Static).update("Reading all sittings again ...")
            self._read_all(self._offer)

    @work(thread=True, exclusive=True, exit_on_error=False, group="preview")
    def _read_all(self, offer: Offer) -> None:
        worker = get_current_worker()
        effect = self._preview(offer)
        if not worker.is_cancelled:
            self.post_message(self.Previewed(offer, effect))

    @on(Worker.StateChanged)
    def _failed(self, event: Worker.StateChanged) -> None:
        if event.state is WorkerState.ERROR:
            event.stop()
            error = event.worker.error
            says = f"{error.what} {error.hint}" if isinstance(error, BenchvoiceError) else str(error)
            self.query_one("#changes", Static).update(plain(f"That did not work: {says}"))

    @on(Previewed)
    def _previewed(self, event: Previewed) -> None:
        if event.offer == self._offer:
            self.query_one("#changes", Static).update(self._effect(event.effect))

    def _effect(self, effect: Effect) -> Text:
        count = len(effect.changes)
        text = Text(f"{count} of {effect.read} lines would read differently.\n", style="bold")
        for item in effect.changes[:SHOWN]:
            text.append_text(plain(f"“{item.after.utterance.text}”", "dim")).append("\n")
            for changed in findings_changed(item.before.findings, item.after.findings):
                line = f"  {SIGNS[changed.change]}{self._phrase(changed.finding)}"
                text.append_text(plain(line, STYLES[changed.change])).append("\n")
        if count > SHOWN:
            text.append(f"and {count - SHOWN} more", "dim")
        return text


def _line(offer: Offer) -> Text:
    text = plain(offer.says)
    text.append(f"   {len(offer.where)} times", "dim")
    return text
