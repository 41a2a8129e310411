"""Words from outside can't steer the terminal, and nothing hangs on colour."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchvoice.app.glance import Seen
from benchvoice.app.log import RowState
from benchvoice.domain.doubts import Doubt
from benchvoice.domain.record import Status
from benchvoice.tui import marks
from benchvoice.tui.app import ReviewApp
from benchvoice.tui.loglist import LogList
from benchvoice.tui.logscreen import LogScreen
from benchvoice.tui.safe import shown
from tests.tui import talk
from tests.tui.conftest import SMALL

HOSTILE = (
    "rod bearing three is \x1b[2J\x1b]52;c;ZXZpbA==\x07wiped",
    "bore one \x9b31m is scored",
    "piston two is scuffed \u202egnihton",
    "oil pump is [bold red]worn[/] [@click=app.quit]here[/]",
    "main cap two is \r\x08\x08 cracked",
)


@pytest.mark.parametrize("page", ["escape", "w", "e", "g", "z", "f", "l", "V", "o", "k"])
async def test_escape_sequences_are_shown_and_never_sent(tmp_path: Path, page: str) -> None:
    lines = [talk.Line(say=text, others=(text + "\x1b[31m",)) for text in HOSTILE]
    app = ReviewApp(talk.desk(tmp_path / "journal.db", lines))
    async with app.run_test(size=SMALL) as pilot:
        for index in range(len(HOSTILE)):
            app.screen.query_one(LogList).move_to(index)
            await pilot.press(page)
            await app.workers.wait_for_complete()
            await pilot.pause()
            for strip in app.screen._compositor.render_strips():
                text = "".join(segment.text for segment in strip if not segment.control)
                assert not re.search(r"[\x00-\x1f\x7f-\x9f\u202a-\u202e]", text)
            while not isinstance(app.screen, LogScreen):
                await pilot.press("escape")
                await pilot.pause()


async def test_markup_in_words_is_text(tmp_path: Path) -> None:
    app = ReviewApp(talk.desk(tmp_path / "journal.db", [talk.Line(say=HOSTILE[3])]))
    async with app.run_test(size=(120, 24)) as pilot:
        await pilot.pause()
        assert "[bold&#160;red]worn" in app.export_screenshot()


@given(st.text())
def test_nothing_that_steers_is_left(text: str) -> None:
    assert all(sign.isprintable() for sign in shown(text))


@given(st.text(alphabet=st.characters(categories=("L", "N", "P"))))
def test_what_can_be_read_stays_as_it_is(text: str) -> None:
    assert shown(text) == text


def test_every_state_has_a_shape_and_a_word_of_its_own() -> None:
    for states, mark in (
        (Doubt, marks.of_doubt),
        (RowState, marks.of_state),
        (Status, marks.of_status),
        (Seen, marks.of_seen),
    ):
        made = [mark(state) for state in states]  # type: ignore[operator, attr-defined, arg-type]
        assert len({item.shape for item in made}) == len(made)
        assert len({item.short for item in made}) == len(made)
        assert all(len(item.shape) == 1 and 0 < len(item.short) <= 8 and item.says for item in made)


async def test_without_colour_the_words_are_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = ReviewApp(talk.desk(tmp_path / "journal.db", talk.BENCH))
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("g")
        await pilot.pause()
        picture = app.export_screenshot()
        assert "wiped" in picture
        assert "▼" in picture
        colours = set(re.findall(r"fill: (#[0-9a-f]{6})", picture)) - {"#c5c8c6"}  # the picture's own frame
        assert all(code[1:3] == code[3:5] == code[5:7] for code in colours)


@pytest.mark.parametrize("theme", ["bench-night", "bench-day", "textual-ansi", "dracula", "ansi-dark"])
async def test_themes_can_be_changed(tmp_path: Path, theme: str) -> None:
    app = ReviewApp(talk.desk(tmp_path / "journal.db", talk.BENCH))
    async with app.run_test(size=SMALL) as pilot:
        if theme in app.available_themes:
            app.theme = theme
        for page in ("g", "z", "f", "escape"):
            await pilot.press(page)
            await pilot.pause()
