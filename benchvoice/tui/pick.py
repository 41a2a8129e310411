"""Picking one of many by typing a few letters: what is likeliest stands first, so that Enter alone is often enough."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from benchvoice.app.choices import Choice, narrowed
from benchvoice.tui.marks import plain


class Pick(ModalScreen[str | None]):
    """Gives the value of the choice, what was typed if `free` allows it and nothing fits, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "leave as it is"),
        Binding("down", "step(1)", "next", show=False, priority=True),
        Binding("up", "step(-1)", "previous", show=False, priority=True),
    ]

    def __init__(self, title: str, choices: Sequence[Choice], *, free: bool = False) -> None:
        super().__init__()
        self._title = title
        self._choices = choices
        self._free = free
        self._shown: list[Choice] = []

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(plain(self._title), classes="sheet-title")
            yield Input(placeholder="type it, or pick below" if self._free else "type a few letters", id="typed")
            yield OptionList(id="choices", markup=False)
            yield Static("Enter takes the marked one, Escape leaves it as it is.", classes="sheet-hint")

    def on_mount(self) -> None:
        self._fill("")

    def _fill(self, typed: str) -> None:
        self._shown = narrowed(self._choices, typed)
        choices = self.query_one(OptionList)
        choices.clear_options()
        choices.add_options(Option(_line(choice)) for choice in self._shown)
        choices.highlighted = 0 if self._shown else None

    @on(Input.Changed, "#typed")
    def _typed(self, event: Input.Changed) -> None:
        self._fill(event.value)

    @on(Input.Submitted, "#typed")
    def _entered(self, event: Input.Submitted) -> None:
        highlighted = self.query_one(OptionList).highlighted
        if highlighted is not None and self._shown:
            self.dismiss(self._shown[highlighted].value)
        elif self._free and event.value.strip():
            self.dismiss(event.value.strip())

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self._shown[event.option_index].value)

    def action_step(self, by: int) -> None:
        choices = self.query_one(OptionList)
        if self._shown:
            choices.highlighted = ((choices.highlighted or 0) + by) % len(self._shown)

    def action_leave(self) -> None:
        self.dismiss(None)


def _line(choice: Choice) -> Text:
    text = plain(choice.label)
    if choice.hint:
        text.append_text(plain(f"   {choice.hint}", "dim"))
    return text
