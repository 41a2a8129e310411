"""Says numbers the way people at a bench do. Written apart from the reader, from the idioms alone."""

from __future__ import annotations

from decimal import Decimal

SMALL = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
TENS = ("zero", "ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def two(number: int) -> str:
    """0..99 in words."""
    if number < 20:
        return SMALL[number]
    tens, ones = divmod(number, 10)
    return TENS[tens] + (f" {SMALL[ones]}" if ones else "")


def whole(number: int, *, joined: bool = False, article: bool = False) -> str:
    """0..999999 in words. joined: "one hundred and five"; article: "a hundred"."""
    if number >= 1000:
        thousands, rest = divmod(number, 1000)
        link = " and " if joined and 0 < rest < 100 else " "
        return f"{whole(thousands, joined=joined)} thousand" + (f"{link}{whole(rest, joined=joined)}" if rest else "")
    hundreds, rest = divmod(number, 100)
    if not hundreds:
        return two(rest)
    head = "a hundred" if article and hundreds == 1 else f"{SMALL[hundreds]} hundred"
    return head + (f"{' and ' if joined else ' '}{two(rest)}" if rest else "")


def digit(character: str, oh: bool) -> str:
    return "oh" if oh and character == "0" else SMALL[int(character)]


def pointed(value: Decimal, *, oh: bool = True, leading: bool = False) -> str:
    """ "two point oh nine eight five", "point oh oh two five"; leading: "zero point ..."."""
    before, _, after = f"{value:f}".partition(".")
    head = f"{whole(int(before))} " if int(before) else ("zero " if leading else "")
    return f"{head}point {' '.join(digit(character, oh) for character in after)}"


def run(digits: str) -> str:
    """A row of digits with its point left out: "3542" is "three five forty two"."""
    head, pair = digits[:-2], int(digits[-2:])
    tail = two(pair) if pair >= 10 else " ".join(digit(character, True) for character in digits[-2:])
    return " ".join([*(digit(character, True) for character in head), tail])


def halves(number: int) -> str:
    """ "two and a half"."""
    return f"{two(number)} and a half" if number else "half"
