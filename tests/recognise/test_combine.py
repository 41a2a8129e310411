"""Voting, by hand and by law."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from benchvoice import resources
from benchvoice.audio.blocks import RATE, to_pcm
from benchvoice.domain.words import Word
from benchvoice.errors import BenchvoiceError
from benchvoice.recognise import TWO, available, open_recogniser, vosk_engine
from benchvoice.recognise.combine import CombinedEngine, network, vote


def reading(text: str, sure: float = 0.9, step: float = 0.3) -> list[Word]:
    return [Word(text=word, t0=i * step, t1=(i + 1) * step, confidence=sure) for i, word in enumerate(text.split())]


def said(*readings: list[Word], **how: float) -> str:
    return " ".join(word.text for word in vote(readings, **how))


def test_two_of_three_win() -> None:
    assert said(reading("rod bearing is wiped"), reading("rod bearing is white"), reading("rob bearing is wiped")) == (
        "rod bearing is wiped"
    )


def test_of_two_the_surer_word_wins() -> None:
    one, two = reading("rod caring is wiped", 0.5), reading("rod bearing is wiped", 0.8)
    assert said(one, two) == said(two, one) == "rod bearing is wiped"


def test_score_by_hand() -> None:
    """alpha 0.5. Both have "rod", at 0.9 and 0.7: 0.5 * 2/2 + 0.5 * 0.9 = 0.95.
    "cap" alone: 0.5 * 1/2 + 0.5 * 0.8 = 0.65.
    """
    words = vote([reading("rod cap", 0.9)[:1] + reading("rod cap", 0.8)[1:], reading("rod tap", 0.7)], alpha=0.5)
    assert [(word.text, word.confidence) for word in words] == [("rod", 0.95), ("cap", 0.65)]


def test_a_word_that_only_an_unsure_one_has_is_dropped() -> None:
    unsure = [
        *reading("rod"),
        Word(text="uh", t0=0.3, t1=0.4, confidence=0.2),
        Word(text="cap", t0=0.4, t1=0.7, confidence=0.9),
    ]
    sure = [Word(text="rod", t0=0.0, t1=0.3, confidence=0.9), Word(text="cap", t0=0.4, t1=0.7, confidence=0.9)]
    assert said(sure, unsure) == "rod cap"


def test_times_decide_between_equal_alignments() -> None:
    one = [Word(text="two", t0=0.0, t1=0.3), Word(text="two", t0=2.0, t1=2.3)]
    other = [Word(text="two", t0=2.0, t1=2.3)]
    slots = network([one, other])
    assert slots[1].words[1] is not None
    assert slots[0].words[1] is None


WORDS = st.lists(st.sampled_from(["one", "two", "three", "four"]), max_size=6).map(" ".join)


@given(WORDS)
def test_agreement_changes_nothing(text: str) -> None:
    assert said(reading(text), reading(text)) == text


@given(st.lists(WORDS, min_size=1, max_size=4))
def test_every_word_of_every_reading_has_its_slot(texts: list[str]) -> None:
    readings = [reading(text) for text in texts]
    slots = network(readings)
    for k, words in enumerate(readings):
        assert [slot.words[k] for slot in slots if slot.words[k] is not None] == words
        assert all(len(slot.words) == len(readings) for slot in slots)


@pytest.mark.sound
def test_two_real_recognisers_that_agree_hear_what_one_hears() -> None:
    """Twice the embedded one, as no package carries an English model for the other."""
    path = resources.folder("demo_audio") / "orchard-truck-six.flac"
    sound, _ = soundfile.read(str(path), dtype="float32", stop=20 * RATE)
    alone = open_recogniser("pocketsphinx")
    two = CombinedEngine((alone, open_recogniser("pocketsphinx")))
    expected, heard = (engine.hear(to_pcm(np.asarray(sound, np.float32)), start=5.0) for engine in (alone, two))
    assert len(expected.words) > 5
    assert [(word.text, word.t0) for word in heard.words] == [(word.text, word.t0) for word in expected.words]
    assert heard.recogniser == two.name == "pocketsphinx+pocketsphinx"
    two.close()
    with pytest.raises(BenchvoiceError, match="closed"):
        two.hear(b"")


def test_both_together_need_a_vosk_model(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(vosk_engine, "find_model", lambda path=None: None)
    both = next(item for item in available() if item.name == TWO)
    assert not both.usable
    assert "fetch-model" in both.why
    with pytest.raises(BenchvoiceError, match="No English Vosk model"):
        open_recogniser(TWO)
