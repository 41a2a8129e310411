"""A last look before the record is sealed: counts, what waits, what clashes, and who files."""

from __future__ import annotations

import time
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.reactive import reactive
from textual.widgets import Input, Static

from benchvoice.domain.findings import Kind
from benchvoice.domain.record import Record
from benchvoice.tui import asks
from benchvoice.tui.keys import Keys
from benchvoice.tui.loglist import Phrase
from benchvoice.tui.marks import plain
from benchvoice.tui.page import Page, View
from benchvoice.tui.topbar import TopBar

LISTED = 8
"""Waiting findings named on the page; the rest is counted."""


class FilingScreen(Page):
    """Filing makes a sealed revision; what is filed stays readable whatever is changed later."""

    topic = "filing"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f", "file(False)", "file it", id="file_it"),
        Binding("w", "file(True)", "file it, leaving out what waits", id="file_anyway"),
        Binding("tab", "shop", "who files", show=False),
        Binding("z", "app.clashes", "clashes", show=False),
        Binding("escape", "app.log", "back to the log", key_display="esc"),
    ]

    shop: reactive[str] = reactive("")

    def __init__(self, phrase: Phrase) -> None:
        super().__init__()
        self._phrase = phrase

    def compose(self) -> ComposeResult:
        yield TopBar("filing")
        with VerticalScroll(id="last-look", can_focus=True):
            yield Static(id="counts")
            yield Static(id="waiting")
            yield Static(id="revisions")
        yield Static("Filed by (tab goes there, Enter comes back):", id="by-label")
        yield Input(placeholder="the shop's name", id="by")
        yield Keys()

    def on_mount(self) -> None:
        self.query_one("#by", Input).value = self.shop
        self.query_one("#last-look").focus()

    def watch_shop(self) -> None:
        if self.is_mounted:
            self.query_one("#by", Input).value = self.shop

    def show(self, view: View, old: View) -> None:
        self.query_one("#counts", Static).update(self._counts(view))
        self.query_one("#waiting", Static).update(self._waiting(view))
        self.query_one("#revisions", Static).update(_revisions(view.record))

    def _counts(self, view: View) -> Text:
        accepted = view.record.accepted()
        kinds = {kind: sum(entry.finding.kind is kind for entry in accepted) for kind in Kind}
        corrected = sum(bool(entry.corrections) for entry in accepted)
        by_hand = sum(entry.original is None for entry in accepted)
        dropped = view.counts.dropped if view.counts else 0
        lines = [
            ("findings to be filed", len(accepted)),
            ("   conditions", kinds[Kind.CONDITION]),
            ("   measurements", kinds[Kind.MEASUREMENT]),
            ("   not looked at", kinds[Kind.UNSEEN]),
            ("   done to the engine", kinds[Kind.EVENT]),
            ("corrected by you", corrected),
            ("added by hand", by_hand),
            ("dropped", dropped),
            ("still waiting", len(view.record.unreviewed())),
            ("clashes to decide", len(view.contradictions)),
        ]
        text = Text()
        for label, count in lines:
            loud = bool(count) and label in ("still waiting", "clashes to decide")
            text.append(f"  {label:<24}{count:>5}\n", "bold" if loud else "")
        return text

    def _waiting(self, view: View) -> Text:
        waiting = view.record.unreviewed()
        if not waiting and not view.contradictions:
            return Text("\n  Nothing waits and nothing clashes. f files it.\n", style="bold")
        text = Text("\n")
        for entry in waiting[:LISTED]:
            text.append_text(plain(f"  ○ {self._phrase(entry.finding)}")).append("\n")
        if len(waiting) > LISTED:
            text.append(f"  and {len(waiting) - LISTED} more\n", "dim")
        if waiting:
            text.append("  w files without them; the revision says which were left out.\n", "dim")
        if view.contradictions:
            text.append("  Clashes have to be decided first: z goes there.\n", "bold")
        return text

    @on(Input.Submitted, "#by")
    def _named(self) -> None:
        self.query_one("#last-look").focus()

    def action_shop(self) -> None:
        self.query_one("#by", Input).focus()

    def action_file(self, anyway: bool) -> None:
        by = self.query_one("#by", Input).value.strip()
        if not by:
            self.notify("Who files it? Type the shop's name first.", severity="warning", markup=False)
            self.action_shop()
            return
        self.post_message(asks.FileIt(by, anyway=anyway))


def _revisions(record: Record) -> Text:
    if not record.revisions:
        return Text("\n  Never filed so far.", style="dim")
    text = Text("\n  Filed before, each still readable:\n", style="dim")
    for revision in reversed(record.revisions):
        filed = revision.filed
        day = time.strftime("%Y-%m-%d %H:%M", time.localtime(revision.at))
        line = f"  revision {filed.revision}  {day}  {filed.by}  {len(filed.finding_ids)} findings  {filed.sha256[:12]}"
        text.append_text(plain(line)).append("\n")
    return text
