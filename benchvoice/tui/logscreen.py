"""The first screen: the log, the card of the row at the cursor, search and sifting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Input, Static

from benchvoice.app.log import Key, Row, RowState, Sift, arrange
from benchvoice.domain.findings import Kind, Place
from benchvoice.domain.record import Entry
from benchvoice.tui import asks
from benchvoice.tui.card import Card
from benchvoice.tui.keys import Keys
from benchvoice.tui.loglist import LogList, Phrase
from benchvoice.tui.marks import plain
from benchvoice.tui.page import Page, View
from benchvoice.tui.ribbon import Ribbon
from benchvoice.tui.topbar import TopBar

SLOW = 0.6
"""Share of the speed as spoken, for hearing again slowly."""


class LogScreen(Page):
    """Going through the log with few keys. Whatever changes the record goes up to the app as a message."""

    topic = "log"
    AUTO_FOCUS = "LogList"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a,enter", "accept", "accept", id="accept", key_display="a", tooltip="All of this line is right"),
        Binding("x", "drop", "drop", id="drop", tooltip="The marked finding is wrong"),
        *(
            Binding(str(digit), f"number({digit})", "number", show=digit == 1, key_display="1-9",
                    tooltip="Put this cylinder or journal number in")
            for digit in range(1, 10)
        ),
        Binding("e", "edit", "edit", id="edit", tooltip="Change the finding's fields"),
        Binding("w", "words", "words", id="words", tooltip="Change the words; findings are read again"),
        Binding("space", "hear(1)", "hear", id="hear", key_display="space", tooltip="Hear it again"),
        Binding("n", "next_doubt(1)", "doubt", id="next_doubt", tooltip="Next doubtful line"),
        Binding("u", "undo", "undo", id="undo"),
        Binding("p", "pick('part')", "other part", show=False, id="pick_part"),
        Binding("c", "pick('condition')", "other condition", show=False, id="pick_condition"),
        Binding("v", "pick('value')", "other value", show=False, id="pick_value"),
        Binding("o", "offers", "other readings of this line", show=False, id="offers"),
        Binding("m", "move", "other place, for the whole stretch", show=False, id="move"),
        Binding("plus,i", "add", "add a finding by hand", show=False, id="add", key_display="+"),
        Binding("k", "cut", "split the line in two", show=False, id="cut"),
        Binding("j", "join", "join with the next line", show=False, id="join"),
        Binding("r", "redo", "redo", show=False, id="redo"),
        Binding("N", "next_doubt(-1)", "previous doubt", show=False, id="previous_doubt"),
        Binding("right,tab", "finding(1)", "next finding of the line", show=False, id="next_finding"),
        Binding("left,shift+tab", "finding(-1)", "previous finding of the line", show=False, id="previous_finding"),
        Binding("comma", "hear(0)", "hear it slowly", show=False, id="hear_slowly", key_display=","),
        Binding("full_stop", "hear_next", "hear the next line", show=False, id="hear_next", key_display="."),
        Binding("h", "say_again", "say it again by microphone", show=False, id="say_again"),
        Binding("slash", "search", "search", show=False, id="search", key_display="/"),
        Binding("s", "sift", "show only ...", show=False, id="sift"),
        Binding("t", "waiting", "show only what waits", show=False, id="waiting"),
        Binding("d", "doubtful_first", "doubtful ones first", show=False, id="doubtful_first"),
        Binding("b", "stretch", "mark a stretch: this line and the next", show=False, id="stretch"),
        Binding("y", "copy", "copy the line", show=False, id="copy"),
        Binding("escape", "clear", "show everything", show=False, id="clear"),
    ]  # fmt: skip

    sift: reactive[Sift] = reactive(Sift())
    doubtful_first: reactive[bool] = reactive(False)

    class Search(Message):
        """Words were typed into the search: the app answers by setting `sift`."""

        def __init__(self, words: str) -> None:
            self.words = words
            super().__init__()

    class Wanted(Message):
        """A screen of its own is needed to do this with the row: "words", "edit", "part", "move", "add", "cut" ..."""

        def __init__(self, what: str, row: Row | None, entry: Entry | None, rows: Sequence[Row]) -> None:
            self.what = what
            self.row = row
            self.entry = entry
            self.rows = tuple(rows)
            super().__init__()

    def __init__(self, phrase: Phrase) -> None:
        super().__init__()
        self._phrase = phrase

    def compose(self) -> ComposeResult:
        yield TopBar("log")
        with Horizontal(id="sifting"):
            yield Input(placeholder="search the words", id="search")
            yield Static(id="only")
        with Horizontal(id="desk"):
            yield LogList(self._phrase)
            yield Ribbon()
        yield Card(self._phrase)
        yield Keys()

    def on_mount(self) -> None:
        self._show_sift()

    # Attributes down

    def show(self, view: View, old: View) -> None:
        self.query_one(Card).know(view.record, view.contradictions)
        self._arrange(self.here)

    def watch_sift(self) -> None:
        if self.is_mounted:
            self._arrange(self.here)
            self._show_sift()

    def watch_doubtful_first(self) -> None:
        if self.is_mounted:
            self._arrange(None)
            self.query_one(LogList).move_to(0)
            self._show_sift()

    @property
    def here(self) -> Key | None:
        row = self.query_one(LogList).row
        return None if row is None else row.key

    def search(self, words: str, matches: frozenset[Key] | None) -> None:
        """Show what a search found; no matches: show everything again."""
        self.sift = replace(self.sift, words=words if matches is not None else "", matches=matches)

    def go_to(self, key: Key) -> None:
        """Put the cursor on a row, showing everything if it is sifted out."""
        rows = self.query_one(LogList).rows
        if all(row.key != key for row in rows):
            self.sift = Sift()
        self._arrange(key)

    def show_level(self, key: Key, level: tuple[float, ...]) -> None:
        """The level trace of a row's sound, if the cursor still stands there."""
        if self.here == key:
            self.query_one(Card).level = level

    def _arrange(self, follow: Key | None) -> None:
        rows = arrange(self.view.rows, self.sift, doubtful_first=self.doubtful_first)
        self.query_one(Ribbon).show(rows)
        self.query_one(LogList).show(rows, follow=follow)

    def _show_sift(self) -> None:
        sift, search = self.sift, self.query_one("#search", Input)
        only = [text for text, on in (("what waits", sift.waiting), ("what is doubtful", sift.doubtful)) if on]
        only += [part.replace("_", " ") for part in (sift.part,) if part]
        only += [f"{name} {value}" for name, value in sift.place.as_dict().items()]
        only += [sift.kind.value] if sift.kind is not None else []
        first = "doubtful ones first" if self.doubtful_first else ""
        shown = len(self.query_one(LogList).rows)
        text = "  ".join(filter(None, (f"only {', '.join(only)}" if only else "", first)))
        searching = bool(sift.words) or search.has_focus
        self.query_one("#only", Static).update(plain(f"{text}  {shown} lines"))
        search.display = searching
        self.query_one("#sifting").display = bool(text) or searching

    # From the widgets

    @on(LogList.Moved)
    def _moved(self, event: LogList.Moved) -> None:
        rows = self.query_one(LogList)
        card = self.query_one(Card)
        if card.row is not None and event.row is not None and card.row.key != event.row.key:
            self.hush()
        card.row = event.row
        top = rows.scroll_offset.y
        self.query_one(Ribbon).view = (top, top + max(0, rows.size.height - 1))

    @on(Ribbon.Sought)
    def _sought(self, event: Ribbon.Sought) -> None:
        self.query_one(LogList).move_to(event.index)

    @on(LogList.Chosen)
    def _chosen(self) -> None:
        self.action_edit()

    @on(Input.Changed, "#search")
    def _searched(self, event: Input.Changed) -> None:
        self.post_message(self.Search(event.value))

    @on(Input.Submitted, "#search")
    def _search_done(self) -> None:
        self.query_one(LogList).focus()
        self._show_sift()

    # Keys that change the record

    @property
    def _entry(self) -> Entry | None:
        return self.query_one(Card).entry

    @property
    def _row(self) -> Row | None:
        return self.query_one(LogList).row

    def action_accept(self) -> None:
        rows = self.query_one(LogList)
        marked = [row for row in rows.marked if row.waiting or row.doubts]
        if marked:
            self.post_message(asks.Accept(marked))
        rows.move_to(rows.cursor + 1)

    def action_drop(self) -> None:
        rows = self.query_one(LogList)
        if rows.has_stretch:
            entries = [entry for row in rows.marked for entry in row.entries if entry.counts]
        else:
            entries = [self._entry] if self._entry is not None and self._entry.counts else []
        if entries:
            self.post_message(asks.Drop(entries))

    def action_number(self, number: int) -> None:
        """A number typed in the list goes to the place of the finding, or of every finding of the marked stretch."""
        rows = self.query_one(LogList)
        entries = [e for row in rows.marked for e in row.entries if e.counts] if rows.has_stretch else [self._entry]
        numbered = [e for e in entries if e is not None and _number_of(e) is not None]
        by_kind: dict[str, list[Entry]] = {}
        for entry in numbered:
            by_kind.setdefault(_number_of(entry) or "", []).append(entry)
        for name, members in by_kind.items():
            self.post_message(asks.Move(members, Place.from_dict({name: number})))
        if not numbered:
            self._want("move")

    def action_undo(self) -> None:
        self.post_message(asks.Undo())

    def action_redo(self) -> None:
        self.post_message(asks.Redo())

    def action_join(self) -> None:
        rows = self.query_one(LogList)
        after = next((row for row in self._in_order_after(rows.row)), None)
        if rows.row is not None and after is not None:
            self.post_message(asks.Join(rows.row, after))

    def _in_order_after(self, row: Row | None) -> list[Row]:
        if row is None or row.said is None:
            return []
        spoken = [other for other in self.view.rows if other.said is not None and other.sitting == row.sitting]
        at = next((i for i, other in enumerate(spoken) if other.key == row.key), len(spoken))
        return spoken[at + 1 : at + 2]

    # Keys that need a screen of their own

    def _want(self, what: str) -> None:
        rows = self.query_one(LogList)
        self.post_message(self.Wanted(what, rows.row, self._entry, rows.marked))

    def action_edit(self) -> None:
        self._want("edit" if self._entry is not None else "add")

    def action_words(self) -> None:
        self._want("words")

    def action_pick(self, field: str) -> None:
        self._want(field)

    def action_offers(self) -> None:
        self._want("offers")

    def action_move(self) -> None:
        self._want("move")

    def action_add(self) -> None:
        self._want("add")

    def action_cut(self) -> None:
        self._want("cut")

    def action_say_again(self) -> None:
        self._want("say again")

    def action_copy(self) -> None:
        self._want("copy")

    # Keys that move or sift

    def action_next_doubt(self, by: int) -> None:
        rows = self.query_one(LogList)
        count = len(rows.rows)
        for step in range(1, count + 1):
            index = (rows.cursor + by * step) % count
            if rows.rows[index].doubts:
                rows.move_to(index)
                return
        for step in range(1, count + 1):
            index = (rows.cursor + by * step) % count
            if rows.rows[index].state is RowState.WAITS:
                rows.move_to(index)
                return

    def action_finding(self, by: int) -> None:
        self.query_one(Card).step(by)

    def action_hear(self, as_spoken: int) -> None:
        if self._row is not None:
            self.post_message(asks.Hear(self._row, 1.0 if as_spoken else SLOW))

    def action_hear_next(self) -> None:
        rows = self.query_one(LogList)
        rows.move_to(rows.cursor + 1)
        self.action_hear(1)

    def action_search(self) -> None:
        self.query_one("#sifting").display = True
        search = self.query_one("#search", Input)
        search.display = True
        search.focus()

    def action_sift(self) -> None:
        self._want("sift")

    def action_waiting(self) -> None:
        self.sift = replace(self.sift, waiting=not self.sift.waiting)

    def action_doubtful_first(self) -> None:
        self.doubtful_first = not self.doubtful_first

    def action_stretch(self) -> None:
        self.query_one(LogList).action_stretch(1)

    def action_clear(self) -> None:
        rows = self.query_one(LogList)
        if rows.release():
            return
        self.query_one("#search", Input).value = ""
        self.sift, self.doubtful_first = Sift(), False
        rows.focus()
        self._show_sift()


