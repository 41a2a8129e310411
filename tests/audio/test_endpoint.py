"""The end-pointer on made-up speech chances: no sound, no clock."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchvoice.audio.endpoint import Endpointer, Mark, Pauses


def frames(*runs: tuple[bool, float]) -> list[float]:
    """(speech?, seconds) runs as frames of 10 ms."""
    return [float(speech) for speech, seconds in runs for _ in range(round(seconds * 100))]


def marks(chances: list[float], pauses: Pauses | None = None) -> list[Mark]:
    ends = Endpointer(pauses=pauses or Pauses())
    return [*ends.feed(chances), *ends.finish()]


def test_one_stretch_has_lead_and_tail() -> None:
    (mark,) = marks(frames((False, 1.0), (True, 1.0), (False, 1.0)))
    assert (mark.first, mark.last) == (100, 200)
    assert (mark.start, mark.end) == (70, 230)


def test_a_short_pause_cuts_nothing_and_a_long_one_does() -> None:
    speech = [(True, 0.6), (False, 0.4), (True, 0.6)]
    assert len(marks(frames(*speech))) == 1
    assert len(marks(frames((True, 0.6), (False, 0.6), (True, 0.6)))) == 2


def test_a_click_opens_nothing() -> None:
    assert marks(frames((False, 0.5), (True, 0.05), (False, 1.0))) == []


def test_a_long_monologue_is_cut_at_its_pauses() -> None:
    talk = [run for _ in range(20) for run in ((True, 2.0), (False, 0.2))]
    found = marks(frames(*talk), Pauses(longest=10.0))
    assert len(found) > 3
    for mark in found[:-1]:
        assert mark.last % 220 == 200, "cut inside a pause"


def test_without_any_pause_it_is_cut_where_it_is() -> None:
    found = marks(frames((True, 25.0)), Pauses(longest=10.0))
    assert sum(mark.end - mark.start for mark in found) == 2500


def test_what_is_open_at_the_end_is_closed() -> None:
    assert len(marks(frames((False, 0.2), (True, 0.5)))) == 1


def test_so_far_is_what_a_close_would_give() -> None:
    ends = Endpointer()
    ends.feed(frames((True, 1.0), (False, 0.35)))
    assert ends.so_far() == Mark(start=0, end=130, first=0, last=100)
    assert ends.quiet == 35


@pytest.mark.parametrize("wrong", [{"tail": 0.6, "pause": 0.5}, {"onset": 0.5}, {"longest": 1.0}])
def test_thresholds_that_do_not_fit_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="fit"):
        Pauses(**wrong)


RUNS = st.lists(st.tuples(st.booleans(), st.floats(0.01, 3.0, allow_nan=False)), min_size=1, max_size=30)


@settings(max_examples=200, deadline=None)
@given(RUNS)
def test_nothing_is_lost_at_the_seams(runs: list[tuple[bool, float]]) -> None:
    """Speech that goes on for as long as it takes to open a stretch lies wholly within the stretches, which never
    overlap and come in order.
    """
    pauses = Pauses(longest=5.0)
    chances = frames(*runs)
    found = marks(chances, pauses)
    for one, other in pairwise(found):
        assert one.end <= other.start
    covered = set()
    for mark in found:
        assert mark.start <= mark.first < mark.last <= mark.end or mark.last <= mark.end
        covered.update(range(mark.start, mark.end))
    at = 0
    while at < len(chances):
        end = at
        while end < len(chances) and chances[end] == 1.0:
            end += 1
        if end - at >= round(pauses.onset * 100):
            assert covered.issuperset(range(at, end))
        at = end + 1


@settings(max_examples=50, deadline=None)
@given(RUNS, st.integers(1, 97))
def test_pieces_of_any_size_give_the_same(runs: list[tuple[bool, float]], size: int) -> None:
    chances = frames(*runs)
    ends = Endpointer()
    found = [mark for at in range(0, len(chances), size) for mark in ends.feed(chances[at : at + size])]
    assert [*found, *ends.finish()] == marks(chances)
