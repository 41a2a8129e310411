"""From a decoder's scores to decisions and chances."""

from __future__ import annotations

import math
import tomllib
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchvoice.domain.words import Word
from benchvoice.lexicon.sentences_files import load_talk
from benchvoice.recognise.calibration import (
    ABOUT,
    Calibration,
    Evidence,
    load_calibration,
)
from benchvoice.recognise.logistic import Curve, chance_of, fitted, logit, terms_of
from tests.hearing import corpus
from tests.interpret.scoring import narrations
from tests.recognise import shapes
from tests.recognise.calibrate import fit, write

# Told apart by the gain alone, settled early by the text alone, so that a case can be worked by hand.
PLAIN = Calibration(
    share=0.5,
    early={"text_gain": 1.0},
    enough=0.9,
    domain={"gain": 1.0},
    word={"own": 1.0},
    utterance={"doubt": -1.0, "noise": -1.0},
)


def heard(*confidences: float, gain: float | None = None, text_gain: float = 0.0, snr: float | None = None) -> Evidence:
    words = tuple(
        Word(text=f"w{i}", t0=0.3 * i, t1=0.3 * i + 0.3, confidence=sure) for i, sure in enumerate(confidences)
    )
    return Evidence(
        words=words,
        general_words=(Word(text="other", t0=0.0, t1=0.3, confidence=1.0),),
        trade_score=0.0,
        general_score=None if gain is None else -gain,
        seconds=0.3 * len(words),
        known=len(words),
        text_gain=text_gain,
        alternatives=("another reading",),
        snr=snr,
    )


def test_talk_about_the_engine_keeps_the_trades_words_with_their_chances() -> None:
    out = PLAIN.judge(heard(0.8, 0.6, gain=2.0), "here")
    assert out.domain
    assert out.text == "w0 w1"
    assert [word.confidence for word in out.words] == [0.8, 0.6]
    # Doubt ln(-ln(0.8 * 0.6)) = -0.309; with the weight -1 the odds are exp(0.309) = 1.362, the chance 0.577.
    assert out.confidence == pytest.approx(0.577, abs=1e-3)
    assert out.alternatives == ("another reading",)
    assert out.domain_score == pytest.approx(2.0, abs=1e-3)


def test_other_talk_gets_the_general_words_and_how_sure_it_is_that_it_is_other_talk() -> None:
    out = PLAIN.judge(heard(0.8, 0.6, gain=-2.0), "here")
    assert not out.domain
    assert out.text == "other"
    assert out.alternatives == ()
    assert out.confidence == pytest.approx(1 / (1 + math.exp(-2.0)), abs=1e-4)


@pytest.mark.parametrize(("odds", "about"), [(1.9, False), (2.1, True)])
def test_two_to_one_is_asked_for(odds: float, about: bool) -> None:
    assert pytest.approx(2 / 3) == ABOUT
    assert PLAIN.judge(heard(0.9, gain=math.log(odds)), "here").domain is about


def test_the_early_look_settles_only_what_is_sure_and_never_silence() -> None:
    assert PLAIN.settled(heard(0.9, text_gain=3.0))
    assert not PLAIN.settled(heard(0.9, text_gain=1.0))
    assert not PLAIN.settled(heard(text_gain=9.0))


def test_noise_counts_in_steps_of_ten_decibels_and_not_where_nobody_measured() -> None:
    assert [heard(0.5, snr=snr).noise for snr in (None, 60.0, 40.0, 25.0, -20.0)] == [0.0, 0.0, 0.0, 1.5, 3.0]
    quiet, loud = (PLAIN.judge(heard(0.9, gain=3.0, snr=snr), "here").confidence for snr in (50.0, 20.0))
    assert logit(quiet) - logit(loud) == pytest.approx(2.0, abs=0.01)


@given(st.lists(st.floats(0, 1), max_size=5), st.floats(-50, 50), st.floats(-50, 50), st.floats(-100, 100))
def test_whatever_is_heard_the_chances_are_chances(
    confidences: list[float], gain: float, text_gain: float, snr: float
) -> None:
    out = load_calibration().judge(heard(*confidences, gain=gain, text_gain=text_gain, snr=snr), "here")
    assert 0.0 < out.confidence < 1.0
    assert all(0.0 < word.confidence < 1.0 for word in out.words)


