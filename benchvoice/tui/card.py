"""The card under the list: everything about the row at the cursor, with the finding that the keys act on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.style import Style
from rich.text import Text
from textual import events
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from benchvoice.app.log import Row
from benchvoice.domain.contradictions import Contradiction
from benchvoice.domain.doubts import Doubt, doubts_of_entry
from benchvoice.domain.engine import Engine
from benchvoice.domain.record import Entry, Record, Status
from benchvoice.domain.words import Utterance
from benchvoice.tui.loglist import Phrase
from benchvoice.tui.marks import clock, of_doubt, of_state, of_status, plain

UNSURE = 0.5
"""Words below this confidence are marked in the card."""

HEADING = 3
"""Lines that the words may take: the rest is for the findings."""

BARS = " ▁▂▃▄▅▆▇█"


class Card(Widget):
    """Words, recogniser, findings with their state and doubts, and the level of the sound."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "card--words", "card--unsure", "card--quiet", "card--finding", "card--chosen", "card--dropped", "card--doubt",
        "card--level",
    }  # fmt: skip

    row: reactive[Row | None] = reactive(None)
    chosen: reactive[int] = reactive(0)
    level: reactive[tuple[float, ...]] = reactive(())
    """The level trace of the row's sound, 0..1, from its beginning to its end; empty where there is no sound."""

    class Picked(Message):
        def __init__(self, index: int) -> None:
            self.index = index
            super().__init__()

    def __init__(self, phrase: Phrase) -> None:
        super().__init__()
        self._phrase = phrase
        self._record = Record()
        self._against: dict[str, list[Entry]] = {}
        self._lines: list[int] = []

    def know(self, record: Record, contradictions: Sequence[Contradiction]) -> None:
        """The record that the card explains rows from."""
        self._record = record
        self._against = {}
        for found in contradictions:
            self._against.setdefault(found.first.id, []).append(found.second)
            self._against.setdefault(found.second.id, []).append(found.first)
        self.refresh()

    @property
    def entry(self) -> Entry | None:
        """The finding that the keys act on."""
        if self.row is None or not self.row.entries:
            return None
        return self.row.entries[min(self.chosen, len(self.row.entries) - 1)]

    def watch_row(self, old: Row | None, new: Row | None) -> None:
        if old is None or new is None or old.key != new.key:
            self.chosen = 0
            self.level = ()
        elif new.entries:
            self.chosen = min(self.chosen, len(new.entries) - 1)

    def step(self, by: int) -> None:
        """Choose the next or previous finding of the row."""
        if self.row is not None and self.row.entries:
            self.chosen = (self.chosen + by) % len(self.row.entries)

    def on_click(self, event: events.Click) -> None:
        if event.y in self._lines:
            self.chosen = self._lines.index(event.y)
            self.post_message(self.Picked(self.chosen))

    def render(self) -> Text:
        self._lines = []
        row = self.row
        if row is None:
            return Text("Nothing to show. Escape shows everything again.", style=self._part("quiet"))
        lines = self._heading(row)
        if row.said is not None and row.said.heard.utterance.text != row.text:
            lines.append(plain(f"      heard as: {row.said.heard.utterance.text}", self._part("quiet")))
        room = max(1, self.size.height - len(lines) - bool(self.level))
        first = max(0, min(self.chosen - room + 1, len(row.entries) - room))
        for index, entry in enumerate(row.entries[first : first + room], start=first):
            self._lines.append(len(lines))
            lines.append(self._finding(entry, chosen=index == self.chosen, more=len(row.entries) - room - first))
        if not row.entries:
            doubt = of_doubt(row.doubts[0]).says if row.doubts else of_state(row.state).says
            says = Text(doubt, style=self._part("quiet")).wrap(self.app.console, max(10, self.size.width - 6))
            lines += [Text("      ").append_text(line) for line in says]
        if self.level:
            lines.append(self._trace())
        for line in lines:
            line.no_wrap = True
            line.truncate(self.size.width, overflow="ellipsis")
        return Text("\n").join(lines)

    def _heading(self, row: Row) -> list[Text]:
        """All words of the row on up to `HEADING` lines, behind its time."""
        said = self._said(row).wrap(self.app.console, max(10, self.size.width - 6), overflow="ellipsis")[:HEADING]
        begins = [Text(f"{clock(row.t0)} ", self._part("quiet"), end=""), *(Text(" " * 6, end="") for _ in said[1:])]
        return [begin.append_text(line) for begin, line in zip(begins, said, strict=True)]

    def _said(self, row: Row) -> Text:
        line = Text(end="")
        if row.said is None:
            line.append("added by hand", self._part("quiet"))
            return line
        utterance = row.said.reading.utterance
        for word in utterance.words:
            style = self._part("unsure" if word.confidence < UNSURE else "words")
            line.append_text(plain(word.text, ""))
            line.stylize(style, len(line) - len(plain(word.text)))
            line.append(" ")
        line.append_text(plain(f" {_origin(utterance)}"))
        line.stylize(self._part("quiet"), len(line) - len(_origin(utterance)))
        return line

    def _finding(self, entry: Entry, *, chosen: bool, more: int) -> Text:
        line = Text(end="")
        line.append("    ▸ " if chosen else "      ", self._part("chosen"))
        style = "dropped" if entry.status is Status.DROPPED else "chosen" if chosen else "finding"
        phrase = plain(self._phrase(entry.finding))
        phrase.stylize(self._part(style))
        line.append_text(phrase)
        state = of_status(entry.status)
        line.append(f"  {state.shape} {state.short}", self._part("quiet"))
        if entry.corrections:
            line.append(", corrected", self._part("quiet"))
        for doubt in doubts_of_entry(entry, self._engine, self._against):
            line.append_text(self._doubt(doubt, entry))
        return line

    def _doubt(self, doubt: Doubt, entry: Entry) -> Text:
        mark = of_doubt(doubt)
        text = Text(f"  {mark.shape} ", end="")
        if doubt is Doubt.CONTRADICTION and self._against.get(entry.id):
            other = self._against[entry.id][0]
            text.append_text(plain(f"{self._time_of(other)} says {self._phrase(other.finding)}"))
        elif doubt is Doubt.TWO_READINGS and entry.finding.readings:
            text.append(f"or {', '.join(map(str, entry.finding.readings))}")
        else:
            text.append(mark.short)
        text.stylize(self._part("doubt"))
        return text

    def _time_of(self, entry: Entry) -> str:
        said = self._record.said.get((entry.sitting, entry.n)) if entry.n is not None else None
        if said is None or said.reading.utterance.t0 is None:
            return "another line" if entry.n is None else f"#{entry.n}"
        return clock(said.reading.utterance.t0).strip()

    @property
    def _engine(self) -> Engine | None:
        return self._record.engine

    def _trace(self) -> Text:
        width = max(10, min(self.size.width - 8, 72))
        cells = [self.level[i * len(self.level) // width] for i in range(width)]
        bars = "".join(BARS[min(8, round(cell * 8))] for cell in cells)
        return Text(f"      {bars}", style=self._part("level"))

    def _part(self, name: str) -> Style:
        return self.get_component_rich_style(f"card--{name}", partial=True)


def _origin(utterance: Utterance) -> str:
    if utterance.recogniser == "text":
        return "typed"
    return f"{utterance.recogniser} {utterance.confidence:.2f}"
