"""Talk in stretches, by hand and by law."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchvoice.domain.words import Word
from benchvoice.recognise.base import Heard
from benchvoice.recognise.calibration import ABOUT
from benchvoice.recognise.stretches import CHATS_ON, GOES_ON, Stretches


def span(score: float | None) -> Heard:
    """A span that was decided by itself, with the other reading of it."""
    ours = Heard(words=(Word(text="rod"),), domain=True, domain_score=score)
    others = Heard(words=(Word(text="rot"),), domain=False, domain_score=score)
    if score is None:
        return ours
    return replace(ours, other=others) if score >= 0 else replace(others, other=ours)


def decided(scores: list[float]) -> list[bool]:
    stretches = Stretches()
    return [stretches.settle(span(score)).domain for score in scores]


def test_the_first_step_by_hand() -> None:
    """Before: 0.95 * 0.95 + 0.05 * 0.05 = 0.905, odds 9.53. To end below 2 to 1 a span must be 4.8 times likelier as
    other talk: a logarithm of -1.561.
    """
    odds = 0.905 / 0.095
    limit = math.log(2 / odds)
    assert limit == pytest.approx(-1.561, abs=1e-3)
    assert decided([limit + 0.01]) == [True]
    assert decided([limit - 0.01]) == [False]


def test_the_second_step_by_hand() -> None:
    """A sure chat leaves a chance of 0.05 that the next span is about the engine: it must be 38 times likelier so."""
    limit = math.log(2 * 0.95 / 0.05)
    assert decided([-30.0, limit + 0.01]) == [False, True]
    assert decided([-30.0, limit - 0.01]) == [False, False]


def test_a_doubtful_span_is_what_the_talk_around_it_was() -> None:
    assert decided([5.0, 5.0, -1.0, 5.0]) == [True] * 4
    assert decided([-5.0, -5.0, 1.5, -5.0]) == [False] * 4


def test_the_words_go_with_the_decision() -> None:
    stretches = Stretches()
    kept = stretches.settle(span(-1.0))
    assert (kept.domain, kept.text) == (True, "rod")
    assert kept.other is not None
    assert (kept.other.domain, kept.other.text) == (False, "rot")
    for _ in range(3):
        assert stretches.settle(span(-6.0)).text == "rot"
    assert stretches.settle(span(1.0)).text == "rot"


def test_a_reading_without_words_is_never_chosen() -> None:
    silent = Heard(words=(Word(text="rot"),), domain=False, domain_score=-1.0, other=Heard(domain_score=-1.0))
    assert Stretches().settle(silent) == silent


def test_a_recogniser_without_two_models_is_left_alone() -> None:
    stretches = Stretches()
    stretches.settle(span(-30.0))
    assert stretches.settle(span(None)) == span(None)
    assert not stretches.settle(span(1.0)).domain, "and tells nothing of the stretch"


@given(st.lists(st.floats(-40, 40), max_size=30), st.floats(-40, 40), st.floats(0, 5))
def test_more_for_the_engine_never_means_less_of_it(before: list[float], score: float, more: float) -> None:
    assert decided([*before, score])[-1] <= decided([*before, score + more])[-1]


@given(st.lists(st.floats(-40, 40), max_size=30))
def test_the_filter_is_the_sum_over_all_ways_to_have_come_here(scores: list[float]) -> None:
    """The forward algorithm without logarithms, from the definition."""
    about, other = GOES_ON, 1 - GOES_ON
    expected = []
    for score in scores:
        about, other = about * GOES_ON + other * (1 - CHATS_ON), about * (1 - GOES_ON) + other * CHATS_ON
        about *= math.exp(score)
        about, other = about / (about + other), other / (about + other)
        expected.append(about)
    near = [abs(chance - ABOUT) < 1e-9 for chance in expected]
    assert [a or b == (c >= ABOUT) for a, b, c in zip(near, decided(scores), expected, strict=True)] == [True] * len(
        scores
    )
