"""The reader against the narrations: half of them were never looked at while its rules were written."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchvoice.lexicon import Lexicon, load
from tests.interpret.corrupt import Corrupter
from tests.interpret.scoring import narrations, score

STORIES = Path(__file__).parent.parent / "narrations"
EXAMPLES = Path(__file__).parents[2] / "grammars" / "en" / "examples.jsonl"
SEEDS = (1, 2, 3, 4, 5)


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load()


def test_half_that_rules_were_not_tuned_on(lexicon: Lexicon) -> None:
    found = score(narrations(STORIES / "held"), lexicon)
    print(found)
    assert found.f1 >= 0.92
    assert found.precision >= 0.95
    assert found.degree_share >= 0.95
    assert found.hedged_share >= 0.95


def test_half_that_rules_were_tuned_on(lexicon: Lexicon) -> None:
    found = score(narrations(STORIES / "tuned"), lexicon)
    assert found.f1 >= 0.98, found.misses
    assert found.precision >= 0.98


def test_examples_beside_the_grammars_are_read_as_they_say(lexicon: Lexicon) -> None:
    found = score(narrations(EXAMPLES), lexicon)
    assert (found.missed, found.wrong) == (0, 0), found.misses
    assert found.degree_share == found.hedged_share == 1.0, found.misses


def test_one_word_in_ten_misheard(lexicon: Lexicon) -> None:
    """Later authors speak in longer sentences that lean more on one another, so that a lost word costs more."""
    stories = narrations(STORIES / "tuned")
    first = [story for story in stories if "author" not in story]
    later = [story for story in stories if "author" in story]
    for chosen, least in ((first, 0.77), (later, 0.71), (narrations(STORIES / "held"), 0.75)):
        f1 = [score(chosen, lexicon, Corrupter(lexicon, seed=seed)).f1 for seed in SEEDS]
        print(f1)
        assert sum(f1) / len(f1) >= least


def test_corrupting_changes_words_and_the_same_seed_the_same_ones(lexicon: Lexicon) -> None:
    text = " ".join(["number three main bearing is scored"] * 20)
    assert Corrupter(lexicon, seed=1)(text) == Corrupter(lexicon, seed=1)(text) != text
