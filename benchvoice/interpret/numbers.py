"""Spoken numbers: every way of reading a run of number words, exactly and with the step of the last spoken digit.

The same words mean different numbers: "one twenty five" is 125 psi, 1.25 inches or 125 thou. So a run of words yields
readings; which one is meant is decided by what is plausible (values.py). The tables are grammars/en/numbers.toml.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from benchvoice.lexicon.entries import NumberWords

ONE = Decimal(1)
_FIGURES = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+|[0-9]{0,9}\.[0-9]{1,9}|[0-9]{1,9}(?:/[0-9]{1,9})?")
FINEST = 5
"""Decimals of a number whose point was left out; nobody measures finer at a bench."""
LONGEST = 12
"""No number that people say has more words than this."""


class Style(StrEnum):
    """How a number was spoken."""

    WHOLE = "whole"
    """A well-formed cardinal: "one hundred and five"."""
    POINT = "point"
    """With a spoken decimal point: "two point oh nine", "point oh oh two"."""
    DIGITS = "digits"
    """Digits and pairs whose point was left out: "three five forty two", "oh oh eight"."""
    FRACTION = "fraction"
    """With a half, a quarter, sixteenths."""
    WRITTEN = "written"
    """Typed in figures."""


@dataclass(frozen=True, slots=True)
class NumberReading:
    """One reading: the value and one step of its last spoken digit."""

    value: Decimal
    resolution: Decimal
    style: Style


def is_written(word: str) -> bool:
    """True for figures: "22", ".022", "80,000", "3/16"."""
    return _FIGURES.fullmatch(word) is not None


def readings(words: Sequence[str], table: NumberWords) -> tuple[NumberReading, ...]:
    """All readings of a whole run of number words, likeliest first; empty if it is no number.

    A run of digits without a point is read as a whole number and with the point at each place.
    """
    words = tuple(words)
    if not words or len(words) > LONGEST:
        return ()
    if len(words) == 1 and is_written(words[0]):
        return _written(words[0])
    for read in (_fraction, _point, _whole, _scaled):
        found = read(words, table)
        if found is not None:
            return (found,)
    return _spaced(words, table)


def _written(word: str) -> tuple[NumberReading, ...]:
    if "/" in word:
        over, under = word.split("/")
        if int(under) == 0:
            return ()
        return (NumberReading(Decimal(over) / Decimal(under), ONE / Decimal(under), Style.WRITTEN),)
    value = Decimal(word.replace(",", ""))
    return (NumberReading(value, _step(value), Style.WRITTEN),)


def _step(value: Decimal) -> Decimal:
    exponent = value.as_tuple().exponent
    return ONE.scaleb(exponent) if isinstance(exponent, int) else ONE


def cardinal(words: Sequence[str], table: NumberWords) -> tuple[int, int] | None:
    """(value, step) of a well-formed cardinal ("one hundred and five", "eighty thousand"), None for anything else.

    The step is the scale word that it ends with, from "thousand" up or after ten hundreds, else 1.
    """
    total, step, limit = 0, 1, 10**9
    part: int | None = None
    rest = _with_one(list(words), table)
    index = 0
    while index < len(rest):
        word = rest[index]
        if word in table.scales:
            scale = table.scales[word]
            if not part or not _may_scale(part, scale, limit):
                return None
            if scale == 100:
                part *= 100
            else:
                total, part, limit = total + part * scale, None, scale
            step = scale if scale > 100 or (part or 0) >= 1000 else 1
            index += 1
        elif word == "and":
            if index == 0 or index + 1 == len(rest) or rest[index - 1] not in table.scales:
                return None
            index += 1
        else:
            small = _below_hundred(rest[index:], table)
            if small is None or (part is not None and (part % 100 or small[0] == 0)):
                return None
            part, step = (part or 0) + small[0], 1
            index += small[1]
    return (total + (part or 0), step) if part is not None or total else None


def _with_one(words: list[str], table: NumberWords) -> list[str]:
    """ "A hundred" and a bare "hundred and ..." as "one hundred"."""
    if len(words) > 1 and words[0] == "hundred":
        return ["one", *words]
    if len(words) > 1 and words[0] == "a" and words[1] in table.scales:
        return ["one", *words[1:]]
    return words


def _may_scale(part: int, scale: int, limit: int) -> bool:
    """True if a number may stand before a scale word: "eleven hundred" but not "twenty hundred"."""
    if scale == 100:
        return part < 100 and (part % 10 != 0 or part < 20)
    return scale < limit


def _below_hundred(words: Sequence[str], table: NumberWords) -> tuple[int, int] | None:
    """(value, words used) of a number below one hundred at the start."""
    first = words[0]
    if first in table.tens:
        if len(words) > 1 and table.digits.get(words[1], 0) > 0:
            return table.tens[first] + table.digits[words[1]], 2
        return table.tens[first], 1
    if first in table.teens:
        return table.teens[first], 1
    if first in table.digits and first not in table.letters:
        return table.digits[first], 1
    return None


def _whole(words: Sequence[str], table: NumberWords) -> NumberReading | None:
    found = cardinal(words, table)
    if found is None:
        return None
    return NumberReading(Decimal(found[0]), Decimal(found[1]), Style.WHOLE)


def _scaled(words: Sequence[str], table: NumberWords) -> NumberReading | None:
    """ "one forty two thousand": digits and pairs before a scale word."""
    scale = table.scales.get(words[-1], 0)
    digits = _digits(words[:-1], table)
    if scale <= 100 or digits is None or digits[0] == "0":
        return None
    return NumberReading(Decimal(int(digits) * scale), Decimal(scale), Style.WHOLE)


def _digits(words: Sequence[str], table: NumberWords) -> str | None:
    """The digits that a row of digits, teens and tens spells: "five forty two" is "542"; None for anything else."""
    out = ""
    index = 0
    while index < len(words):
        word = words[index]
        times = 2 if word in table.double else 3 if word in table.triple else 1
        if times > 1:
            index += 1
            if index == len(words) or words[index] not in table.digits:
                return None
            word = words[index]
        if word in table.digits:
            out += str(table.digits[word]) * times
        else:
            small = _below_hundred(words[index:], table)
            if small is None:
                return None
            out += str(small[0])
            index += small[1] - 1
        index += 1
    return out or None


def _point(words: Sequence[str], table: NumberWords) -> NumberReading | None:
    """ "two point oh nine eight five", "point oh oh two five"."""
    where = next((i for i, word in enumerate(words) if word in table.point), None)
    if where is None:
        return None
    whole = words[:where]
    before: int | None = 0
    if whole:
        found = cardinal(whole, table)
        spelled = _digits(whole, table)
        before = found[0] if found else int(spelled) if spelled else None
    digits = _digits(words[where + 1 :], table)
    if before is None or digits is None:
        return None
    resolution = ONE.scaleb(-len(digits))
    return NumberReading(before + int(digits) * resolution, resolution, Style.POINT)


def _fraction(words: Sequence[str], table: NumberWords) -> NumberReading | None:
    """ "two and a half", "half a", "three quarters", "seven thirty seconds", "one and three eighths"."""
    words = tuple(word for word in words if word not in table.linking) if len(words) > 1 else tuple(words)
    for size in (2, 1):
        tail = words[-size:]
        if tail in table.fractions and len(words) >= size:
            head = words[: len(words) - size]
            return _with_fraction(head, table.fractions[tail], table, plural=tail[-1].endswith("s"))
    if len(words) == 1 and words in table.fractions:
        return NumberReading(ONE / table.fractions[words[:1]], ONE / table.fractions[words[:1]], Style.FRACTION)
    return None


def _with_fraction(head: Sequence[str], under: int, table: NumberWords, *, plural: bool) -> NumberReading | None:
    step = ONE / under
    if not head:
        return None if plural else NumberReading(step, step, Style.FRACTION)
    whole: Decimal | None = Decimal(0)
    count: tuple[int, int] | None = (1, 1)
    if "and" in head:
        at = len(head) - 1 - list(reversed(head)).index("and")
        found = readings(head[:at], table)
        whole = found[0].value if found else None
        if head[at + 1 :]:
            count = cardinal(head[at + 1 :], table)
    else:
        count = cardinal(head, table)
        if under == 2 and count is not None and count[0] > 1 and len(head) == 1:
            whole, count = Decimal(count[0]), (1, 1)
    if whole is None or count is None or count[0] >= max(under, 2):
        return None
    return NumberReading(whole + count[0] * step, step, Style.FRACTION)


def _spaced(words: Sequence[str], table: NumberWords) -> tuple[NumberReading, ...]:
    """A row of digits and pairs whose point was left out, with the point at each place it may have stood.

    One that starts with "oh" or zero is a decimal fraction: "oh oh eight" is 0.008.
    """
    digits = _digits(words, table)
    if digits is None or len(words) < 2:
        return ()
    number = int(digits)
    if digits[0] == "0":
        resolution = ONE.scaleb(-len(digits))
        out = [NumberReading(number * resolution, resolution, Style.DIGITS)]
        if len(digits) > 1:
            shifted = ONE.scaleb(1 - len(digits))
            out.append(NumberReading(number * shifted, shifted, Style.DIGITS))
        return tuple(out)
    out = []
    for places in range(min(len(digits), FINEST + 1)):
        resolution = ONE.scaleb(-places)
        out.append(NumberReading(number * resolution, resolution, Style.DIGITS))
    if len(digits) <= FINEST:
        out.append(NumberReading(number * ONE.scaleb(-len(digits)), ONE.scaleb(-len(digits)), Style.DIGITS))
    out += _oversize(words, table)
    return tuple(out)


def _oversize(words: Sequence[str], table: NumberWords) -> list[NumberReading]:
    """ "four thirty" may be 4.030: a whole inch and a size over it in thousandths."""
    if len(words) == 2 and words[0] in table.digits and words[1] in table.tens:
        value = Decimal(table.digits[words[0]]) + Decimal(table.tens[words[1]]).scaleb(-3)
        return [NumberReading(value, ONE.scaleb(-3), Style.DIGITS)]
    return []
