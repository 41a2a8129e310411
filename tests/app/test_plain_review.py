"""The review line by line: the same desk, in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchvoice.app.desk import Desk
from benchvoice.app.plain import HELP, PlainReview
from tests.tui import talk


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return talk.desk(tmp_path / "journal.db", talk.BENCH)


def ask(review: PlainReview, typed: str) -> str:
    return "\n".join(review.answer(typed))


def test_it_says_where_one_is(desk: Desk) -> None:
    said = "\n".join(PlainReview(desk).greeting())
    assert "22 lines" in said
    assert "1 clash." in said
    assert "Line 1: hartwick v six" in said


def test_a_whole_review_can_be_done_in_words(desk: Desk) -> None:
    review = PlainReview(desk)
    assert "copper showing" in ask(review, "doubt")
    assert "low confidence" in ask(review, "find copper")
    assert "Accepted rod bearing 2: copper showing." in ask(review, "accept")
    ask(review, "find nine bore")
    assert "Now cylinder bore 5: scored." in ask(review, "number 5")
    ask(review, "find number five rod")
    assert "Now rod bearing 5: wiped." in ask(review, "condition wiped")
    assert "Took back the correction." in ask(review, "undo")
    assert "scuffed" in ask(review, "words number five rod bearing is scuffed")
    assert "Left: rod bearing 3: good" in ask(review, "clash")
    assert "Kept rod bearing 3: wiped." in ask(review, "right")
    ask(review, "go 1")
    for _ in range(30):
        ask(review, "accept")
    assert "Filed as revision 1" in ask(review, "file Tallow Lane Engines")
    assert "Everything is kept." in ask(review, "quit")
    assert review.over


@pytest.mark.parametrize(
    "typed", ["fly", "number x", "number 99999999", "go 0", "words", "left", "value cat", "pick 80"]
)
def test_what_cannot_be_done_is_said_and_changes_nothing(desk: Desk, typed: str) -> None:
    review = PlainReview(desk)
    ask(review, "find oil pickup")
    last = desk.record.last_event
    assert ask(review, typed)
    assert desk.record.last_event == last


def test_help_names_every_command(desk: Desk) -> None:
    review = PlainReview(desk)
    told = " ".join(HELP)
    assert all(name in told for name in review._commands if name)
