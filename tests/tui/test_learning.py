"""Fixes that keep coming back: offered, shown, previewed, and written only when the person says so."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from benchvoice import lexicon
from benchvoice.app import learn
from benchvoice.app.choices import with_choice
from benchvoice.app.desk import Desk
from benchvoice.domain.findings import Finding, Kind
from benchvoice.errors import GrammarError
from benchvoice.interpret import Reader
from benchvoice.tui.app import ReviewApp
from benchvoice.tui.learnscreen import LearnScreen
from tests.tui import talk
from tests.tui.conftest import SMALL

MISHEARD = (
    talk.Line(say="number two rod bearing is whited"),
    talk.Line(say="number four rod bearing is whited"),
    talk.Line(say="number six rod bearing is whited"),
    talk.Line(say="oil pump is scored"),
)


@pytest.fixture
def fixed(tmp_path: Path) -> Desk:
    """A sitting in which two of three mishearings were put right the same way."""
    desk = talk.desk(tmp_path / "journal.db", MISHEARD)
    for row in desk.rows()[:2]:
        desk.reword(row, row.text.replace("whited", "wiped"))
    return desk


def only(offers: list[learn.Offer]) -> learn.Offer:
    (offer,) = offers
    return offer


def test_a_fix_made_twice_is_offered_with_the_lines(fixed: Desk) -> None:
    offer = only(fixed.offers())
    assert (offer.file, offer.heard, offer.meant) == ("confusions.csv", "whited", "wiped")
    assert len(offer.where) == 2


def test_a_fix_made_once_or_undone_is_not_offered(fixed: Desk) -> None:
    fixed.undo()
    assert fixed.offers() == []


def test_a_slip_of_numbers_is_nothing_to_learn(tmp_path: Path) -> None:
    desk = talk.desk(tmp_path / "journal.db", [talk.Line(say="number five bore is scored")] * 3)
    for row in desk.rows():
        desk.reword(row, row.text.replace("five", "six"))
    assert desk.offers() == []


def test_a_word_of_the_trade_needs_something_beside_it(tmp_path: Path) -> None:
    said = ("number one rod bearing is worn", "coolant hose is worn", "number three rod bearing is worn")
    desk = talk.desk(tmp_path / "journal.db", [talk.Line(say=text) for text in said])
    for row in desk.rows()[:2]:
        desk.reword(row, row.text.replace("worn", "torn off"))
    assert all(offer.needs for offer in desk.offers() if offer.heard == "worn")


def test_nothing_is_written_by_looking(fixed: Desk, tmp_path: Path) -> None:
    offer = only(fixed.offers())
    learn.change(offer)
    learn.preview(offer, fixed.review.journal)
    assert not learn.own_folder().exists()


def test_the_preview_shows_what_would_read_differently(fixed: Desk) -> None:
    last = fixed.record.last_event
    effect = learn.preview(only(fixed.offers()), fixed.review.journal)
    assert effect.read == len(MISHEARD)
    changed = {change.after.utterance.text: change for change in effect.changes}
    assert "number six rod bearing is whited" in changed
    assert [f.condition for f in changed["number six rod bearing is whited"].after.findings] == ["wiped"]
    assert fixed.record.last_event == last


def test_keeping_it_makes_the_next_sitting_read_right(fixed: Desk) -> None:
    made = learn.keep(only(fixed.offers()))
    rows = list(csv.DictReader(made.path.read_text(encoding="utf-8").splitlines()))
    assert rows == [{"heard": "whited", "meant": "wiped", "needs": rows[0]["needs"], "source": "learned"}]
    words = lexicon.load()
    reading = next(iter(Reader(words, talk.ENGINE).read_all(talk.utterances(MISHEARD[2:3]))))
    assert [finding.condition for finding in reading.findings] == ["wiped"]
    again = learn.offers([fixed.record], words)
    assert again == []


def test_what_is_in_the_file_already_stays_byte_for_byte(fixed: Desk) -> None:
    path = learn.own_folder() / "confusions.csv"
    path.parent.mkdir(parents=True)
    before = "heard,meant,needs,source\nswarm,worn,,hand"
    path.write_text(before, encoding="utf-8")
    made = learn.keep(only(fixed.offers()))
    assert made.after.startswith(before + "\n")
    assert [line for line in made.diff if line.startswith("-") and not line.startswith("---")] == []


def test_a_broken_file_of_ones_own_is_named_and_left_alone(fixed: Desk) -> None:
    folder = learn.own_folder()
    folder.mkdir(parents=True)
    (folder / "conditions.toml").write_text("[wiped\n", encoding="utf-8")
    with pytest.raises(GrammarError, match=r"conditions\.toml"):
        learn.keep(only(fixed.offers()))
    assert not (folder / "confusions.csv").exists()


def test_a_word_of_ones_own_is_offered_for_the_condition_it_was_used_for(tmp_path: Path) -> None:
    said = ("number two rod bearing is gronked", "number four rod bearing is gronked")
    desk = talk.desk(tmp_path / "journal.db", [talk.Line(say=text) for text in said])
    for row in desk.rows():
        draft = Finding(kind=Kind.CONDITION, part="rod_bearing")
        desk.add(with_choice(draft, "condition", "wiped", desk.lexicon), row)
    offer = only(desk.offers())
    assert (offer.file, offer.heard, offer.meant) == ("conditions.toml", "gronked", "wiped")
    effect = learn.preview(offer, desk.review.journal)
    assert effect.changes


async def test_the_page_shows_the_change_and_writes_on_a(fixed: Desk) -> None:
    app = ReviewApp(fixed)
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("l")
        await pilot.pause()
        assert isinstance(app.screen, LearnScreen)
        assert "+whited,wiped" in app.export_screenshot().replace("&#160;", " ")
        await pilot.press("p")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "would&#160;read&#160;differently" in app.export_screenshot()
        assert not learn.own_folder().exists()
        await pilot.press("a")
        await pilot.pause()
    assert (learn.own_folder() / "confusions.csv").exists()
