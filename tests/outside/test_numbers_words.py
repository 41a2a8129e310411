"""Number words against a reference library and unit factors against NIST.

Sources: num2words (PyPI), which turns numbers into English words, the opposite direction of ours; NIST SP 811 (2008)
B.8: 1 in = 25.4 mm exactly, and 4.3 on keeping the digits of a converted value in proportion to the original.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from benchvoice.domain.words import typed
from benchvoice.interpret import Reader
from benchvoice.interpret.numbers import readings
from benchvoice.lexicon import load

LEXICON = load()
READER = Reader(LEXICON)


def words_of(text: str) -> list[str]:
    return text.replace("-", " ").replace(",", "").split()


@given(st.integers(0, 999_999))
def test_whole_numbers_as_the_library_says_them(number: int) -> None:
    assert readings(words_of(num2words(number)), LEXICON.numbers)[0].value == number


@given(st.decimals("0.0001", "999.9999", places=4))
def test_decimals_as_the_library_says_them(value: Decimal) -> None:
    (found,) = readings(words_of(num2words(value)), LEXICON.numbers)
    assert found.value == value


@pytest.mark.parametrize("number", range(1, 13))
def test_ordinals_as_the_library_says_them(number: int) -> None:
    assert LEXICON.numbers.ordinals[num2words(number, to="ordinal")] == number


@pytest.mark.parametrize(
    ("spoken", "millimetres"),
    [("two thou", "0.0508"), ("three and a half thou", "0.0889"), ("half a thou", "0.0127"), ("a tenth", "0.00254")],
)
def test_thou_and_tenths_in_millimetres_by_the_exact_inch(spoken: str, millimetres: str) -> None:
    reading, _ = READER.read(typed(0, f"crank runout is {spoken}"), READER.start())
    (finding,) = reading.findings
    assert finding.value is not None
    assert finding.value * Decimal("25.4") == Decimal(millimetres)


@pytest.mark.parametrize(
    ("unit", "factor"),
    [("thou", "0.001"), ("tenth", "0.0001"), ("hundredth_of_a_millimetre", "0.01"), ("centimetre", "10")],
)
def test_factors_of_spoken_units_are_powers_of_ten(unit: str, factor: str) -> None:
    assert LEXICON.units[unit].factor == Decimal(factor)
