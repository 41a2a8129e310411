"""Fixes that keep coming back: what would be written into the person's own files, and what that would change."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option
from textual.worker import Worker, WorkerState, get_current_worker

from benchvoice.app.learn import Effect, FileChange, Offer
from benchvoice.domain.difference import Change, findings_changed
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

    offers: reactive[tuple[Offer, ...]] = reactive(())

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

    def __init__(
        self, phrase: Phrase, change: Callable[[Offer], FileChange], preview: Callable[[Offer], Effect]
    ) -> None:
        super().__init__()
        self._phrase = phrase
        self._change = change
        self._preview = preview

    def compose(self) -> ComposeResult:
        yield TopBar("what recurs")
        yield OptionList(id="offers", markup=False)
        with VerticalScroll(id="effect"):
            yield Static(id="diff")
            yield Static(id="changes")
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        self.query_one(OptionList).focus()
        self._fill()

    def watch_offers(self) -> None:
        if self.is_mounted:
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
            self.query_one("#diff", Static).update("No fix was made twice so far, so there is nothing to learn.")

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
            self.query_one("#changes", Static).update(plain(f"That can't be previewed: {event.worker.error}"))

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
