"""The review as a terminal screen. The app holds the record's desk, hands views down and carries out what screens ask.

No rule lives here: what an action does is the desk's, what it looks like is the screens'.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import ClassVar

from textual import on, work
from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.worker import Worker, WorkerState

from benchvoice.app.desk import Desk
from benchvoice.app.log import Key, Sift, key_of
from benchvoice.app.say_again import hear_words
from benchvoice.app.sound import Hearing, Stretch
from benchvoice.errors import BenchvoiceError
from benchvoice.tui import asks, learning
from benchvoice.tui.clashes import ClashScreen
from benchvoice.tui.filing import FilingScreen
from benchvoice.tui.glance import GlanceScreen
from benchvoice.tui.help import HelpScreen, keys_of
from benchvoice.tui.learnscreen import LearnScreen
from benchvoice.tui.live import LiveScreen
from benchvoice.tui.logscreen import LogScreen
from benchvoice.tui.nextscreen import NextScreen
from benchvoice.tui.page import Page, View
from benchvoice.tui.palette import commands_of
from benchvoice.tui.say_again import Listen
from benchvoice.tui.themes import DARK, LIGHT, ROWS
from benchvoice.tui.wants import Wants

HERE = Path(__file__).parent
POLL = 0.5
"""Seconds between looks whether another program wrote to the journal."""


class ReviewApp(App[None]):
    """Reviews one engine. Every change is in the journal before its key has been answered: leaving loses nothing."""

    TITLE = "benchvoice"
    CSS_PATH: ClassVar = [HERE / f"{name}.tcss" for name in ("app", "log", "over", "glance", "pages")]
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("question_mark,f1", "help", "keys", key_display="?", id="help", tooltip="All keys of this page"),
        Binding("g", "glance", "engine", id="glance", tooltip="Engine at a glance"),
        Binding("z", "clashes", "clashes", id="clashes", tooltip="Findings that can't both be true"),
        Binding("f", "filing", "file", id="filing", tooltip="A last look, and filing"),
        Binding("l", "learn", "learn", id="learn", tooltip="Fixes that keep coming back"),
        Binding("L", "next_looks", "next looks", show=False, id="next_looks", tooltip="What to look at next, and why"),
        Binding("V", "live", "live", show=False, id="live", tooltip="Follow a sitting while one talks"),
        Binding("q", "quit", "leave", show=False, id="leave_app"),
    ]

    def __init__(
        self,
        desk: Desk,
        *,
        hearing: Hearing | None = None,
        listen: Listen = hear_words,
        shop: str = "",
        live: bool = False,
    ) -> None:
        super().__init__()
        self.desk = desk
        self.hearing = hearing or Hearing()
        self.listen = listen
        self.shop = shop
        self._begin_live = live
        self._last_event = -1
        self._log_page = LogScreen(desk.phrase)

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Colours of ours for themes that don't name them."""
        return ROWS

    # Start, and views down

    def on_mount(self) -> None:
        for theme in (DARK, LIGHT):
            self.register_theme(theme)
        self.theme = DARK.name
        self.push_screen(self._log_page)
        self.look()
        self.warm()
        # What was just read stays: going through all of it in every full collection would take longer than a key may.
        gc.freeze()
        if self._begin_live:
            self.action_live()
        self.set_interval(POLL, self._poll)

    def warm(self) -> None:
        """Load what reading words needs while the person looks at the first line."""
        self.run_worker(self.desk.warm(), thread=True, group="warm", exit_on_error=False)

    @property
    def page(self) -> Page | None:
        """The page that is open, under whatever lies over it."""
        return next((screen for screen in reversed(self.screen_stack) if isinstance(screen, Page)), None)

    def look(self) -> None:
        """Make a view of the record as it stands and hand it to the open pages."""
        desk = self.desk
        rows = desk.rows()
        record = desk.record
        self._last_event = record.last_event
        view = View(
            stock=desk.review.stock, record=record, rows=rows, counts=desk.counts, contradictions=desk.contradictions
        )
        for screen in self.screen_stack:
            if isinstance(screen, Page):
                screen.view = view
            if isinstance(screen, GlanceScreen):
                screen.blocks = desk.glance()

    def _poll(self) -> None:
        try:
            if self.desk.review.changed() and self.desk.record.last_event != self._last_event:
                self.look()
        except BenchvoiceError as error:
            self.tell(f"{error.what} {error.hint}".strip(), wrong=True)

    def change(self, deed: Callable[[], str]) -> bool:
        """Carry a change out, say what it did, and look again. What can't be done is said and changes nothing."""
        try:
            self.tell(deed())
        except BenchvoiceError as error:
            self.tell(f"{error.what} {error.hint}".strip(), wrong=True)
            return False
        finally:
            self.look()
        return True

    def tell(self, text: str, *, wrong: bool = False) -> None:
        """One line to the person. Only what went wrong stays long enough to be looked for."""
        page = self.page
        if wrong or page is None:
            self.notify(text, severity="error" if wrong else "information", markup=False)
        if page is not None:
            page.say(text)

    # What screens ask

    @on(asks.Accept)
    def _accept(self, ask: asks.Accept) -> None:
        self.change(lambda: self.desk.accept(ask.rows))

    @on(asks.Drop)
    def _drop(self, ask: asks.Drop) -> None:
        self.change(lambda: self.desk.drop(ask.entries, ask.reason))

    @on(asks.Reword)
    def _reword(self, ask: asks.Reword) -> None:
        self.change(lambda: self.desk.reword(ask.row, ask.text))

    @on(asks.Correct)
    def _correct(self, ask: asks.Correct) -> None:
        self.change(lambda: self.desk.correct(ask.entry, ask.after))

    @on(asks.Move)
    def _move(self, ask: asks.Move) -> None:
        self.change(lambda: self.desk.move(ask.entries, ask.to))

    @on(asks.Add)
    def _add(self, ask: asks.Add) -> None:
        self.change(lambda: self.desk.add(ask.finding, ask.row))

    @on(asks.Split)
    def _split(self, ask: asks.Split) -> None:
        self.change(lambda: self.desk.split(ask.row, ask.at))

    @on(asks.Join)
    def _join(self, ask: asks.Join) -> None:
        self.change(lambda: self.desk.join(ask.row, ask.after))

    @on(asks.Settle)
    def _settle(self, ask: asks.Settle) -> None:
        self.change(lambda: self.desk.settle(ask.first, ask.second, ask.decision, ask.reason))

    @on(asks.LeaveOut)
    def _leave(self, ask: asks.LeaveOut) -> None:
        self.change(lambda: self.desk.leave(ask.part, ask.place, ask.reason))

    @on(asks.Undo)
    def _undo(self) -> None:
        self.change(self.desk.undo)

    @on(asks.Redo)
    def _redo(self) -> None:
        self.change(self.desk.redo)

    @on(asks.FileIt)
    def _file(self, ask: asks.FileIt) -> None:
        def deed() -> str:
            filed = self.desk.file(ask.by, anyway=ask.anyway).filed
            return f"Filed as revision {filed.revision}, sealed {filed.sha256[:12]}."

        self.change(deed)

    @on(asks.Hear)
    def _hear(self, ask: asks.Hear) -> None:
        row = ask.row
        sitting = self.desk.record.sittings.get(row.sitting)
        sounds = () if sitting is None else sitting.sounds
        self._play(row.key, Stretch(sitting=row.sitting, t0=row.t0, t1=row.t1, sounds=sounds), ask.speed)

    @work(thread=True, exclusive=True, exit_on_error=False, group="sound")
    def _play(self, key: Key, stretch: Stretch, speed: float) -> None:
        played = self.hearing.play(stretch, speed)
        self.post_message(asks.Heard(key, played.level, played.problem))

    @on(asks.Heard)
    def _heard(self, heard: asks.Heard) -> None:
        if heard.problem:
            self.tell(heard.problem)
        self._log_page.show_level(heard.key, heard.level)

    @on(Worker.StateChanged)
    def _worker_failed(self, event: Worker.StateChanged) -> None:
        if event.state is WorkerState.ERROR:
            self.tell(f"That did not work: {event.worker.error}", wrong=True)

    # What the log asks

    @on(LogScreen.Search)
    def _search(self, search: LogScreen.Search) -> None:
        self._log_page.search(search.words, self.desk.search(search.words) if search.words.strip() else None)

    @on(LogScreen.Wanted)
    def _wanted(self, wanted: LogScreen.Wanted) -> None:
        Wants(self, self._log_page).open(wanted)

    @on(GlanceScreen.Narrow)
    def _narrow(self, narrow: GlanceScreen.Narrow) -> None:
        self.action_log()
        self._log_page.sift = narrow.sift

    @on(ClashScreen.GoTo)
    def _go_to(self, go: ClashScreen.GoTo) -> None:
        self.action_log()
        self._log_page.go_to(key_of(go.entry))

    # Pages and help

    def action_log(self) -> None:
        while len(self.screen_stack) > 1 and self.screen is not self._log_page:
            self.pop_screen()
        self._log_page.sift = Sift()

    def action_glance(self) -> None:
        self._open(GlanceScreen(self.desk.lexicon.phrase))

    def action_clashes(self) -> None:
        self._open(ClashScreen(self.desk.phrase))

    def action_filing(self) -> None:
        screen = FilingScreen(self.desk.phrase)
        filed = self.desk.record.revisions
        screen.shop = self.shop or (filed[-1].filed.by if filed else "")
        self._open(screen)

    def action_learn(self) -> None:
        self._open(learning.page(self))

    @on(LearnScreen.Keep)
    def _keep(self, keep: LearnScreen.Keep) -> None:
        learning.keep(self, keep.offer)

    def action_next_looks(self) -> None:
        self._open(NextScreen())

    def action_live(self) -> None:
        self._open(LiveScreen(self.desk.phrase, self.desk.pulse))

    def _open(self, screen: Page) -> None:
        if self.screen is not self._log_page:
            self.action_log()
        self.push_screen(screen)
        self.look()

    def action_help(self) -> None:
        page = self.page
        if page is not None and not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(page.topic, keys_of(page)))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette: everything that the open page has a key for, then the library's own (themes, screenshot)."""
        if self.page is not None and self.page is screen:
            yield from commands_of(self, self.page)
        yield from super().get_system_commands(screen)