def test_every_weight_of_the_program_is_of_a_feature_that_there_is() -> None:
    found, seen = load_calibration(), heard(0.5, 0.5, gain=0.0)
    for weights, features in (
        (found.early, seen.early_features()),
        (found.domain, seen.domain_features()),
        (found.word, seen.word_features(0)),
        (found.utterance, seen.utterance_features([0.5, 0.5])),
    ):
        assert set(weights) <= set(features)
        assert 0.0 < chance_of(weights, features) < 1.0


@pytest.mark.parametrize(("text_gain", "confidence", "sure"), [(3.0, 0.9, True), (3.0, 0.3, False), (0.0, 0.9, False)])
def test_a_second_recogniser_is_spared_only_where_nothing_is_in_doubt(
    text_gain: float, confidence: float, sure: bool
) -> None:
    """One word: the odds of a right utterance are one over its doubt, which is minus the logarithm of its chance."""
    assert PLAIN.sure(heard(confidence, text_gain=text_gain)) is sure


def test_confidences_are_fitted_to_sentences_that_no_model_was_made_of() -> None:
    mine = {line.say for told in corpus.strangers() for line in told.lines if len(line.say.split()) > 4}
    known = {line.say for part in ("tuned", "held") for told in corpus.load(part) for line in told.lines}
    known |= {said["say"] for told in narrations(shapes.TUNED) for said in told["utterances"]}
    known |= {" ".join(words) for words in load_talk()}
    assert len(mine) > 400
    assert mine.isdisjoint(known)


def test_weights_are_read_back_as_they_were_written(tmp_path: Path) -> None:
    path = tmp_path / "calibration.toml"
    before = (files("benchvoice.recognise") / "calibration.toml").read_text(encoding="utf-8")
    write(tomllib.loads(before), path)
    assert path.read_text(encoding="utf-8") == before


@pytest.mark.parametrize(
    ("x", "want"), [(-5.0, 1.0), (0.0, 1.0), (1.0, 2.0), (2.0, 3.0), (3.0, 1.0), (4.0, -1.0), (9.0, -1.0)]
)
def test_a_curve_is_straight_between_its_points_and_flat_beyond(x: float, want: float) -> None:
    assert Curve.through([[0.0, 1.0], [2.0, 3.0], [4.0, -1.0]])(x) == pytest.approx(want)


@given(st.lists(st.integers(-50, 50), min_size=2, max_size=6, unique=True), st.data())
def test_a_curve_is_what_numpy_interpolates(xs: list[int], data: st.DataObject) -> None:
    xs.sort()
    ys = data.draw(st.lists(st.floats(-9, 9), min_size=len(xs), max_size=len(xs)))
    x = data.draw(st.floats(-60, 60))
    curve = Curve.through(list(zip(map(float, xs), ys, strict=True)))
    assert curve(x) == pytest.approx(float(np.interp(x, xs, ys)), abs=1e-9)


def test_a_curve_adds_to_the_log_odds() -> None:
    """0.5 for the bias and 1.5 half way up the curve: odds of e squared, so 0.881."""
    terms = terms_of({"bias": 0.5, "gain": [[0.0, 0.0], [2.0, 3.0]]})
    assert chance_of(terms, {"bias": 1.0, "gain": 1.0, "unused": 7.0}) == pytest.approx(0.8808, abs=1e-4)


def test_the_fit_finds_a_bend() -> None:
    """What is neither much nor little is right: no single weight can say that, a curve does."""
    rows = [{"bias": 1.0, "x": k / 100.0} for k in range(-100, 101)]
    right = [abs(row["x"]) < 0.5 for row in rows]
    terms = terms_of(fit(rows, right, ("bias", "x")))
    low, middle, high = (chance_of(terms, {"bias": 1.0, "x": x}) for x in (-0.9, 0.0, 0.9))
    assert middle > 0.9
    assert low < 0.2
    assert high < 0.2


def test_every_curve_of_the_program_rises_in_x() -> None:
    for name in ("pocketsphinx", "pair"):
        for terms in fitted(name).values():
            for term in terms.values() if isinstance(terms, dict) else ():
                assert not isinstance(term, Curve) or list(term.xs) == sorted(set(term.xs))
