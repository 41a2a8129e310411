"""Two readings of a span as one: where they differ, what is chosen, and when the words were said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from benchvoice.domain.words import Word
from benchvoice.recognise.beam import Text
from benchvoice.recognise.calibration import Evidence
from benchvoice.recognise.logistic import chance_of
from benchvoice.recognise.pair import Both, PairCalibration, Region, load_pair, regions

FIRST = "FIRST"
SECOND = "SECOND"
ALWAYS = {FIRST: {"bias": -9.0}, SECOND: {"bias": 9.0}}


def both(first: str, second: str, *, start: float = 10.0, sure: float = 0.8) -> Both:
    """The first's words half a second each, a tenth of a second of pause before each."""
    words = tuple(
        Word(text=text, t0=round(start + 0.6 * i + 0.1, 3), t1=round(start + 0.6 * (i + 1), 3), confidence=sure)
        for i, text in enumerate(first.split())
    )
    evidence = Evidence(
        words=words,
        general_words=(),
        trade_score=0.0,
        general_score=None,
        seconds=0.6 * len(words) + 0.4,
        known=len(words),
        start=start,
    )
    theirs = tuple(second.split())
    return Both(
        first=evidence,
        second=Text(words=theirs, logs=(-0.1,) * len(theirs)),
        regions=regions(first.split(), theirs, lambda words: -float(len(words))),
    )


def pair(which: str = SECOND, **weights: dict[str, float]) -> PairCalibration:
    given = {"choice": ALWAYS[which], "domain": {"bias": 5.0}, "word": {"bias": 1.0}, "utterance": {"bias": 1.0}}
    return PairCalibration(share=0.5, **(given | weights))


def said(words: Sequence[Word]) -> str:
    return " ".join(word.text for word in words)


def test_regions_by_hand() -> None:
    """The middle differs, and the second has a word more at the end. The sentence is scored by its length here."""
    found = regions(
        ["rod", "caring", "is", "wiped"], ["rod", "bearing", "it", "is", "wiped", "clean"], lambda w: -float(len(w))
    )
    assert found == (
        Region(first=(0, 1), second=(0, 1), same=True),
        Region(first=(1, 2), second=(1, 3), same=False, gain=-1.0),
        Region(first=(2, 4), second=(3, 5), same=True),
        Region(first=(4, 4), second=(5, 6), same=False, gain=-1.0),
    )


def test_each_region_is_chosen_by_itself() -> None:
    """Weights that go by the length: the second's words where they are as many, the first's where they aren't."""
    by_length = {"bias": 1.0, "longer": -5.0}
    heard = pair(choice=by_length).judge(both("rod caring is wiped", "rod bearing is wiped clean"), "pair")
    assert heard.text == "rod bearing is wiped"
    assert set(heard.alternatives) == {"rod caring is wiped", "rod bearing is wiped clean"}


@pytest.mark.parametrize(("which", "text"), [(FIRST, "rod caring is wiped"), (SECOND, "rod bearing is wiped")])
def test_who_is_believed_is_heard(which: str, text: str) -> None:
    assert pair(which).judge(both("rod caring is wiped", "rod bearing is wiped"), "pair").text == text


def test_words_of_the_second_take_the_times_of_those_they_stand_for() -> None:
    """The word "caring" was said from 10.7 to 11.2; "the" and "bearing" share that by their letters, three to seven."""
    heard = pair().judge(both("rod caring wiped", "rod the bearing wiped"), "pair")
    times = [(word.text, word.t0, word.t1) for word in heard.words]
    assert times == [
        ("rod", 10.1, 10.6),
        ("the", 10.7, pytest.approx(10.85)),
        ("bearing", pytest.approx(10.85), pytest.approx(11.2)),
        ("wiped", 11.3, 11.8),
    ]


