"""Vehicle identification numbers against the regulation and published worked examples.

The rule and its tables: 49 CFR 565.15(c). Sample number of the regulation's earlier text (then 565.6): digit 4.
The sums of the other numbers are printed in public worked examples; each is worked again here.
"""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchvoice.domain import vin

WORKED = {
    "1G4AH59H45G118341": 411,  # the regulation's own sample, its digit filled in
    "1J9RP1A36A1644345": 314,
    "1M8GDM9AXKP042788": 351,
    "JH2RC3605MM101581": 280,
    "LJCPCBLCX11000237": 186,
    "11111111111111111": 89,  # all ones: the weights' own sum
}
numbers = st.text(st.sampled_from(sorted(vin.VALUES)), min_size=17, max_size=17)


def by_hand(number: str) -> int:
    """The sum of the regulation's worked form, written apart from the product's."""
    values = dict(zip("0123456789ABCDEFGHJKLMNPRSTUVWXYZ", "012345678912345678123457923456789", strict=True))
    weights = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
    return sum(int(values[character]) * weight for character, weight in zip(number, weights, strict=True))


@pytest.mark.parametrize(("number", "total"), WORKED.items())
def test_worked_examples(number: str, total: int) -> None:
    assert by_hand(number) == total
    assert vin.check_digit(number) == number[8]
    assert vin.check(number).passes


@given(numbers)
def test_the_digit_is_the_sums_remainder(number: str) -> None:
    assert vin.check_digit(number) == "0123456789X"[by_hand(number) % 11]


def test_one_changed_character_fails_and_the_right_digit_is_said() -> None:
    found = vin.check("1M8GDM9A0KP042788")
    assert (found.passes, found.expected) == (False, "X")


def test_what_the_digit_can_and_cant_see_of_single_substitutions() -> None:
    """Brute force over all positions and characters of one number: 39 of 512 pass unseen, which is 7.6 percent."""
    number = "1M8GDM9AXKP042788"
    changed = [
        number[:i] + other + number[i + 1 :] for i in range(17) if i != 8 for other in vin.VALUES if other != number[i]
    ]
    unseen = [item for item in changed if vin.check(item).passes]
    assert (len(changed), len(unseen)) == (512, 39)


@given(numbers)
def test_every_swap_that_is_to_be_read_back_is_one_that_the_digit_cant_see(number: str) -> None:
    for item in vin.read_back(number):
        for other in item.mistaken_for:
            changed = number[: item.position - 1] + other + number[item.position :]
            assert vin.check_digit(changed) == vin.check_digit(number)
            assert number[item.position - 1] == item.character != other


@pytest.mark.parametrize("pair", ["AJ", "CT", "C3", "T3", "GP", "EV", "H8"])
def test_sound_alikes_of_equal_value_are_read_back(pair: str) -> None:
    number = pair[0] + "1" * 16
    assert pair[1] in vin.read_back(number)[0].mistaken_for


@pytest.mark.parametrize("pair", ["BD", "BP", "BV", "DT", "MN", "SF", "59", "CZ"])
def test_sound_alikes_that_the_digit_sees_are_not(pair: str) -> None:
    number = pair[0] + "1" * 16
    assert not [item for item in vin.read_back(number) if pair[1] in item.mistaken_for]


@given(numbers.filter(lambda number: not vin.check(number).passes))
def test_near_numbers_pass_and_differ_by_one_character(number: str) -> None:
    for near in vin.check(number).near:
        assert vin.check(near).passes
        assert sum(a != b for a, b in zip(near, number, strict=True)) == 1


@pytest.mark.parametrize(
    ("text", "says"),
    [("", "0 characters"), ("1M8GDM9AXKP04278", "16"), ("IM8GDM9AXKP042788", "holds I"), ("1M8GDM9AXKP0427é8", "É")],
)
def test_what_isnt_a_number_is_said_with_what_to_do(text: str, says: str) -> None:
    found = vin.check(text)
    assert says in found.problem
    assert found.advice


@given(st.text(max_size=30))
def test_any_text_at_all_gets_an_answer(text: str) -> None:
    found = vin.check(text)
    assert found.passes or found.problem


def test_the_doctests_hold() -> None:
    assert doctest.testmod(vin).failed == 0
