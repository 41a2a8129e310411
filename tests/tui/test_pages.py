"""The other pages: the engine at a glance, clashes, filing, help, the palette, while one talks."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Static

from benchvoice.app.desk import Desk
from benchvoice.app.filing import as_filed, seal_holds
from benchvoice.app.glance import Seen, sheet
from benchvoice.app.judging import steps
from benchvoice.app.sitting import Listening
from benchvoice.app.watching import Pulse
from benchvoice.domain.coverage import CoverageCell, Looked, State
from benchvoice.domain.findings import Kind, Place
from benchvoice.errors import JournalError
from benchvoice.journal import Journal
from benchvoice.tui.app import ReviewApp
from benchvoice.tui.clashes import ClashScreen
from benchvoice.tui.filing import FilingScreen
from benchvoice.tui.glance import GlanceScreen
from benchvoice.tui.help import HelpScreen
from benchvoice.tui.live import LiveScreen
from benchvoice.tui.loglist import LogList
from benchvoice.tui.logscreen import LogScreen
from benchvoice.tui.nextscreen import NextScreen
from benchvoice.tui.sheet import Sheet
from tests.tui import talk
from tests.tui.conftest import SIZE, SMALL

Compare = Callable[[ReviewApp, str], None]


def squares() -> list[CoverageCell]:
    """Every kind of square once or more, whatever the coverage tables of the day ask for."""
    kinds: tuple[dict[str, Any], ...] = (
        {"looked": Looked.MEASURED, "state": State.SOUND, "measured": ("diameter",), "evidence": ("a", "b")},
        {"looked": Looked.SEEN, "state": State.SOUND, "evidence": ("c",)},
        {"looked": Looked.SEEN, "state": State.IMPAIRED, "conditions": ("wiped",), "evidence": ("d",)},
        {"looked": Looked.SEEN_IN_PART, "note": "Only said of the group."},
        {"looked": Looked.NOT_LOOKED_AT, "left_on_purpose": True},
        {"looked": Looked.GONE},
        {"looked": Looked.NOT_LOOKED_AT},
    )
    numbered = [
        CoverageCell(part=part, place=Place(cylinder=number), **kinds[(number + row) % len(kinds)])
        for row, part in enumerate(("cylinder_bore", "rod_bearing", "piston", "connecting_rod"))
        for number in talk.ENGINE.cylinder_numbers
    ]
    mains = [CoverageCell(part="main_bearing", place=Place(journal=j), **kinds[j]) for j in range(1, 5)]
    heads = [CoverageCell(part="cylinder_head", place=Place(bank=b), **kinds[1]) for b in ("left", "right")]
    return [*numbered, *mains, *heads, CoverageCell(part="oil_pump", **kinds[6])]


async def go_to_square(app: ReviewApp, part: str, place: Place) -> None:
    drawn = app.screen.query_one(Sheet)
    for line in range(200):
        drawn.at = (line, 0)
        square = drawn.square
        if square is not None and square.cell.part == part:
            for column in range(20):
                drawn.at = (line, column)
                if drawn.square is not None and place.covers(drawn.square.cell.place):
                    return
    raise AssertionError(f"no square for {part}")


@pytest.mark.parametrize(("size", "name"), [(SMALL, "glance-80x24"), (SIZE, "glance-100x30")])
async def test_the_engine_at_a_glance(app: ReviewApp, same_picture: Compare, size: tuple[int, int], name: str) -> None:
    async with app.run_test(size=size) as pilot:
        await pilot.press("g")
        await pilot.pause()
        assert isinstance(app.screen, GlanceScreen)
        app.screen.blocks = sheet(talk.ENGINE, squares(), {"wiped": 3, "cracked": 4})
        await pilot.pause()
        same_picture(app, name)


async def test_choosing_a_square_narrows_the_log(app: ReviewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("g")
        await pilot.pause()
        await go_to_square(app, "rod_bearing", Place(cylinder=3))
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)
        rows = app.screen.query_one(LogList).rows
        assert [row.text for row in rows] == ["number three rod bearing is good", "number three rod bearing is wiped"]


async def test_not_looked_at_on_purpose_is_marked_and_undone(app: ReviewApp, desk: Desk) -> None:
    start = desk.record.entries
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("g")
        await pilot.pause()
        await go_to_square(app, "rod_bearing", Place(cylinder=6))
        await pilot.press("l", "down", "enter")
        await pilot.pause()
        left = [entry for name, entry in desk.record.entries.items() if name not in start]
        assert [(entry.finding.kind, entry.finding.part) for entry in left] == [(Kind.UNSEEN, "rod_bearing")]
        assert left[0].finding.place.cylinder == 6
        await pilot.press("u")
        await pilot.pause()
        assert desk.record.entries == start


async def test_a_square_that_was_looked_at_cannot_be_left(app: ReviewApp, desk: Desk) -> None:
    last = desk.record.last_event
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("g")
        await pilot.pause()
        await go_to_square(app, "rod_bearing", Place(cylinder=3))
        await pilot.press("l")
        await pilot.pause()
        assert isinstance(app.screen, GlanceScreen)
    assert desk.record.last_event == last


async def test_a_clash_is_decided_with_one_key(app: ReviewApp, desk: Desk, same_picture: Compare) -> None:
    async with app.run_test(size=SMALL) as pilot:
        assert len(desk.contradictions) == 1
        await pilot.press("z")
        await pilot.pause()
        same_picture(app, "clashes-80x24")
        assert isinstance(app.screen, ClashScreen)
        await pilot.press("right")
        await pilot.pause()
        assert not desk.contradictions
        kept = [desk.phrase(e.finding) for e in desk.record.standing() if e.finding.place == Place(cylinder=3)]
        assert kept == ["rod bearing 3: wiped"]
        await pilot.press("u")
        await pilot.pause()
        assert len(desk.contradictions) == 1


async def test_both_may_stand_with_a_reason(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("z", "b", "enter")
        await pilot.pause()
        assert not desk.contradictions
        assert desk.record.settled[-1].decision == "both"
        assert desk.record.settled[-1].reason


async def test_filing_waits_for_clashes_and_findings_then_seals(
    app: ReviewApp, desk: Desk, same_picture: Compare
) -> None:
    journal = desk.review.journal
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("f")
        await pilot.pause()
        assert isinstance(app.screen, FilingScreen)
        same_picture(app, "filing-80x24")
        await pilot.press("f")
        await pilot.pause()
        assert not desk.record.revisions
        await pilot.press("z", "right", "escape")
        rows = app.screen.query_one(LogList)
        rows.move_to(0)
        for _ in rows.rows:
            await pilot.press("a")
        await pilot.pause()
        assert not desk.record.unreviewed()
        await pilot.press("f", "f")
        await pilot.pause()
        assert len(desk.record.revisions) == 1
        assert desk.record.revisions[0].filed.by == "Tallow Lane Engines"
        await pilot.press("escape")
        rows.move_to(2)
        await pilot.press("x", "f", "f")
        await pilot.pause()
        assert len(desk.record.revisions) == 2
    assert seal_holds(journal, talk.STOCK, 1)
    assert seal_holds(journal, talk.STOCK, 2)
    assert len(as_filed(journal, talk.STOCK, 1).accepted()) == len(as_filed(journal, talk.STOCK, 2).accepted()) + 1


async def test_filing_may_leave_out_what_waits_and_says_which(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        app.screen.query_one(LogList).move_to(2)
        await pilot.press("a", "z", "right", "escape", "f", "w")
        await pilot.pause()
        filed = desk.record.revisions[0].filed
        assert filed.left_unreviewed
        assert set(filed.left_unreviewed).isdisjoint(filed.finding_ids)


async def test_nobody_files_without_a_name(desk: Desk) -> None:
    app = ReviewApp(desk)
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("f", "w")
        await pilot.pause()
        assert not desk.record.revisions
        assert app.focused is not None
        assert app.focused.id == "by"


async def test_help_lists_every_key_of_the_page(app: ReviewApp, same_picture: Compare) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("question_mark")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        same_picture(app, "help-100x30")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)


@pytest.mark.parametrize("page", ["g", "z", "f", "l", "V"])
async def test_every_page_has_help_and_leads_back(app: ReviewApp, page: str) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press(page)
        await pilot.pause()
        assert not isinstance(app.screen, LogScreen)
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        await pilot.press("escape")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)


async def test_the_palette_offers_what_the_keys_do(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        titles = {command.title for command in app.get_system_commands(app.screen)}
        assert {"The marked finding is wrong", "Undo", "Engine at a glance", "Theme"} <= titles
        app.screen.query_one(LogList).move_to(2)
        await pilot.press("ctrl+p")
        await pilot.pause()
        await pilot.press(*"marked finding is wrong")
        await pilot.pause(0.3)
        await pilot.press("enter")
        await pilot.pause(0.1)
        await pilot.pause()
        assert any(entry.status.value == "dropped" for entry in desk.record.entries.values())


async def test_rows_appear_while_another_program_hears(tmp_path: Path) -> None:
    desk = talk.desk(tmp_path / "journal.db", talk.BENCH[:4], closed=False)
    app = ReviewApp(desk)
    async with app.run_test(size=SMALL) as pilot:
        before = len(app.screen.query_one(LogList).rows)
        with Journal.open(tmp_path / "journal.db") as other:
            listening = Listening(other, talk.STOCK, f"{talk.STOCK}-s1", talk.reader())
            listening.resume()
            listening.hear(talk.utterances(talk.BENCH[4:5], first=4)[0])
        await pilot.pause(1.2)
        assert len(app.screen.query_one(LogList).rows) == before + 1


async def test_the_live_page_shows_focus_level_and_big_letters(desk: Desk, same_picture: Compare) -> None:
    app = ReviewApp(desk)
    async with app.run_test(size=SMALL) as pilot:
        app.push_screen(screen := LiveScreen(desk.phrase, lambda: Pulse(level=-21.0, seconds=754.0)))
        app.look()
        await pilot.pause(0.3)
        same_picture(app, "live-80x24")
        await pilot.press("b")
        await pilot.pause()
        assert screen.letters
        same_picture(app, "live-big-80x24")


async def test_a_page_can_be_shrunk_and_grown(app: ReviewApp) -> None:
    async with app.run_test(size=(140, 45)) as pilot:
        for page in ("g", "z", "f", "V", "escape"):
            await pilot.press(page)
            for size in ((80, 24), (200, 60), (30, 8), (80, 24)):
                await pilot.resize_terminal(*size)
                await pilot.pause()
        assert isinstance(app.screen, LogScreen)


async def test_a_square_left_on_purpose_says_so(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("g")
        await pilot.pause()
        await go_to_square(app, "rod_bearing", Place(cylinder=6))
        await pilot.press("l", "enter")
        await pilot.pause()
        await go_to_square(app, "rod_bearing", Place(cylinder=6))
        square = app.screen.query_one(Sheet).square
        assert square is not None
        assert square.seen is Seen.LEFT


async def test_a_journal_that_fails_meanwhile_is_said_and_the_screen_stays(
    app: ReviewApp, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken() -> bool:
        raise JournalError("The journal can't be read.", hint="Is the disk there?")

    async with app.run_test(size=SMALL) as pilot:
        monkeypatch.setattr(desk.review, "changed", broken)
        await pilot.pause(0.8)
        assert isinstance(app.screen, LogScreen)
        assert "can't be read" in app.screen.query_one("TopBar").note  # type: ignore[attr-defined]


async def test_next_looks_are_told_beside_the_log_and_kept_up_to_date(app: ReviewApp) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("L")
        assert isinstance(app.screen, NextScreen)
        await app.workers.wait_for_complete()
        await pilot.pause()
        told = str(app.screen.query_one("#looks", Static).render())
        expected = steps(app.screen.view.record)
        assert expected
        assert all(line in told for line in expected)
        await pilot.press("escape")
        assert isinstance(app.screen, LogScreen)
