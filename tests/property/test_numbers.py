"""Any number in any idiom comes back equal, with the step of its last spoken digit."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchvoice.domain.findings import Kind
from benchvoice.domain.words import typed
from benchvoice.interpret import Reader
from benchvoice.interpret.numbers import readings
from benchvoice.lexicon import load
from tests.property import saying

LEXICON = load()
TABLE = LEXICON.numbers
READER = Reader(LEXICON)


def values(text: str) -> list[Decimal]:
    return [item.value for item in readings(text.split(), TABLE)]


def measured(text: str) -> tuple[Decimal | None, str | None, Decimal | None]:
    reading, _ = READER.read(typed(0, text), READER.start())
    found = [item for item in reading.findings if item.kind is Kind.MEASUREMENT]
    assert len(found) == 1, text
    return found[0].value, found[0].unit, found[0].resolution


@given(st.integers(0, 999_999), st.booleans(), st.booleans())
def test_whole_numbers_come_back(number: int, joined: bool, article: bool) -> None:
    assert values(saying.whole(number, joined=joined, article=article))[:1] == [number]


@given(st.integers(1, 999_999), st.integers(1, 5), st.booleans(), st.booleans())
def test_decimals_come_back_with_their_step(number: int, places: int, oh: bool, leading: bool) -> None:
    value = Decimal(number).scaleb(-places)
    found = readings(saying.pointed(value, oh=oh, leading=leading).split(), TABLE)
    assert [item.value for item in found] == [value]
    assert found[0].resolution == Decimal(1).scaleb(-places)


@given(st.integers(100, 99_999).filter(lambda number: "0" not in str(number)[-2:]))
def test_a_row_of_digits_can_be_read_with_the_point_after_the_first(number: int) -> None:
    digits = str(number)
    assert Decimal(f"{digits[0]}.{digits[1:]}") in values(saying.run(digits))
    assert number in values(saying.run(digits))


@given(st.integers(0, 99))
def test_halves_come_back(number: int) -> None:
    assert values(saying.halves(number)) == [number + Decimal("0.5")]


@given(st.integers(1, 40), st.booleans())
def test_thou_of_end_play(number: int, half: bool) -> None:
    spoken = saying.halves(number) if half else saying.two(number)
    want = (Decimal(number) + (Decimal("0.5") if half else 0)) / 1000
    assert measured(f"crank end play is {spoken} thou") == (want, "in", Decimal("0.0005") if half else Decimal("0.001"))


@given(st.integers(18_000, 70_000), st.booleans())
def test_a_bore_in_inches(number: int, pointed: bool) -> None:
    value = Decimal(number).scaleb(-4)
    spoken = saying.pointed(value) if pointed else saying.pointed(value, oh=False)
    assert measured(f"number three bore measures {spoken} inches") == (value, "in", Decimal("0.0001"))


@given(st.integers(5000, 18_000))
def test_a_bore_in_millimetres(number: int) -> None:
    value = Decimal(number).scaleb(-2)
    assert measured(f"bore two is {saying.pointed(value)} millimetres") == (value, "mm", Decimal("0.01"))


@given(st.integers(1, 8), st.integers(60, 250), st.sampled_from(["is", "", "was", "made"]))
def test_compression_at_a_cylinder(cylinder: int, pressure: int, verb: str) -> None:
    text = f"compression on number {saying.two(cylinder)} {verb} {saying.whole(pressure)} psi"
    reading, _ = READER.read(typed(0, text), READER.start())
    assert [(f.place.cylinder, f.value, f.unit) for f in reading.findings] == [(cylinder, pressure, "psi")]


@given(st.integers(1, 30), st.integers(1, 9))
def test_thou_and_tenths(thou: int, tenths: int) -> None:
    text = f"end play is {saying.two(thou)} thou and {saying.two(tenths)} tenths"
    value, unit, resolution = measured(text)
    assert (value, unit, resolution) == (Decimal(thou * 10 + tenths).scaleb(-4), "in", Decimal("0.0001"))


@given(st.integers(2, 30), st.integers(1, 9), st.sampled_from(["or", "to"]))
def test_a_range_keeps_both_ends(low: int, more: int, link: str) -> None:
    text = f"end play is {saying.two(low)} {link} {saying.two(low + more)} thou"
    reading, _ = READER.read(typed(0, text), READER.start())
    found = reading.findings[0]
    assert (found.value, found.upper) == (Decimal(low) / 1000, Decimal(low + more) / 1000)


@pytest.mark.parametrize(
    ("text", "value", "others"),
    [("number two bore is four thirty", "4.30", ["4.030"]), ("number two bore is four inch thirty", "4.030", [])],
)
def test_what_can_be_read_two_ways_is_flagged_with_both(text: str, value: str, others: list[str]) -> None:
    reading, _ = READER.read(typed(0, text), READER.start())
    assert reading.findings[0].value == Decimal(value)
    assert list(reading.findings[0].readings) == [Decimal(item) for item in others]
