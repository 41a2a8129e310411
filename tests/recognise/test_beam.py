"""The beam search, by hand and against trying everything."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchvoice.recognise.beam import END_OF_TEXT, Floats, Pieces, Text, Weights, goes_round, plain, search

TEXTS = ("", " bore", " boar", " is", "s", ".")
NEVER = -60.0


class Told:
    """A decoder that goes by a table: chances of the next piece after the last one."""

    def __init__(self, after: Mapping[str, Mapping[str, float]], texts: Sequence[str] = TEXTS) -> None:
        self.pieces = Pieces(begin=99, end=0, ids=tuple(range(len(texts))), texts=tuple(texts))
        self._rows = {
            last: np.array([math.log(chances[text]) if chances.get(text) else NEVER for text in texts], np.float32)
            for last, chances in after.items()
        }

    def begin(self, states: object) -> None:
        return None

    def step(self, state: None, latest: list[int]) -> tuple[Floats, None]:
        names = ["<begin>" if last == 99 else self.pieces.texts[last] for last in latest]
        return np.stack([self._rows[name] for name in names]), None

    def keep(self, state: None, rows: list[int]) -> None:
        return None


ENDS = {"": 1.0}
HOMOPHONES = Told({"<begin>": {" boar": 0.6, " bore": 0.4}, " boar": ENDS, " bore": ENDS})


def trade(word: str, before: Sequence[str]) -> float:
    return math.log({"bore": 0.5, "boar": 0.01, END_OF_TEXT: 1.0}[word])


def test_what_people_say_decides_between_words_that_sound_alike() -> None:
    """bore: ln 0.4 + 0.25 ln 0.5 + 1.25 = 0.1604. boar: ln 0.6 + 0.25 ln 0.01 + 1.25 = -0.4121."""
    found = search(HOMOPHONES, None, trade, 10)
    assert [(text.words, text.score) for text in found] == [
        (("bore",), pytest.approx(0.1604, abs=1e-4)),
        (("boar",), pytest.approx(-0.4121, abs=1e-4)),
    ]
    assert found[0].logs == (pytest.approx(math.log(0.4), abs=1e-3),)


def test_without_it_the_sound_decides() -> None:
    found = search(HOMOPHONES, None, trade, 10, weights=Weights(text=0.0, word=0.0))
    assert [text.words for text in found] == [("boar",), ("bore",)]


def test_pieces_make_words_and_marks_are_left_out() -> None:
    decoder = Told({"<begin>": {" bore": 1.0}, " bore": {"s": 1.0}, "s": {".": 1.0}, ".": ENDS})
    (text,) = search(decoder, None, lambda word, before: 0.0, 10)
    assert text.words == ("bores",)


def test_an_end_that_is_not_likely_is_none() -> None:
    """A cheap end would be the best of texts whose every word costs something."""
    goes_on = {"": 0.05, " is": 0.95}
    decoder = Told({"<begin>": goes_on, " is": {"": 0.5, " bore": 0.5}, " bore": ENDS})
    found = search(decoder, None, lambda word, before: -3.0, 10, weights=Weights(text=1.0, word=0.0))
    assert () not in [text.words for text in found]
    assert found[0].words == ("is",)


def test_one_that_goes_round_in_circles_is_stopped() -> None:
    decoder = Told({"<begin>": {" is": 1.0}, " is": {" is": 0.99, "": 0.01}})
    assert search(decoder, None, lambda word, before: 0.0, 20) == []


def test_one_that_goes_round_and_then_ends_is_not_heard_out() -> None:
    """However much a word counts, three of a kind are the most that are believed."""
    goes_on = {" is": 0.9, "": 0.1}
    decoder = Told({"<begin>": {" bore": 0.6, " boar": 0.4}, " bore": {" is": 1.0}, " is": goes_on, " boar": ENDS})
    found = search(decoder, None, lambda word, before: 0.0, 40, weights=Weights(text=0.0, word=2.0))
    assert found[0].words == ("bore", "is", "is", "is")
    assert found[-1].words in {("boar",), ("bore", "is")}


@pytest.mark.parametrize(
    ("said", "circles"),
    [
        ("point oh oh oh five", False),
        ("no no no", False),
        ("bearing in tow ho ho ho ho", True),
        ("one three four two one three four two", False),
        ("it is it is it is", True),
        ("ho ho ho ho is", False),
    ],
)
def test_what_goes_round(said: str, circles: bool) -> None:
    assert goes_round(said.split()) is circles


@settings(max_examples=60, deadline=None)
@given(st.lists(st.lists(st.floats(0.05, 1.0), min_size=4, max_size=4), min_size=4, max_size=4))
def test_nothing_better_is_missed(table: list[list[float]]) -> None:
    """With few enough pieces nothing falls out of the beam, and every text of up to three words can be tried."""
    texts = ("", " a", " b", " c")
    rows = {name: dict(zip(texts, row, strict=True)) for name, row in zip(("<begin>", *texts[1:]), table, strict=True)}
    rows["<begin>"][""] = 0.001  # somebody speaks
    rows = {name: {text: chance / sum(row.values()) for text, chance in row.items()} for name, row in rows.items()}
    weights = Weights(text=0.5, word=0.0)

    def said(word: str, before: Sequence[str]) -> float:
        return -0.1 * (1 + len(before)) - (word == "b")

    def score(words: tuple[str, ...]) -> float:
        path = ["<begin>", *(f" {word}" for word in words), ""]
        sound = [math.log(rows[a][b]) for a, b in itertools.pairwise(path)]
        told = sum(said(word, words[:i]) for i, word in enumerate([*words, END_OF_TEXT]))
        return sum(sound) + 0.5 * told if sound[-1] >= -2.5 else -math.inf

    found = search(Told(rows, texts), None, said, 8, weights=weights)
    best = max((words for n in (1, 2) for words in itertools.product("abc", repeat=n)), key=score)
    top = found[0] if found else Text(score=-math.inf)
    assert top.score >= score(best) - 1e-3


@pytest.mark.parametrize(
    ("text", "words"),
    [(" Hello,", ["hello"]), (" mid-bore", ["mid", "bore"]), (" 'bout", ["bout"]), (" it's", ["it's"]), (" -", [])],
)
def test_words_as_recognisers_write_them(text: str, words: list[str]) -> None:
    assert plain(text) == words
