"""Lists and ranges of places expand exactly."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from benchvoice.domain.engine import Engine, Layout
from benchvoice.domain.findings import Flag
from benchvoice.domain.words import typed
from benchvoice.interpret import Reader
from benchvoice.lexicon import load
from tests.property import saying

READER = Reader(load())
EIGHT = Reader(load(), Engine(stock="T", layout=Layout.VEE, cylinders=8))
NUMBERS = st.lists(st.integers(1, 12), min_size=2, max_size=5, unique=True).map(sorted)


def numbers(text: str, key: str) -> list[int]:
    reading, _ = READER.read(typed(0, text), READER.start())
    return [finding.place.as_dict()[key] for finding in reading.findings]  # type: ignore[misc]


def listed(members: list[int]) -> str:
    words = [saying.two(member) for member in members]
    return " ".join(words[:-1]) + f" and {words[-1]}"


@given(NUMBERS, st.sampled_from(["rod bearings {} are wiped", "pistons {} are scuffed", "wiped rod bearings on {}"]))
def test_lists_give_one_finding_a_member(members: list[int], form: str) -> None:
    assert numbers(form.format(listed(members)), "cylinder") == members


@given(st.integers(1, 8), st.integers(1, 4), st.sampled_from(["through", "to", "thru"]))
def test_ranges_give_one_finding_a_member(first: int, more: int, word: str) -> None:
    text = f"rods {saying.two(first)} {word} {saying.two(first + more)} are bent"
    assert numbers(text, "cylinder") == list(range(first, first + more + 1))


@given(st.integers(1, 5), st.sampled_from(["main bearing", "main cap", "main journal", "cam bearing"]))
def test_mains_and_cam_bearings_count_journals(number: int, part: str) -> None:
    assert numbers(f"number {saying.two(number)} {part} is scored", "journal") == [number]


@given(st.integers(1, 16))
def test_a_place_that_the_engine_lacks_is_flagged_and_kept(number: int) -> None:
    reading, _ = EIGHT.read(typed(0, f"rod bearing {saying.two(number)} is wiped"), EIGHT.start())
    (finding,) = reading.findings
    assert finding.place.cylinder == number
    assert (Flag.NOT_ON_ENGINE in finding.flags) == (number > 8)


@given(st.sampled_from(["all the", "both", "every one of the", "the rest of the", "all eight"]))
def test_group_words_give_one_finding_without_a_number(words: str) -> None:
    reading, _ = READER.read(typed(0, f"{words} rod bearings are wiped"), READER.start())
    assert [finding.place.as_dict() for finding in reading.findings] == [{}]


def test_odd_ones_expand_where_the_engine_is_known() -> None:
    _, context = EIGHT.read(typed(0, "rod bearings next"), EIGHT.start())
    reading, _ = EIGHT.read(typed(1, "every odd one is wiped"), context)
    assert [finding.place.cylinder for finding in reading.findings] == [1, 3, 5, 7]
