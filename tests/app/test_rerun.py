from __future__ import annotations

from pathlib import Path

import pytest

from benchvoice import lexicon as words
from benchvoice.app.rerun import rerun
from benchvoice.app.review import Review
from benchvoice.journal import Journal
from benchvoice.lexicon import Lexicon
from tests.app.conftest import STOCK

S = f"{STOCK}-s1"


@pytest.fixture
def newer(tmp_path: Path) -> Lexicon:
    """Grammars in which a word means something that it didn't."""
    own = tmp_path / "own"
    own.mkdir()
    (own / "conditions.toml").write_text('[scored]\nadj = ["zonked"]\nbad = true\nopposites = ["good"]\nseverity = 3\n')
    return words.load(own)


def test_same_grammars_change_nothing(review: Review, lexicon: Lexicon) -> None:
    found = rerun(review.journal, STOCK, lexicon, apply=True)
    assert (found.read, found.changes, found.applied) == (9, (), False)


def test_a_newer_grammar_is_previewed_applied_and_undone(review: Review, newer: Lexicon) -> None:
    review.correct_words(S, 7, "rod bearing six is zonked")
    assert not review.record.said[(S, 7)].reading.findings
    before = review.record
    preview = rerun(review.journal, STOCK, newer)
    assert [change.n for change in preview.changes] == [7]
    assert review.record == before
    assert rerun(review.journal, STOCK, newer, apply=True).applied
    (name,) = review.record.said[(S, 7)].entries
    assert review.record.entries[name].finding.condition == "scored"
    assert not rerun(review.journal, STOCK, newer).changes
    review.undo()
    assert review.record.said == before.said


def test_what_the_person_decided_stays_on_top(review: Review, newer: Lexicon) -> None:
    review.correct_words(S, 7, "rod bearing six is zonked and wiped", accept=True)
    review.drop([f"{S}.0.0"])
    accepted = {entry.id for entry in review.record.accepted()}
    rerun(review.journal, STOCK, newer, apply=True)
    assert accepted <= {entry.id for entry in review.record.accepted()}
    assert f"{S}.0.0" not in {entry.id for entry in review.record.standing()}


def test_one_sitting_only(journal: Journal, review: Review, newer: Lexicon) -> None:
    assert rerun(journal, STOCK, newer, sitting="nothing").read == 0