def _number_of(entry: Entry) -> str | None:
    """Which number of its place a finding carries."""
    place = entry.finding.place
    if place.cylinder is not None:
        return "cylinder"
    return "journal" if place.journal is not None else None


def sift_choices(rows: Sequence[Row]) -> list[tuple[str, Sift]]:
    """What the log can be narrowed to, from what is in it: the commonest parts first."""
    out: list[tuple[str, Sift]] = [
        ("what is doubtful", Sift(doubtful=True)),
        ("what waits for me", Sift(waiting=True)),
        ("lines with findings", Sift(findings_only=True)),
    ]
    out += [(f"{kind.value}s" if kind is not Kind.UNSEEN else "not looked at", Sift(kind=kind)) for kind in Kind]
    parts: dict[str, int] = {}
    cylinders: set[int] = set()
    journals: set[int] = set()
    for row in rows:
        for entry in row.entries:
            parts[entry.finding.part] = parts.get(entry.finding.part, 0) + 1
            cylinders |= {entry.finding.place.cylinder} - {None}  # type: ignore[arg-type]
            journals |= {entry.finding.place.journal} - {None}  # type: ignore[arg-type]
    out += [(f"cylinder {number}", Sift(place=Place(cylinder=number))) for number in sorted(cylinders)]
    out += [(f"journal {number}", Sift(place=Place(journal=number))) for number in sorted(journals)]
    out += [(part.replace("_", " "), Sift(part=part)) for part in sorted(parts, key=lambda name: (-parts[name], name))]
    return out
