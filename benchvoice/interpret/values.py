"""Turns a spoken number with or without a unit into the value that is meant: what is plausible decides."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from benchvoice.interpret.numbers import NumberReading, Style
from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.entries import Windows

THOU = Decimal("0.001")
LENGTHS = ("in", "mm")


@dataclass(frozen=True, slots=True)
class Spoken:
    """A value as spoken: the readings of its number, of the other end of a range, and the unit that was said."""

    readings: tuple[NumberReading, ...]
    upper: tuple[NumberReading, ...] = ()
    unit: str | None = None
    bound: str | None = None


@dataclass(frozen=True, slots=True)
class Value:
    """A value with its unit, as it goes into a finding. `others` are further believable readings."""

    value: Decimal
    unit: str
    resolution: Decimal
    upper: Decimal | None = None
    bound: str | None = None
    others: tuple[Decimal, ...] = ()
    plausible: bool = True


@dataclass(frozen=True, slots=True)
class _Candidate:
    value: Decimal
    unit: str
    resolution: Decimal
    rank: int


def resolve(
    spoken: Spoken,
    quantity: str,
    part: str | None,
    lexicon: Lexicon,
    *,
    diesel: bool | None = False,
    habit: str | None = None,
) -> Value | None:
    """The value that is meant, None if the unit can't be one of the quantity.

    habit: the unit that this sitting has used for such a quantity, which a number without a unit most likely has.
    diesel: None where nobody has said what it runs on, so that what either can have is believed.
    """
    entry = lexicon.quantities[quantity]
    windows = [entry.windows(part, diesel=kind) for kind in ((False, True) if diesel is None else (diesel,))]
    found = list(_candidates(spoken.readings, spoken.unit, entry.units, habit, lexicon))
    if not found:
        return None
    good = [item for item in found if _fits(item, windows)]
    chosen = min(good or found, key=lambda item: item.rank)
    upper = _upper(spoken, chosen, entry.units, habit, lexicon, windows)
    return Value(
        value=chosen.value,
        unit=chosen.unit,
        resolution=chosen.resolution,
        upper=upper,
        bound=spoken.bound,
        others=_others(chosen, good),
        plausible=bool(good),
    )


def _fits(item: _Candidate, windows: Sequence[Windows]) -> bool:
    """True if some window holds the value, or none is given for its unit."""
    given = [window for each in windows if (window := each.get(item.unit)) is not None]
    return not given or any(window.holds(item.value) for window in given)


def _others(chosen: _Candidate, good: list[_Candidate]) -> tuple[Decimal, ...]:
    """Other believable values in the same unit, said in the same words. Only a length is said with its point left
    out; of a pressure or a torque a row of digits is the whole number.
    """
    if chosen.unit not in LENGTHS:
        return ()
    values = dict.fromkeys(item.value for item in good if item.unit == chosen.unit and item.value != chosen.value)
    return tuple(values)


def _candidates(
    readings: Iterable[NumberReading], unit: str | None, units: tuple[str, ...], habit: str | None, lexicon: Lexicon
) -> Iterable[_Candidate]:
    """Each reading in each unit that it may have, with a rank: the lower, the likelier."""
    if unit is not None:
        entry = lexicon.units[unit]
        options = [(entry.unit, entry.factor), *entry.also]
        if habit is not None:
            options.sort(key=lambda option: option[0] != habit)
        options = [(name, factor) for name, factor in options if name in units]
    else:
        order = [habit, *units] if habit in units else list(units)
        options = [(name, Decimal(1)) for name in dict.fromkeys(order) if name is not None]
        if "in" in units:
            options.insert(options.index(("in", Decimal(1))) + 1, ("in", THOU))
    for number, reading in enumerate(readings):
        for place, (name, factor) in enumerate(options):
            if name not in LENGTHS and reading.style is Style.DIGITS and reading.resolution < 1:
                continue
            if unit is None and factor == THOU and reading.style not in (Style.WHOLE, Style.FRACTION, Style.WRITTEN):
                continue
            rank = place * 20 + _order(number, reading, name, unit)
            yield _Candidate(reading.value * factor, name, reading.resolution * factor, rank)


def _order(number: int, reading: NumberReading, unit: str, spoken_unit: str | None) -> int:
    """How likely a reading is among those of the same words. A row of digits is a whole number, unless it is a length
    in inches or millimetres, where the point was left out.
    """
    if reading.style is Style.DIGITS and unit in LENGTHS and spoken_unit in (None, "inch"):
        return int(reading.resolution >= 1) * 10 + number
    return number


def _upper(
    spoken: Spoken,
    chosen: _Candidate,
    units: tuple[str, ...],
    habit: str | None,
    lexicon: Lexicon,
    windows: Sequence[Windows],
) -> Decimal | None:
    """The other end of a range, in the unit and the manner of the first."""
    found = [
        item
        for item in _candidates(spoken.upper, spoken.unit, units, habit, lexicon)
        if item.unit == chosen.unit and item.value > chosen.value and _fits(item, windows)
    ]
    same = [item for item in found if item.resolution == chosen.resolution]
    best = min(same or found, key=lambda item: item.rank, default=None)
    return best.value if best else None
