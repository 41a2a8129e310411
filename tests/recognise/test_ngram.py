"""The n-gram model against a small example worked by hand, and against the laws of probability."""

from __future__ import annotations

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchvoice.recognise.ngram import NGram, discounts, kneser_ney, mix, prune, write_arpa

TEXT = [line.split() for line in ("a b c", "a b d", "b c", "a c", "d b c a")]


def total(model: NGram, *history: str) -> float:
    return sum(model.prob([*history, word]) for word in model.words[1:])


def test_two_word_model_by_hand() -> None:
    """Chen and Goodman 1999, equations for interpolated Kneser-Ney, worked by hand for "a b / a c" at order two.

    Bigrams: <s>a 2, ab 1, ac 1, b</s> 1, c</s> 1. Of the counts one, two: n1 = 4, n2 = 1, n3 = n4 = 0, so
    Y = 4 / (4 + 2) = 2/3; D1 = 1 - 2 (2/3) (1/4) = 2/3; n3 = 0, so D2 falls back to 2 Y = 4/3.
    Continuations: a 1 (after <s>), b 1, c 1, </s> 2; their n1 = 3, n2 = 1: Y = 3/5, D1 = 1 - 2 (3/5) (1/3) = 3/5,
    D2 falls back to 6/5. Taken: 3 (3/5) + 6/5 = 3 of 5, spread over 4 words: 3/20 each.
    P(b) = (1 - 3/5) / 5 + 3/20 = 0.23; P(</s>) = (2 - 6/5) / 5 + 3/20 = 0.31.
    P(b | a) = (1 - 2/3) / 2 + ((2/3 + 2/3) / 2) P(b) = 1/6 + (2/3) 0.23.
    P(</s> | a), never seen: (2/3) 0.31.
    """
    model = kneser_ney([["a", "b"], ["a", "c"]], order=2)
    assert model.prob(["b"]) == pytest.approx(0.23)
    assert model.prob(["</s>"]) == pytest.approx(0.31)
    assert model.prob(["a", "b"]) == pytest.approx(1 / 6 + 2 / 3 * 0.23)
    assert model.prob(["a", "</s>"]) == pytest.approx(2 / 3 * 0.31)
    # <s> a: count 2, discount 4/3: (2 - 4/3) / 2 + (4/3 / 2) P(a).
    assert model.prob(["<s>", "a"]) == pytest.approx(1 / 3 + 2 / 3 * 0.23)


def test_discounts_by_hand() -> None:
    """n1 = 4, n2 = 2, n3 = 1, n4 = 1: Y = 1/2, D1 = 1 - 2 Y n2/n1, D2 = 2 - 3 Y n3/n2, D3 = 3 - 4 Y n4/n3."""
    import numpy as np

    counts = np.array([1, 1, 1, 1, 2, 2, 3, 4], dtype=float)
    assert discounts(counts) == pytest.approx((0.5, 1.25, 1.0))


@pytest.mark.parametrize("history", [(), ("<s>",), ("a",), ("<s>", "a"), ("a", "b"), ("b",), ("new",)])
def test_every_context_sums_to_one(history: tuple[str, ...]) -> None:
    model = kneser_ney(TEXT, extra=["new"])
    other = kneser_ney([["a", "new", "b"], ["x", "a"]], order=2)
    assert total(model, *history) == pytest.approx(1.0)
    assert total(mix(model, other, 0.8), *history) == pytest.approx(1.0, abs=1e-9)
    assert total(prune(model, 1.3), *history) == pytest.approx(1.0)


WORDS = st.sampled_from(["one", "two", "three", "point", "oh"])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.lists(WORDS, min_size=1, max_size=6), min_size=1, max_size=25), st.lists(WORDS, max_size=2))
def test_any_text_gives_a_proper_model(text: list[list[str]], history: list[str]) -> None:
    model = kneser_ney(text)
    known = [word for word in history if word in model.words]
    assert total(model, *known) == pytest.approx(1.0)


def test_mixing_keeps_both() -> None:
    one, two = kneser_ney([["a", "b"]] * 3 + [["b", "a"]]), kneser_ney([["x", "y"], ["y", "x"]], order=2)
    both = mix(one, two, 0.75)
    assert both.prob(["a", "b"]) == pytest.approx(0.75 * one.prob(["a", "b"]), rel=0.02)
    assert both.prob(["x", "y"]) == pytest.approx(0.25 * two.prob(["x", "y"]), rel=0.02)


def test_arpa_is_what_pocketsphinx_reads() -> None:
    """The same probabilities come out of the recogniser's own reader."""
    import math
    import tempfile
    from pathlib import Path

    from pocketsphinx import NGramModel

    model = kneser_ney(TEXT)
    out = io.StringIO()
    write_arpa(model, out)
    assert out.getvalue().startswith("\\data\\\nngram 1=")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.arpa"
        path.write_text(out.getvalue(), encoding="utf-8")
        theirs = NGramModel.readfile(str(path))
        for words in (["a"], ["a", "b"], ["a", "b", "c"], ["b", "c", "</s>"], ["c", "b", "a"], ["d", "a", "b"]):
            told = math.exp(theirs.prob(words[::-1]) * math.log(1.0001))
            assert told == pytest.approx(model.prob(words), rel=0.002)


def test_no_sentence_is_an_error() -> None:
    with pytest.raises(ValueError, match="no sentence"):
        kneser_ney([[]])