def test_other_talk_keeps_the_words_of_the_second() -> None:
    """The embedded recogniser knows the trade's sentences and makes them out of everything."""
    heard = pair(FIRST, domain={"bias": -5.0}).judge(both("valve bore for lunch", "half past four for lunch"), "pair")
    assert not heard.domain
    assert heard.text == "half past four for lunch"
    assert heard.other is not None
    assert heard.other.text == "valve bore for lunch"
    assert heard.domain_score == pytest.approx(-5.0, abs=0.01)


def test_one_that_heard_nothing_leaves_it_to_the_other() -> None:
    heard = pair().judge(both("", "rod bearing"), "pair")
    assert heard.text == "rod bearing"
    assert 10.0 <= heard.words[0].t0 < heard.words[-1].t1 <= 10.5
    assert pair(FIRST).judge(both("rod bearing", ""), "pair").text == "rod bearing"


WORDS = st.lists(st.sampled_from(["rod", "cap", "two", "is", "wiped"]), max_size=7).map(" ".join)


def test_words_that_only_the_second_has_begin_before_the_next_one() -> None:
    """From 10.6 to 10.7 there is a tenth of a second for four words of 0.03 s at least; 0.02 s come off "rod"."""
    heard = pair().judge(both("rod wiped", "rod a b c d wiped"), "pair")
    times = [(word.text, word.t0, word.t1) for word in heard.words]
    assert times == [
        ("rod", 10.1, 10.6),
        ("a", 10.58, 10.61),
        ("b", 10.61, 10.64),
        ("c", 10.64, 10.67),
        ("d", 10.67, 10.7),
        ("wiped", 10.7, 11.2),
    ]


@given(WORDS, WORDS, st.sampled_from([FIRST, SECOND]))
@example("rod", "cap rod rod rod rod rod", SECOND)
def test_laws(first: str, second: str, which: str) -> None:
    """One side wins all: its words come out, in order, with times in order, and every number is a chance."""
    seen = both(first, second)
    heard = pair(which, word=load_pair().word, utterance=load_pair().utterance).judge(seen, "pair")
    assert said(heard.words) == (first if which == FIRST else second)
    times = [(word.t0, word.t1) for word in heard.words]
    assert all(t0 is not None and t1 is not None and t0 < t1 for t0, t1 in times)
    assert [t0 for t0, _ in times] == sorted(t0 for t0, _ in times)
    assert all(0.0 < word.confidence < 1.0 for word in heard.words)
    assert 0.0 < heard.confidence < 1.0
    assert heard.text not in heard.alternatives


@given(WORDS)
def test_what_both_have_is_what_is_heard(text: str) -> None:
    assert pair().judge(both(text, text), "pair").words == tuple(
        Word(text=word.text, t0=word.t0, t1=word.t1, confidence=0.7311) for word in both(text, text).first.words
    )


def test_every_weight_of_the_program_is_of_a_feature_that_there_is() -> None:
    weights, seen = load_pair(), both("rod caring is wiped", "rod bearing is wiped")
    chosen = weights.choose(seen)
    for some, features in (
        (weights.choice, seen.choice_features(seen.regions[1])),
        (weights.domain, seen.domain_features()),
        (weights.word, seen.word_features(chosen, 1)),
        (weights.utterance, seen.utterance_features([0.5] * len(chosen))),
    ):
        assert set(some) <= set(features)
        assert len(some) > 5
        assert 0.0 < chance_of(some, features) < 1.0


def test_agreeing_makes_surer() -> None:
    """With the weights that the program comes with."""
    weights = replace(load_pair(), domain={"bias": 5.0})
    alone, agreed = (both("rod bearing is wiped", other) for other in ("rod caring is wide", "rod bearing is wiped"))
    sure = [weights.judge(one, "pair") for one in (alone, agreed)]
    assert sure[0].confidence < sure[1].confidence
    by_word = {word.text: word.confidence for word in sure[0].words}
    assert by_word["rod"] > max(by_word.get("bearing", 0.0), by_word.get("caring", 0.0))
