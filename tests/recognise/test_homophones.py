"""Words that sound alike are told apart by the sentence."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchvoice.recognise.homophones import MARGIN, Homophones
from benchvoice.recognise.language import prepare
from benchvoice.recognise.pair_engine import RAREST
from benchvoice.recognise.text_model import TextModel

SOUNDS = "two T UW\nto T UW\nto(2) T AH\ntoo T UW\nbores B AO R Z\nbore's B AO R Z\nthe DH AH\n"
LIKELY = {"two bores": 3.0, "to bores": 2.0, "two bore's": 3.4, "too bores": 3.2}


def alike(tmp_path: Path) -> Homophones:
    path = tmp_path / "words.dict"
    path.write_text(SOUNDS, encoding="utf-8")
    return Homophones(path, lambda words: LIKELY.get(" ".join(words), 0.0))


def test_the_likelier_sentence_wins_by_a_margin_only(tmp_path: Path) -> None:
    """From "to bores", "too" gains 1.2 and "two" 1.0; from "two bores", nothing gains half a unit."""
    assert pytest.approx(0.5) == MARGIN
    homophones = alike(tmp_path)
    assert homophones.settled(["to", "bores"]) == ["too", "bores"]
    assert homophones.settled(["two", "bores"]) == ["two", "bores"]
    assert homophones.settled([]) == []


@given(st.lists(st.sampled_from(["two", "to", "too", "bores", "bore's", "the", "unknown"]), max_size=5))
def test_no_word_comes_or_goes_and_others_stay(words: list[str]) -> None:
    path = prepare().dictionary
    settled = Homophones(path, lambda words: float(-sum(map(len, words)))).settled(words)
    assert len(settled) == len(words)
    assert all(len(new) <= len(old) for old, new in zip(words, settled, strict=True))
    assert [new for old, new in zip(words, settled, strict=True) if old in ("the", "unknown")] == [
        old for old in words if old in ("the", "unknown")
    ]


@pytest.mark.parametrize(
    ("heard", "said"),
    [
        ("the cover's are off", "the covers are off"),
        ("end play is for thou", "end play is four thou"),
        ("number too is scored", "number two is scored"),
        ("the breaks are fine", "the brakes are fine"),
    ],
)
def test_the_trades_sentences_know_better(heard: str, said: str) -> None:
    language = prepare()
    sentences = TextModel(language.mixed, rarest=RAREST)
    assert _settled(Homophones(language.dictionary, sentences.sentence), heard.split()) == said


def _settled(homophones: Homophones, words: Sequence[str]) -> str:
    return " ".join(homophones.settled(words))
