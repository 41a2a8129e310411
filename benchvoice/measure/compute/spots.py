"""The readings of a bore or a journal as spots: level and direction, with repeats told from directions."""

from __future__ import annotations

from dataclasses import replace

from benchvoice.domain.findings import Place
from benchvoice.measure.case import Case
from benchvoice.measure.roundness import Spot
from benchvoice.measure.uncertainty import Amount, difference, repeated

DIRECTIONS_BEYOND = 3.0
"""Readings of one place that differ by more than this many standard uncertainties were taken in several directions."""


def whole(place: Place) -> Place:
    """The bore or journal itself, without where on it a reading was taken."""
    return replace(place, level=None, side=None, end=None, shell=None)


def spots_of(case: Case, part: str) -> dict[Place, list[Spot]]:
    """All diameters of a part, by bore or journal.

    Several different readings at one level with no direction said are repeats if the gauge could explain their
    difference; otherwise they were taken across one another, and each counts as a direction of its own.
    """
    out: dict[Place, list[Spot]] = {}
    for place, readings in case.of(part, "diameter").items():
        amounts = [reading.amount for reading in readings]
        level = place.level or place.end
        spots = out.setdefault(whole(place), [])
        if len(amounts) > 1 and place.side is None and differ(amounts):
            ordered = sorted(amounts, key=lambda amount: amount.to(amounts[0].unit).value, reverse=True)
            spots += [
                Spot(amount=amount, level=level, direction=f"across {number}", told=False)
                for number, amount in enumerate(ordered, start=1)
            ]
        else:
            spots.append(Spot(amount=repeated(amounts), level=level, direction=place.side))
    return out


def differ(amounts: list[Amount]) -> bool:
    """Whether readings of one place lie further apart than their gauge explains."""
    unit = amounts[0].unit
    high = max(amounts, key=lambda amount: amount.to(unit).value)
    low = min(amounts, key=lambda amount: amount.to(unit).value)
    gap = difference(high, low)
    return float(gap.value) > DIRECTIONS_BEYOND * gap.u


def size_near(case: Case, part: str, place: Place) -> Amount | None:
    """The diameter that a rule per diameter means at this place: by the sheet, else as measured there."""
    source = case.tables.size_of.get(part, part)
    by_sheet = case.sized(source, "diameter", place)
    if by_sheet:
        return by_sheet
    here = Place(cylinder=place.cylinder, journal=place.journal)
    for where, spots in spots_of(case, source).items():
        if here.covers(where) and spots:
            return spots[-1].amount
    return None
