"""Misprints in a sheet: figures that contradict one another, found before anything is judged by them.

Published manuals have such faults: a limit printed ten times too small in one unit, a wear limit inside the range of
new parts, a wrong digit. None is repaired, all are named, with the likely reading.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from benchvoice.domain.sheet import Sheet, SheetProblem, SheetRow
from benchvoice.measure import units
from benchvoice.measure.tables import Fit, Tables

FAR_BEYOND = 5
"""A service limit more than this many times the new range's upper end is doubted (common practice, no source)."""

_NAMES = {
    "nominal": "nominal",
    "new_low": "new (smallest)",
    "new_high": "new (largest)",
    "minimum": "min",
    "maximum": "max",
}


def doubts(sheet: Sheet, tables: Tables) -> tuple[SheetProblem, ...]:
    """Everything about the figures that should be looked up again, in the order of the file; none is serious in the
    sense that the sheet can't be read.
    """
    found: list[SheetProblem] = []
    for row in sheet.rows:
        found += [*_two_units(row), *_own_order(row), *_window(row, tables)]
    for fit in tables.fits:
        found += _fit(sheet, fit)
    return tuple(sorted(found, key=lambda problem: problem.line))


def _doubt(row: SheetRow, what: str, hint: str) -> SheetProblem:
    return SheetProblem(line=row.line, where=f"{row.part}.{row.quantity}", what=what, hint=hint, serious=False)


def disagreement(value: Decimal, unit: str, other: Decimal, other_unit: str) -> str | None:
    """Why a figure printed in two units can't be right, None if the two agree within one unit of the last digit of
    either.

    Worked by hand: 0.006 in is 0.1524 mm; 0.015 mm is ten times too small.

    >>> disagreement(Decimal("0.006"), "in", Decimal("0.15"), "mm") is None
    True
    >>> disagreement(Decimal("0.006"), "in", Decimal("0.015"), "mm")
    '0.006 in is 0.15 mm, not 0.015 mm: a decimal point slipped, one of the two is ten times off'
    """
    converted = units.convert(value, unit, other_unit)
    step = units.step_of(other)
    own_step = units.step_of(value) * units.factor(unit, other_unit)
    if abs(converted - other) <= max(step, own_step):
        return None
    shown = units.convert_honestly(value, None, unit, other_unit)
    text = f"{value} {units.symbol(unit)} is {shown} {units.symbol(other_unit)}, not {other} {units.symbol(other_unit)}"
    reason = _reason(converted, other)
    return f"{text}: {reason}" if reason else text


def _reason(right: Decimal, printed: Decimal) -> str:
    for power, words in ((1, "ten"), (2, "a hundred"), (3, "a thousand")):
        for shifted in (printed.scaleb(power), printed.scaleb(-power)):
            if right and abs(shifted - right) <= abs(right) / 20:
                return f"a decimal point slipped, one of the two is {words} times off"
    rounded = right.quantize(units.step_of(printed))
    wrong = [(a, b) for a, b in zip(str(rounded), str(printed), strict=False) if a != b]
    if len(str(rounded)) == len(str(printed)) and len(wrong) == 1:
        return f"one digit differs, {wrong[0][1]} for {wrong[0][0]}"
    return ""


def _two_units(row: SheetRow) -> Iterator[SheetProblem]:
    if row.also_unit is None:
        return
    for name, other in row.also:
        value = getattr(row, name)
        if value is None:
            yield _doubt(row, f"{_NAMES[name]} is only printed in {row.also_unit}", "Add it in the row's own unit.")
            continue
        why = disagreement(value, row.unit, other, row.also_unit)
        if why:
            yield _doubt(row, f"{_NAMES[name]}: {why}", "Look it up again; until then don't rely on either.")


def _own_order(row: SheetRow) -> Iterator[SheetProblem]:
    low, high = row.new_low, row.new_high
    if row.minimum is not None and row.maximum is not None and row.minimum > row.maximum:
        yield _doubt(row, f"min {row.minimum} lies above max {row.maximum}", "The two may have changed places.")
    if high is not None and row.maximum is not None and row.maximum < high:
        what = f"the limit {row.maximum} is tighter than new parts, which may have {high}"
        yield _doubt(row, what, "One of the two is misprinted: a used part can't need to be better than a new one.")
    if low is not None and row.minimum is not None and row.minimum > low:
        what = f"the limit {row.minimum} is tighter than new parts, which may have {low}"
        yield _doubt(row, what, "One of the two is misprinted: a used part can't need to be better than a new one.")
    if row.nominal is not None and low is not None and high is not None and not low <= row.nominal <= high:
        yield _doubt(row, f"nominal {row.nominal} lies outside {low} to {high}", "One of them is misprinted.")
    if high and row.maximum is not None and row.maximum > FAR_BEYOND * high:
        what = f"the limit {row.maximum} is {row.maximum / high:.0f} times what new parts have"
        yield _doubt(row, what, f"Perhaps {row.maximum / 10} is meant.")


def _window(row: SheetRow, tables: Tables) -> Iterator[SheetProblem]:
    window = tables.windows.get(f"{row.part}.{row.quantity}") or tables.windows.get(f"*.{row.quantity}")
    if window is None or not units.same_kind(row.unit, window[2]):
        return
    low, high = (units.convert(end, window[2], row.unit) for end in window[:2])
    for name, label in _NAMES.items():
        value = getattr(row, name)
        if value is not None and not low <= value <= high:
            what = f"{label} {value} {units.symbol(row.unit)} is not a plausible {row.quantity.replace('_', ' ')}"
            yield _doubt(row, what, f"From {low:.4g} to {high:.4g} would be.")


def _fit(sheet: Sheet, fit: Fit) -> Iterator[SheetProblem]:
    """Whether hole, shaft and clearance of new parts fit together."""
    for row in sheet.rows:
        if row.part != fit.part or row.quantity != "clearance" or row.new_low is None or row.new_high is None:
            continue
        hole, shaft = (_sized(sheet, parts, row) for parts in (fit.holes, fit.shafts))
        if hole is None or shaft is None:
            continue
        low, high = hole[0] - shaft[1], hole[1] - shaft[0]
        if row.new_high < low or row.new_low > high:
            what = f"new clearance {row.new_low} to {row.new_high}, but the sizes of the parts leave {low} to {high}"
            yield _doubt(row, what, "One of the three rows is misprinted, or the sizes belong to another version.")


def _sized(sheet: Sheet, parts: tuple[str, ...], like: SheetRow) -> tuple[Decimal, Decimal] | None:
    for part in parts:
        row = sheet.row(part, "diameter", like.place)
        if row and row.new_low is not None and row.new_high is not None and units.same_kind(row.unit, like.unit):
            return units.convert(row.new_low, row.unit, like.unit), units.convert(row.new_high, row.unit, like.unit)
    return None


def standing_in(sheet: Sheet, tables: Tables) -> Mapping[str, str]:
    """Which rules of thumb will stand in because the sheet has no limit: "part.name" -> the rule's source."""
    given = {(row.part, row.quantity) for row in sheet.rows if row.limit() is not None}
    return {
        f"{part}.{name}": f"{rule.basis.mark.value}: {rule.basis.source}"
        for (part, name), rule in tables.rules.items()
        if (part, name) not in given
    }
