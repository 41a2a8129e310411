"""The line at the top of every screen: which engine, which view, how far the review has come."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.reactive import reactive
from textual.widget import Widget

from benchvoice.app.log import Counts
from benchvoice.domain.engine import Engine, Layout
from benchvoice.tui.marks import plain

LETTERS = {Layout.INLINE: "inline", Layout.VEE: "V", Layout.FLAT: "flat "}
BAR, WIDE = 12, 100
STOCK = 8
"""Cells of the title that stay however long the note is: enough for a stock number."""


def title_of(engine: Engine | None, stock: str) -> str:
    """ "QF-114  Vennbrook Plover 34, V6" """
    if engine is None:
        return stock
    what = " ".join(part for part in (engine.maker, engine.family) if part)
    kind = (
        f"{LETTERS[engine.layout]} {engine.cylinders}"
        if not engine.banks
        else (f"{LETTERS[engine.layout]}{engine.cylinders}")
    )
    return f"{engine.stock}  {what}, {kind}" if what else f"{engine.stock}  {kind}"


class TopBar(Widget):
    """One line. `note` takes the place of the counts where a screen has something better to say."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"topbar--view", "topbar--done", "topbar--open", "topbar--doubt"}

    counts: reactive[Counts | None] = reactive(None)
    clashes: reactive[int] = reactive(0)
    title: reactive[str] = reactive("")
    note: reactive[str] = reactive("")

    def __init__(self, view: str) -> None:
        super().__init__()
        self._view = view

    def render(self) -> Text:
        view = Text(f"  {self._view}  ", self.get_component_rich_style("topbar--view", partial=True), end="")
        right = plain(self.note) if self.note else self._progress()
        right.truncate(max(0, self.size.width - view.cell_len - STOCK - 1), overflow="ellipsis")
        left = plain(f" {self.title}")
        left.truncate(max(0, self.size.width - view.cell_len - right.cell_len - 1), overflow="ellipsis")
        gap = self.size.width - left.cell_len - view.cell_len - right.cell_len - 1
        line = Text(end="", no_wrap=True).append_text(left).append_text(view)
        return line.append(" " * max(0, gap)).append_text(right).append(" ")

    def _progress(self) -> Text:
        counts = self.counts
        if counts is None or not counts.rows:
            return Text("nothing heard yet", end="")
        bar = BAR if self.size.width >= WIDE else BAR // 2
        full = counts.looked_at * bar // counts.rows
        text = Text(end="")
        text.append("━" * full, self.get_component_rich_style("topbar--done", partial=True))
        text.append("─" * (bar - full), self.get_component_rich_style("topbar--open", partial=True))
        text.append(f" {counts.looked_at} of {counts.rows} done")
        doubt = self.get_component_rich_style("topbar--doubt", partial=True)
        if counts.doubtful:
            text.append(f" · {counts.doubtful} doubtful", doubt)
        if self.clashes:
            text.append(f" · {self.clashes} clash" + ("es" if self.clashes > 1 else ""), doubt)
        return text
