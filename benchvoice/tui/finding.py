"""One finding, field by field: what it says stands above, each field is changed by picking."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from benchvoice.app.choices import choices_for, complete, fields_of, shown_value, with_choice
from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Finding
from benchvoice.errors import BenchvoiceError
from benchvoice.lexicon import Lexicon
from benchvoice.tui.loglist import Phrase
from benchvoice.tui.marks import plain, wording
from benchvoice.tui.pick import Pick

NEEDED = ("part", "condition", "quantity", "value", "unit", "action")
TOGGLES = ("present", "hedged")


class FindingScreen(ModalScreen[Finding | None]):
    """Gives the changed finding, or None if it is left as it is."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "leave as it is"),
        Binding("a", "keep", "keep it"),
        Binding("p", "field('part')", "part", show=False),
        Binding("c", "field('condition')", "condition", show=False),
        Binding("v", "field('value')", "value", show=False),
        *(Binding(str(digit), f"number({digit})", "number", show=False) for digit in range(1, 10)),
    ]

    def __init__(
        self,
        finding: Finding,
        lexicon: Lexicon,
        engine: Engine | None,
        phrase: Phrase,
        *,
        title: str,
        others: Sequence[Finding] = (),
        first: str | None = None,
    ) -> None:
        super().__init__()
        self._before = finding
        self._finding = finding
        self._lexicon = lexicon
        self._engine = engine
        self._phrase = phrase
        self._title = title
        self._others = others
        self._first = first

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(plain(self._title), classes="sheet-title")
            yield Static(id="says")
            yield OptionList(id="fields", markup=False)
            yield Static("Enter changes a field, a keeps it all, Escape leaves it as it was.", classes="sheet-hint")

    def on_mount(self) -> None:
        self._fill(0)
        self.query_one(OptionList).focus()
        if self._first is not None:
            self.action_field(self._first)

    @property
    def _fields(self) -> tuple[str, ...]:
        return fields_of(self._finding, self._lexicon)

    def _fill(self, highlight: int) -> None:
        says = self._phrase(self._finding) if self._finding.part else "nothing yet"
        self.query_one("#says", Static).update(plain(says, "bold"))
        fields = self.query_one(OptionList)
        fields.clear_options()
        fields.add_options(Option(self._line(field)) for field in self._fields)
        fields.highlighted = min(highlight, len(self._fields) - 1)

    def _line(self, field: str) -> Text:
        before = shown_value(field, self._before, self._lexicon)
        value = shown_value(field, self._finding, self._lexicon)
        line = Text()
        line.append(f"{wording()['field'][field]:<14} ", "dim")
        line.append_text(plain(value or "·", "" if value else "dim"))
        if value != before:
            line.append_text(plain(f"   was {before or 'empty'}", "dim italic"))
        return line

    @on(OptionList.OptionSelected, "#fields")
    def _selected(self, event: OptionList.OptionSelected) -> None:
        self.action_field(self._fields[event.option_index])

    def action_field(self, field: str) -> None:
        if field in TOGGLES:
            self._change(field, "no" if getattr(self._finding, field) else "yes")
            return
        choices = choices_for(field, self._finding, self._lexicon, self._engine, self._others)
        now = shown_value(field, self._finding, self._lexicon)
        title = f"{wording()['field'][field]} instead of {now}" if now not in ("", "?") else wording()["field"][field]
        self.app.push_screen(Pick(title, choices, free=field == "value"), partial(self._picked, field))

    def action_number(self, number: int) -> None:
        key = next((name for name in ("cylinder", "journal") if name in self._fields), None)
        if key is not None:
            self._change(key, str(number))

    def _picked(self, field: str, value: str | None) -> None:
        if value is None:
            if not self._finding.part:
                self.dismiss(None)
            return
        self._change(field, value)
        wanted = self._empty()
        if self._first is not None and wanted is not None:
            self.action_field(wanted)

    def _change(self, field: str, value: str) -> None:
        try:
            self._finding = with_choice(self._finding, field, value, self._lexicon)
        except BenchvoiceError as error:
            self.notify(f"{error.what} {error.hint}", severity="error", markup=False)
            return
        self._fill(self._next_empty(field))

    def _next_empty(self, field: str) -> int:
        """After a field, the first one that still has to be filled, else the field itself."""
        target = self._empty() or field
        return self._fields.index(target) if target in self._fields else 0

    def _empty(self) -> str | None:
        """The first field that a finding of its kind needs and that is not filled yet."""
        needed = [name for name in NEEDED if name in self._fields]
        return next((name for name in needed if shown_value(name, self._finding, self._lexicon) in ("", "?")), None)

    def action_keep(self) -> None:
        if not complete(self._finding):
            self.notify("Something is still missing: a part, and what is said about it.", severity="warning")
            return
        self.dismiss(self._finding)

    def action_leave(self) -> None:
        self.dismiss(None)
