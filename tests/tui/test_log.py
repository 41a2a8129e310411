"""Going through the log: real keys on the real screen over a real journal."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from benchvoice.app.desk import Desk
from benchvoice.app.log import RowState
from benchvoice.domain.doubts import Doubt
from benchvoice.domain.findings import Kind, Place
from benchvoice.domain.record import Status
from benchvoice.tui.app import ReviewApp
from benchvoice.tui.card import Card
from benchvoice.tui.loglist import LogList
from benchvoice.tui.logscreen import LogScreen
from benchvoice.tui.pick import Pick
from tests.tui import talk
from tests.tui.conftest import SIZE, SMALL

Compare = Callable[[ReviewApp, str], None]


def at(app: ReviewApp, words: str) -> None:
    """Put the cursor on the first row with these words."""
    rows = app.screen.query_one(LogList)
    rows.move_to(next(i for i, row in enumerate(rows.rows) if words in row.text))


def phrases(desk: Desk, words: str) -> list[str]:
    row = next(row for row in desk.rows() if words in row.text)
    return [desk.phrase(entry.finding) for entry in row.entries if entry.counts]


@pytest.mark.parametrize(("size", "name"), [(SMALL, "log-80x24"), (SIZE, "log-100x30")])
async def test_the_log_looks_as_it_should(
    app: ReviewApp, same_picture: Compare, size: tuple[int, int], name: str
) -> None:
    async with app.run_test(size=size) as pilot:
        await pilot.press("n")
        await pilot.pause()
        same_picture(app, name)


async def test_accepting_goes_on_and_settles_the_row(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "oil pickup")
        await pilot.press("a")
        await pilot.pause()
        row = next(row for row in desk.rows() if "oil pickup" in row.text)
        assert row.state is RowState.SETTLED
        assert row.entries[0].status is Status.ACCEPTED
        assert app.screen.query_one(LogList).row is not None
        assert "rod bearing looks good" in app.screen.query_one(LogList).row.text  # type: ignore[union-attr]


async def test_dropping_undo_and_redo_are_one_key_each(app: ReviewApp, desk: Desk) -> None:
    start = desk.record.entries
    async with app.run_test(size=SMALL) as pilot:
        at(app, "oil pickup")
        await pilot.press("x")
        await pilot.pause()
        assert phrases(desk, "oil pickup") == []
        await pilot.press("u")
        await pilot.pause()
        assert desk.record.entries == start
        await pilot.press("r")
        await pilot.pause()
        assert phrases(desk, "oil pickup") == []


async def test_a_digit_puts_the_number_right(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "number nine bore")
        await pilot.press("5")
        await pilot.pause()
        assert phrases(desk, "number nine bore") == ["cylinder bore 5: scored"]
        row = next(row for row in desk.rows() if "number nine" in row.text)
        assert not row.doubts


async def test_a_digit_on_a_main_is_a_journal(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "main bearing two")
        await pilot.press("3")
        await pilot.pause()
        assert next(row for row in desk.rows() if "main bearing two" in row.text).entries[0].finding.place == Place(
            journal=3
        )


async def test_a_stretch_moves_as_one_step(app: ReviewApp, desk: Desk) -> None:
    start = desk.record.entries
    async with app.run_test(size=SMALL) as pilot:
        at(app, "number two rod bearing is wiped")
        await pilot.press("shift+down", "4")
        await pilot.pause()
        assert phrases(desk, "number two rod bearing is wiped") == ["rod bearing 4: wiped"]
        assert phrases(desk, "copper showing") == ["rod bearing 4: copper showing"]
        await pilot.press("u")
        await pilot.pause()
        assert desk.record.entries == start


async def test_a_condition_is_picked_by_its_first_letters(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "number five rod bearing")
        await pilot.press("c")
        await pilot.pause()
        assert isinstance(app.screen, Pick)
        await pilot.press("w", "i", "enter")
        await pilot.pause()
        assert phrases(desk, "number five rod bearing") == ["rod bearing 5: wiped"]


async def test_the_finding_sheet_changes_fields(app: ReviewApp, desk: Desk, same_picture: Compare) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "number five rod bearing")
        await pilot.press("e")
        await pilot.pause()
        same_picture(app, "finding-80x24")
        await pilot.press("down", "down", "down", "down", "enter", "a")
        await pilot.pause()
        assert phrases(desk, "number five rod bearing") == ["rod bearing 5: not scored"]


async def test_leaving_a_sheet_changes_nothing(app: ReviewApp, desk: Desk) -> None:
    last = desk.record.last_event
    async with app.run_test(size=SMALL) as pilot:
        at(app, "number five rod bearing")
        for key in ("e", "w", "c", "p", "m", "k", "plus", "s"):
            await pilot.press(key)
            await pilot.pause()
            await pilot.press("escape")
            await pilot.pause()
            while not isinstance(app.screen, LogScreen):
                await pilot.press("escape")
                await pilot.pause()
        assert desk.record.last_event == last


async def test_new_words_are_read_again_with_the_difference_in_view(
    app: ReviewApp, desk: Desk, same_picture: Compare
) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "number five rod bearing")
        await pilot.press("w")
        await pilot.press(*["backspace"] * len("scored"), *"wiped")
        await app.workers.wait_for_complete()
        await pilot.pause()
        same_picture(app, "words-80x24")
        await pilot.press("enter")
        await pilot.pause()
        assert phrases(desk, "number five rod bearing is wiped") == ["rod bearing 5: wiped"]
        await pilot.press("u")
        await pilot.pause()
        assert phrases(desk, "number five rod bearing is scored") == ["rod bearing 5: scored"]


async def test_the_recognisers_other_reading_is_two_keys(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "number nine bore")
        await pilot.press("o", "enter")
        await pilot.pause()
        assert phrases(desk, "number five bore is scored") == ["cylinder bore 5: scored"]


async def test_splitting_and_joining_are_each_others_undo(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        count = len(desk.rows())
        at(app, "oil pan is off")
        await pilot.press("k")
        await pilot.press(*"and there", "enter")
        await pilot.pause()
        texts = [row.text for row in desk.rows()]
        assert len(texts) == count + 1
        assert texts[1:3] == ["oil pan is off", "and there is metal in the pan"]
        at(app, "oil pan is off")
        await pilot.press("j")
        await pilot.pause()
        assert [row.text for row in desk.rows()][1] == "oil pan is off and there is metal in the pan"
        await pilot.press("u", "u")
        await pilot.pause()
        assert len(desk.rows()) == count


async def test_leaving_the_first_choice_of_a_finding_by_hand_leaves_nothing_open(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "hartwick v six")
        await pilot.press("plus", "escape")
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)
        assert all(entry.original is not None for entry in desk.record.entries.values())


async def test_an_unread_line_is_settled_with_a_and_comes_back_with_u(tmp_path: Path) -> None:
    lines = [
        talk.Line(say="bearing is guides", sure=0.2, unsure=("guides",), others=("bearing is good",)),
        talk.Line(say="left head is off"),
    ]
    desk = talk.desk(tmp_path / "journal.db", lines)
    app = ReviewApp(desk)
    async with app.run_test(size=SMALL) as pilot:
        assert [row.doubts for row in desk.rows()] == [(Doubt.NOTHING_READ,), ()]
        await pilot.press("a")
        await pilot.pause()
        assert [row.doubts for row in desk.rows()] == [(), ()]
        assert desk.counts.doubtful == 0
        await pilot.press("u")
        await pilot.pause()
        assert [row.doubts for row in desk.rows()] == [(Doubt.NOTHING_READ,), ()]


@pytest.mark.parametrize("width", [60, 80, 100, 140])
async def test_the_footer_shows_no_half_key(app: ReviewApp, width: int) -> None:
    async with app.run_test(size=(width, 24)) as pilot:
        await pilot.pause()
        keys = list(app.screen.query("FooterKey"))
        assert len(keys) > 5
        assert all(key.region.right <= width and key.region.width > 0 for key in keys)


async def test_long_words_are_shown_whole_in_the_card(tmp_path: Path) -> None:
    said = "number four main bearing is wiped and the back of the shell is blue and the tang is bent over too"
    app = ReviewApp(talk.desk(tmp_path / "journal.db", [talk.Line(say=said)]))
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        shown = app.screen.query_one(Card).render()
        assert "tang is bent over too" in str(shown)


async def test_a_finding_is_added_by_hand(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "hartwick v six")
        await pilot.press("plus")
        await pilot.press(*"oil fil", "enter")
        await pilot.press(*"metal", "enter", "a")
        await pilot.pause()
        added = [entry for entry in desk.record.entries.values() if entry.original is None]
        assert [desk.phrase(entry.finding) for entry in added] == ["oil filter: metal debris"]
        assert added[0].finding.kind is Kind.CONDITION
        assert "hartwick" in added[0].finding.text


async def test_search_narrows_as_one_types_and_escape_shows_everything(app: ReviewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        everything = len(app.screen.query_one(LogList).rows)
        await pilot.press("slash", *"rod bear")
        await pilot.pause()
        rows = app.screen.query_one(LogList).rows
        assert 0 < len(rows) < everything
        assert all("rod" in row.text and "bear" in row.text for row in rows)
        await pilot.press("enter", "escape")
        await pilot.pause()
        assert len(app.screen.query_one(LogList).rows) == everything


async def test_search_takes_anything_as_words(app: ReviewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("slash", *'" OR 1=1 * (')
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)


async def test_sifting_by_part_and_by_what_waits(app: ReviewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", *"rod bearing", "enter")
        await pilot.pause()
        rows = app.screen.query_one(LogList).rows
        assert rows
        assert {entry.finding.part for row in rows for entry in row.entries} == {"rod_bearing"}
        await pilot.press("escape", "t")
        await pilot.pause()
        assert all(row.waiting for row in app.screen.query_one(LogList).rows)


async def test_the_gravest_doubts_come_first_on_request(app: ReviewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("d")
        await pilot.pause()
        rows = app.screen.query_one(LogList).rows
        ranks = [row.doubts[0].rank if row.doubts else 99 for row in rows]
        assert ranks == sorted(ranks)
        assert ranks[0] < 99


async def test_the_card_steps_through_findings_of_a_row(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        rows = app.screen.query_one(LogList)
        index = next((i for i, row in enumerate(rows.rows) if len(row.entries) > 1), None)
        if index is None:
            at(app, "oil pickup")
            await pilot.press("plus")
            await pilot.press("c", *"worn", "enter", "a")
            await pilot.pause()
            index = next(i for i, row in enumerate(rows.rows) if len(row.entries) > 1)
        rows.move_to(index)
        await pilot.pause()
        first = app.screen.query_one(Card).entry
        await pilot.press("right")
        assert app.screen.query_one(Card).entry != first
        await pilot.press("right")
        assert app.screen.query_one(Card).entry == first


async def test_copying_uses_the_terminals_own_way(app: ReviewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "oil pickup")
        await pilot.press("y")
        await pilot.pause()
        assert "oil pickup is half plugged" in app.clipboard


async def test_leaving_keeps_what_was_done(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "oil pickup")
        await pilot.press("x", "q")
    assert phrases(desk, "oil pickup") == []


async def test_without_sound_it_says_so_and_goes_on(app: ReviewApp, desk: Desk) -> None:
    async with app.run_test(size=SMALL) as pilot:
        at(app, "oil pickup")
        await pilot.press("space")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "not kept" in app.page.query_one("TopBar").note  # type: ignore[union-attr, attr-defined]
        await pilot.press("x")
        await pilot.pause()
        assert phrases(desk, "oil pickup") == []


async def test_a_click_chooses_a_row_and_the_ribbon_goes_there(app: ReviewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.click(LogList, offset=(20, 4))
        await pilot.pause()
        assert app.screen.query_one(LogList).cursor == 4
        await pilot.click("Ribbon", offset=(0, 12))
        await pilot.pause()
        assert app.screen.query_one(LogList).cursor > 10
