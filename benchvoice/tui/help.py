"""Help for the screen that is open: what it is for, then every key of it, from the same bindings as the footer."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen, Screen
from textual.widgets import Markdown, Static

from benchvoice.tui.marks import help_of


def keys_of(page: Screen[None]) -> list[tuple[str, str]]:
    """(key, what it does) of a page's bindings, then the app's, then the focused widget's, each action once."""
    keys: dict[str, list[str]] = {}
    for node in (page, page.app, page.focused):
        for binding in Binding.make_bindings(() if node is None else type(node).BINDINGS):
            text = binding.tooltip or binding.description
            text = text[:1].upper() + text[1:]
            shown = keys.setdefault(text, [])
            key = binding.key_display or page.app.get_key_display(binding)
            if text and key not in shown:
                shown.append(key)
    return [(" ".join(names), text) for text, names in keys.items() if text and names]


class HelpScreen(ModalScreen[None]):
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,question_mark,f1,q", "app.pop_screen", "close")]

    def __init__(self, topic: str, keys: list[tuple[str, str]]) -> None:
        super().__init__()
        self._topic = topic
        self._keys = keys

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="sheet tall"):
            yield Markdown(help_of(self._topic))
            yield Static(self._table())

    def _table(self) -> Text:
        text = Text()
        for key, what in self._keys:
            text.append(f"  {key:<18}", "bold")
            text.append(f"{what}\n")
        return text
