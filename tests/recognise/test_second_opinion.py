"""What the second recogniser thinks of other words than its own, for real where it can run."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchvoice.recognise import moonshine_files
from benchvoice.recognise.beam import Pieces, plain, search
from benchvoice.recognise.moonshine import Moonshine
from benchvoice.recognise.pair import regions
from benchvoice.recognise.second_opinion import Speller, replaced, weighed

usable = pytest.mark.skipif(moonshine_files.missing() is not None, reason="moonshine-cpp is not made for this machine")

OTHER_WORDS = [
    ("The rod is bent.", (1, 2), ["crank"], "The crank is bent."),
    ("The rod is bent.", (0, 1), ["this", "one"], "This one rod is bent."),
    ("It's fine. The rod is bent.", (2, 3), ["one"], "It's fine. One rod is bent."),
    ("A half-moon key, I guess", (1, 3), ["woodruff"], "A woodruff key, I guess"),
    ("A half-moon key", (2, 3), ["inch"], "A half-inch key"),
    ("Well, no", (1, 2), ["i'm", "sure", "i", "do"], "Well, I'm sure I do"),
    ("The rod's bent", (1, 2), [], "The  bent"),
    ("The rod is bent.", (4, 4), ["again"], "The rod is bent again ."),
    ("rod bent", (0, 0), ["the"], " The rod bent"),
    ("get 'em out", (1, 2), ["them"], "get 'them out"),
]


@pytest.mark.parametrize(("spelled", "where", "words", "want"), OTHER_WORDS)
def test_other_words_in_a_sentence(spelled: str, where: tuple[int, int], words: list[str], want: str) -> None:
    assert replaced(spelled, where, words) == want


@given(st.text(alphabet="aB' ,.-", max_size=24), st.data())
def test_words_are_counted_as_the_beam_counts_them(spelled: str, data: st.DataObject) -> None:
    """Whatever is spelled, any words of it can be replaced, and just those are."""
    words = plain(spelled)
    begin = data.draw(st.integers(0, len(words)))
    end = data.draw(st.integers(begin, len(words)))
    assert plain(replaced(spelled, (begin, end), ["x", "y"])) == [*words[:begin], "x", "y", *words[end:]]


def test_pairs_merge_in_the_order_of_their_numbers() -> None:
    """ "ab" was merged before "bc", so " abc" is "ab" and "c", though " a" with "bc" would be as short."""
    texts = ("", " ", "a", "b", "c", "ab", "bc", " ab")
    speller = Speller(Pieces(begin=1, end=2, ids=(2, 90, 91, 92, 93, 10, 11, 12), texts=texts))
    assert speller("abc") == [12, 93]
    assert speller("bc abc") == [90, 11, 12, 93]
    assert speller("abd") is None
    assert speller("") == []


@usable
@pytest.mark.slow
@pytest.mark.sound
def test_whole_texts_are_as_likely_as_step_by_step(second: Moonshine, beckett_pcm: bytes) -> None:
    states = second.states(beckett_pcm[: 32_000 * 4])
    text = Speller(second.pieces)("Ever tried? Ever failed?")
    assert text is not None
    total, state, latest = 0.0, second.begin(states), second.pieces.begin
    for number in (*text, second.pieces.end):
        logs, state = second.step(state, [latest])
        total += float(logs[0, second.pieces.ids.index(number)])
        latest = number
    silence = float(second.step(second.begin(states), [second.pieces.begin])[0][0, 0])
    assert second.follow(states, [[]]) == pytest.approx([silence])
    # Eight bits are rounded to the range of what is computed together, so not the same to the last digit.
    assert second.follow(states, [text, text]) == pytest.approx([total, total], rel=0.05, abs=0.3)


@usable
@pytest.mark.slow
@pytest.mark.sound
def test_wrong_words_are_found_unlikely(second: Moonshine, beckett_pcm: bytes) -> None:
    """What was heard, and the same with one word swapped for another that sounds like it."""
    states = second.states(beckett_pcm)
    text = search(second, states, lambda word, before: 0.0, 100)[0]
    speller = Speller(second.pieces)
    assert plain(text.spelled) == list(text.words)
    first = list(text.words)
    assert weighed(second, speller, states, text, first, regions(first, text.words, _even))[0].heard == 0.0
    at = len(first) - 3
    first[at] = "wheel"
    found = weighed(second, speller, states, text, first, regions(first, text.words, _even))
    assert [region.heard > 5.0 for region in found] == [not region.same for region in found]
    assert sum(not region.same for region in found) == 1


def _even(words: Sequence[str]) -> float:
    return 0.0
