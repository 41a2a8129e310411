"""Fixes that keep coming back: offered, shown, previewed, and written only when the person says so."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from textual.pilot import Pilot

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


def offers_of(desk: Desk) -> list[learn.Offer]:
    return learn.gather(desk.review.journal.path, desk.lexicon)


def only(offers: list[learn.Offer]) -> learn.Offer:
    (offer,) = offers
    return offer


def test_a_fix_made_twice_is_offered_with_the_lines(fixed: Desk) -> None:
    offer = only(offers_of(fixed))
    assert (offer.file, offer.heard, offer.meant) == ("confusions.csv", "whited", "wiped")
    assert len(offer.where) == 2


def test_a_fix_made_once_or_undone_is_not_offered(fixed: Desk) -> None:
    fixed.undo()
    assert offers_of(fixed) == []


def test_a_slip_of_numbers_is_nothing_to_learn(tmp_path: Path) -> None:
    desk = talk.desk(tmp_path / "journal.db", [talk.Line(say="number five bore is scored")] * 3)
    for row in desk.rows():
        desk.reword(row, row.text.replace("five", "six"))
    assert offers_of(desk) == []


def test_a_word_of_the_trade_needs_something_beside_it(tmp_path: Path) -> None:
    said = ("number one rod bearing is worn", "coolant hose is worn", "number three rod bearing is worn")
    desk = talk.desk(tmp_path / "journal.db", [talk.Line(say=text) for text in said])
    for row in desk.rows()[:2]:
        desk.reword(row, row.text.replace("worn", "torn off"))
    assert all(offer.needs for offer in offers_of(desk) if offer.heard == "worn")


def test_nothing_is_written_by_looking(fixed: Desk, tmp_path: Path) -> None:
    offer = only(offers_of(fixed))
    learn.change(offer)
    learn.preview(offer, fixed.review.journal)
    assert not learn.own_folder().exists()


def test_the_preview_shows_what_would_read_differently(fixed: Desk) -> None:
    last = fixed.record.last_event
    effect = learn.preview(only(offers_of(fixed)), fixed.review.journal)
    assert effect.read == len(MISHEARD)
    changed = {change.after.utterance.text: change for change in effect.changes}
    assert "number six rod bearing is whited" in changed
    assert [f.condition for f in changed["number six rod bearing is whited"].after.findings] == ["wiped"]
    assert fixed.record.last_event == last


def test_keeping_it_makes_the_next_sitting_read_right(fixed: Desk) -> None:
    made = learn.keep(only(offers_of(fixed)))
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
    made = learn.keep(only(offers_of(fixed)))
    assert made.after.startswith(before + "\n")
    assert [line for line in made.diff if line.startswith("-") and not line.startswith("---")] == []


def test_a_broken_file_of_ones_own_is_named_and_left_alone(fixed: Desk) -> None:
    folder = learn.own_folder()
    folder.mkdir(parents=True)
    (folder / "conditions.toml").write_text("[wiped\n", encoding="utf-8")
    with pytest.raises(GrammarError, match=r"conditions\.toml"):
        learn.keep(only(offers_of(fixed)))
    assert not (folder / "confusions.csv").exists()


def test_a_word_of_ones_own_is_offered_for_the_condition_it_was_used_for(tmp_path: Path) -> None:
    said = ("number two rod bearing is gronked", "number four rod bearing is gronked")
    desk = talk.desk(tmp_path / "journal.db", [talk.Line(say=text) for text in said])
    for row in desk.rows():
        draft = Finding(kind=Kind.CONDITION, part="rod_bearing")
        desk.add(with_choice(draft, "condition", "wiped", desk.lexicon), row)
    offer = only(offers_of(desk))
    assert (offer.file, offer.heard, offer.meant) == ("conditions.toml", "gronked", "wiped")
    effect = learn.preview(offer, desk.review.journal)
    assert effect.changes


@pytest.fixture
def gronked(tmp_path: Path) -> Desk:
    """A sitting in which a word of the person's own, which the recogniser lacks, was put right twice."""
    own = learn.own_folder()
    own.mkdir(parents=True)
    (own / "conditions.toml").write_text('[wiped]\nadj = ["gronked"]\n', encoding="utf-8")
    said = ("number two rod bearing is granted", "number four rod bearing is granted")
    desk = talk.desk(tmp_path / "journal.db", [talk.Line(say=text) for text in said])
    desk.use(lexicon.load())
    for row in desk.rows():
        desk.reword(row, row.text.replace("granted", "gronked"))
    return desk


def test_a_word_of_ones_own_that_can_t_be_heard_is_offered_a_sound(gronked: Desk) -> None:
    (offer,) = [offer for offer in offers_of(gronked) if offer.file == "pronunciations.toml"]
    assert (offer.heard, offer.meant) == ("granted", "gronked")
    made = learn.keep(offer)
    assert made.after.startswith('[words]\ngronked = ["G R AE N')
    sounds = learn.known_sounds()
    assert sounds is not None
    assert sounds("gronked") == sounds("granted")[:1]
    assert [offer for offer in offers_of(gronked) if offer.file == "pronunciations.toml"] == []


def test_a_word_that_no_sentence_holds_is_offered_no_sound(tmp_path: Path) -> None:
    desk = talk.desk(tmp_path / "journal.db", [talk.Line(say="number two rod bearing is granted")] * 2)
    for row in desk.rows():
        desk.reword(row, row.text.replace("granted", "blorfed"))
    assert [offer.file for offer in offers_of(desk)] == ["confusions.csv"]


async def open_page(app: ReviewApp, pilot: Pilot[None]) -> str:
    await pilot.press("l")
    await app.workers.wait_for_complete()
    await pilot.pause()
    assert isinstance(app.screen, LearnScreen)
    return text_of(app)


def text_of(app: ReviewApp) -> str:
    return app.export_screenshot().replace("&#160;", " ")


async def test_the_page_shows_the_change_and_writes_on_a(fixed: Desk) -> None:
    app = ReviewApp(fixed)
    async with app.run_test(size=SMALL) as pilot:
        assert "+whited,wiped" in await open_page(app, pilot)
        await pilot.press("p")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "would read differently" in text_of(app)
        assert not learn.own_folder().exists()
        await pilot.press("a")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert f"benchvoice rerun {talk.STOCK}" in text_of(app)
        assert "nothing to learn" in text_of(app)
    assert (learn.own_folder() / "confusions.csv").exists()


async def test_what_was_kept_is_used_by_the_open_screen(fixed: Desk) -> None:
    app = ReviewApp(fixed)
    async with app.run_test(size=SMALL) as pilot:
        row = fixed.rows()[3]
        assert fixed.reader_of(row)("number six rod bearing is whited").findings == ()
        await open_page(app, pilot)
        await pilot.press("a")
        await app.workers.wait_for_complete()
        found = fixed.reader_of(row)("number six rod bearing is whited").findings
        assert [finding.condition for finding in found] == ["wiped"]


async def test_a_broken_file_of_ones_own_is_told_on_the_page(gronked: Desk) -> None:
    folder = learn.own_folder()
    (folder / "pronunciations.toml").write_text('[words]\ngronked = ["XX"]\n', encoding="utf-8")
    app = ReviewApp(gronked)
    async with app.run_test(size=(120, 30)) as pilot:
        await pilot.press("l")
        for _ in range(200):
            await pilot.pause(0.05)
            if "did not work" in text_of(app):
                break
        assert "sounds that the model lacks" in text_of(app)
