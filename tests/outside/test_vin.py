"""The check digit against 49 CFR 565.15, and which spoken mix-ups it can't see."""

import pytest

from benchvoice.domain import vin


@pytest.mark.parametrize(
    ("number", "total", "digit"),
    [
        # K-20: sample of 49 CFR 565.6 (text before 2008), its digit filled in.
        ("1G4AH59H45G118341", 411, "4"),
        # K-21: NHTSA, Outline for New Manufacturer Information, worked total 314.
        ("1J9RP1A36A1644345", 314, "6"),
        # K-22: the usual worked example with X.
        ("1M8GDM9AXKP042788", 351, "X"),
        # K-23, K-24: worked examples on the web (a motorcycle's, and one with X).
        ("JH2RC3605MM101581", 280, "5"),
        ("LJCPCBLCX11000237", 186, "X"),
        # K-25: seventeen ones, 89 = 8 x 11 + 1.
        ("11111111111111111", 89, "1"),
    ],
)
def test_published_numbers_pass(number, total, digit):
    weighted = sum(w * vin.VALUES[c] for i, (c, w) in enumerate(zip(number, vin.WEIGHTS, strict=True)) if i != 8)
    assert weighted == total
    assert vin.check_digit(number) == digit
    assert vin.check(number).passes


def test_k26_one_character_changed():
    found = vin.check("1M8GDM9A0KP042788")
    assert not found.passes
    assert found.expected == "X"


def test_changes_of_one_character_are_caught_but_for_equal_values():
    """Computed: of 512 single substitutions in K-22, 39 (7.6 %) go through, all between characters of equal value."""
    number = "1M8GDM9AXKP042788"
    missed = []
    tried = 0
    for position in range(17):
        for other in vin.VALUES:
            if other == number[position] or (position == 8 and other not in "0123456789X"):
                continue
            tried += 1
            changed = number[:position] + other + number[position + 1 :]
            if vin.check(changed).passes:
                missed.append((position, number[position], other))
    assert all(vin.VALUES[was] == vin.VALUES[now] for _, was, now in missed)
    assert len(missed) == 39


def test_swapped_neighbours_are_caught_unless_equal():
    number = "1M8GDM9AXKP042788"
    for position in range(16):
        if 8 in (position, position + 1):
            continue
        a, b = number[position], number[position + 1]
        swapped = number[:position] + b + a + number[position + 2 :]
        assert vin.check(swapped).passes == (vin.VALUES[a] == vin.VALUES[b])


# Computed from 49 CFR 565.15, table III: classes of equal value, and in them the spoken names that sound alike
# (common practice, no source).
BLIND = [("A", "J"), ("C", "T"), ("C", "3"), ("T", "3"), ("G", "P"), ("E", "V"), ("H", "8")]
SEEN = [("B", "D"), ("B", "P"), ("B", "V"), ("D", "T"), ("M", "N"), ("S", "F"), ("5", "9"), ("0", "D"), ("C", "Z")]


@pytest.mark.parametrize(("one", "other"), BLIND)
def test_positions_to_read_back(one, other):
    """The check digit passes both, so the position must be read back whichever of the two was heard."""
    base = list("11111111111111111")
    for character, mistaken in ((one, other), (other, one)):
        number = base.copy()
        number[4] = character
        number[8] = vin.check_digit("".join(number))
        assert vin.check("".join(number)).passes
        exchanged = number.copy()
        exchanged[4] = mistaken
        assert vin.check("".join(exchanged)).passes
        back = [item for item in vin.read_back("".join(number)) if item.position == 5]
        assert back
        assert mistaken in back[0].mistaken_for


@pytest.mark.parametrize(("one", "other"), SEEN)
def test_mix_ups_that_the_digit_catches(one, other):
    number = list("11111111111111111")
    number[4] = one
    number[8] = vin.check_digit("".join(number))
    number[4] = other
    assert not vin.check("".join(number)).passes
