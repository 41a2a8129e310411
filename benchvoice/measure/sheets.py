"""Reads a spec sheet from TOML, collecting every problem with its line.

A sheet has a title, a source and a table for each part and quantity:

    title = "Plover 34, invented"
    source = "an invented manual"

    [cylinder_bore.diameter]
    unit = "in"
    new = [3.6400, 3.6410]
    max = 3.6450
    oversizes = [0.020, 0.030]
    source = "page 12"
    also = { unit = "mm", new = [92.456, 92.481] }

`new` is the range of a new part (or `nominal`, with `tolerance`), `min` and `max` are service limits, `also` repeats
what is printed in a second unit. A quantity with several places is a list of tables, each with its `place`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from benchvoice.domain.findings import Place
from benchvoice.domain.sheet import Sheet, SheetProblem, SheetRow
from benchvoice.errors import BenchvoiceError
from benchvoice.measure import units
from benchvoice.measure.sheet_lines import Lines, line_of, locate
from benchvoice.measure.tables import Tables
from benchvoice.resources import folder

MAX_BYTES = 1_000_000
_TOP = frozenset({"title", "source", "invented", "note"})
_NUMBERS = ("nominal", "tolerance", "min", "max")
_ROW = frozenset({*_NUMBERS, "new", "unit", "source", "place", "oversizes", "undersizes", "at", "also", "note"})
_ALSO = frozenset({"unit", "nominal", "new", "min", "max"})
_PLACES: dict[str, Callable[[Any], bool]] = {
    "cylinder": lambda v: isinstance(v, int) and not isinstance(v, bool) and 1 <= v <= 16,
    "journal": lambda v: isinstance(v, int) and not isinstance(v, bool) and 1 <= v <= 9,
    "bank": lambda v: v in ("left", "right"),
    "end": lambda v: v in ("front", "rear"),
    "valve": lambda v: v in ("intake", "exhaust"),
    "side": lambda v: v in ("thrust", "minor"),
    "shell": lambda v: v in ("upper", "lower"),
    "level": lambda v: v in ("top", "middle", "bottom"),
}


@dataclass(slots=True)
class _Reader:
    """Gathers problems while one table is read."""

    lines: Lines
    tables: Tables
    parts: Collection[str]
    problems: list[SheetProblem] = field(default_factory=list)

    def wrong(self, table: str, index: int, key: str, what: str, hint: str = "") -> None:
        where = f"{table}.{key}" if key and table else key or table
        line = line_of(self.lines, table, index, key)
        self.problems.append(SheetProblem(line=line, where=where, what=what, hint=hint))


def _near(word: str, known: Collection[str]) -> str:
    close = get_close_matches(word, list(known), n=1)
    return f"Did you mean {close[0]}?" if close else f"Known: {', '.join(sorted(known))}."


def parse(
    text: str, tables: Tables, *, parts: Collection[str] = (), path: str = ""
) -> tuple[Sheet | None, tuple[SheetProblem, ...]]:
    """The sheet and all its problems. A sheet comes back whenever the text is TOML: its sound rows can be used.

    parts: the names of known parts; empty: any name goes.
    """
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except (ValueError, RecursionError) as error:
        line = next((int(word) for word in str(error).replace(",", " ").split() if word.isdigit()), 1)
        hint = "Check quotes, brackets and equals signs there."
        return None, (SheetProblem(line=line, where="", what=f"not TOML: {error}", hint=hint),)
    reader = _Reader(lines=locate(text), tables=tables, parts=parts)
    title, source = (_text(reader, data, key) for key in ("title", "source"))
    rows = tuple(row for row in _rows(reader, data) if row)
    sheet = Sheet(title=title, source=source, rows=rows, invented=data.get("invented") is True, path=path)
    return sheet, tuple(sorted(reader.problems, key=lambda problem: problem.line))


def load_sheet(path: Path, tables: Tables, *, parts: Collection[str] = ()) -> Sheet:
    """The sheet of a file; raises BenchvoiceError naming the first serious problem, if there is one."""
    sheet, problems = parse(read_text(path), tables, parts=parts, path=str(path))
    serious = [problem for problem in problems if problem.serious]
    if sheet is None or serious:
        first = serious[0]
        more = f" and {len(serious) - 1} more" if len(serious) > 1 else ""
        raise BenchvoiceError(
            f"The spec sheet {path} can't be used: line {first.line}: {first.what}{more}.",
            hint=f"See all of it with: benchvoice spec check {path}",
        )
    return sheet


def blank(language: str = "en") -> str:
    """An empty sheet with its instructions, to be filled in by hand."""
    return (folder("grammars") / language / "measure" / "blank_sheet.toml").read_text(encoding="utf-8")


def read_text(path: Path) -> str:
    """The text of a sheet's file. Raises BenchvoiceError if it can't be read as one."""
    try:
        if path.stat().st_size > MAX_BYTES:
            raise BenchvoiceError(f"{path} is too large for a spec sheet.", hint="Give a TOML file under 1 MB.")
        return path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise BenchvoiceError(
            f"There is no file {path}.", hint="`benchvoice spec blank` prints one to fill in."
        ) from None
    except UnicodeDecodeError:
        raise BenchvoiceError(f"{path} is not text.", hint="A spec sheet is a TOML file in UTF-8.") from None
    except OSError as error:
        raise BenchvoiceError(
            f"{path} can't be read: {error.strerror}.", hint="Check the path and its rights."
        ) from error


def _text(reader: _Reader, data: Mapping[str, Any], key: str) -> str:
    value = data.get(key)
    if isinstance(value, str) and value.strip():
        return value
    reader.wrong("", 0, key, f"the sheet has no {key}", f'Write {key} = "..." in the first lines.')
    return ""


def _rows(reader: _Reader, data: Mapping[str, Any]) -> Iterator[SheetRow | None]:
    for part, quantities in data.items():
        if part in _TOP:
            continue
        if not isinstance(quantities, dict):
            reader.wrong("", 0, part, "not a key of a sheet", _near(part, _TOP))
            continue
        if reader.parts and part != "engine" and part not in reader.parts:
            reader.wrong(part, 0, "", f"no part is called {part}", _near(part, reader.parts))
        for quantity, content in quantities.items():
            table = f"{part}.{quantity}"
            known = {**reader.tables.measured, **reader.tables.sheet_only}
            if quantity not in known:
                reader.wrong(table, 0, "", f"no quantity is called {quantity}", _near(quantity, known))
                continue
            for index, item in enumerate(content if isinstance(content, list) else [content]):
                if isinstance(item, dict):
                    yield _row(reader, table, index, item, known[quantity])
                else:
                    reader.wrong(part, 0, quantity, "not a table", f"Write [{table}] and its figures under it.")


def _row(reader: _Reader, table: str, index: int, item: dict[str, Any], kinds: tuple[str, ...]) -> SheetRow | None:
    before = len(reader.problems)
    for key in item:
        if key not in _ROW:
            reader.wrong(table, index, key, f"{key} is not known here", _near(key, _ROW))
    unit = item.get("unit")
    if not isinstance(unit, str) or unit not in units.known():
        reader.wrong(table, index, "unit", "no unit, or none that is known", f"One of {', '.join(units.known())}.")
        unit = None
    elif not any(units.same_kind(unit, kind) for kind in kinds):
        reader.wrong(table, index, "unit", f"{unit} is no unit of this quantity", f"Such as {' or '.join(kinds)}.")
    source = item.get("source")
    if not isinstance(source, str) or not source.strip():
        reader.wrong(table, index, "source", "no source", 'Say where it was read: source = "manual, page 12".')
    numbers = {key: _number(reader, table, index, item, key) for key in _NUMBERS}
    new = _pair(reader, table, index, item.get("new"), "new")
    steps = [_steps(reader, table, index, item, key) for key in ("oversizes", "undersizes")]
    place = _place(reader, table, index, item.get("place", {}))
    also_unit, also = _also(reader, table, index, item.get("also"), unit)
    if len(reader.problems) > before or unit is None:
        return None
    low, high = new or _tolerance(numbers)
    part, quantity = table.split(".", 1)
    return SheetRow(
        part=part, quantity=quantity, unit=unit, source=str(source), place=place, nominal=numbers["nominal"],
        new_low=low, new_high=high, minimum=numbers["min"], maximum=numbers["max"], steps=steps[0] or steps[1],
        at=str(item.get("at", "")), also_unit=also_unit, also=also, line=line_of(reader.lines, table, index),
    )  # fmt: skip


def _tolerance(numbers: Mapping[str, Decimal | None]) -> tuple[Decimal | None, Decimal | None]:
    nominal, tolerance = numbers["nominal"], numbers["tolerance"]
    if nominal is None or tolerance is None:
        return None, None
    return nominal - tolerance, nominal + tolerance


def _as_decimal(value: Any) -> Decimal | None:
    if isinstance(value, bool) or not isinstance(value, (int, Decimal)):
        return None
    number = Decimal(value)
    return number if number.is_finite() and abs(number) < Decimal("1e9") else None


def _number(reader: _Reader, table: str, index: int, item: Mapping[str, Any], key: str) -> Decimal | None:
    if key not in item:
        return None
    number = _as_decimal(item[key])
    if number is None:
        reader.wrong(table, index, key, "not a number", f"Write {key} = 0.002, without quotes or a unit.")
    return number


def _pair(reader: _Reader, table: str, index: int, value: Any, key: str) -> tuple[Decimal, Decimal] | None:
    if value is None:
        return None
    numbers = [_as_decimal(item) for item in value] if isinstance(value, list) else []
    if len(numbers) != 2 or numbers[0] is None or numbers[1] is None:
        reader.wrong(table, index, key, "not a range", f"Write {key} = [smallest, largest].")
        return None
    if numbers[0] > numbers[1]:
        reader.wrong(table, index, key, f"the range runs from {numbers[0]} down to {numbers[1]}", "Smallest first.")
        return None
    return numbers[0], numbers[1]


def _steps(reader: _Reader, table: str, index: int, item: Mapping[str, Any], key: str) -> tuple[Decimal, ...]:
    value = item.get(key)
    if value is None:
        return ()
    numbers = [_as_decimal(step) for step in value] if isinstance(value, list) else []
    steps = [number for number in numbers if number is not None and number > 0]
    if not steps or len(steps) != len(numbers) or steps != sorted(set(steps)):
        reader.wrong(table, index, key, "not a rising list of sizes", f"Write {key} = [0.010, 0.020, 0.030].")
        return ()
    return tuple(steps)


def _place(reader: _Reader, table: str, index: int, value: Any) -> Place:
    if not isinstance(value, dict):
        reader.wrong(table, index, "place", "not a place", 'Write place = { valve = "intake" }.')
        return Place()
    for key, item in value.items():
        if key not in _PLACES:
            reader.wrong(table, index, "place", f"{key} is no key of a place", _near(key, _PLACES))
        elif not _PLACES[key](item):
            reader.wrong(table, index, "place", f"{item!r} is no {key}")
    good = {key: item for key, item in value.items() if key in _PLACES and _PLACES[key](item)}
    return Place.from_dict(good)


def _also(
    reader: _Reader, table: str, index: int, value: Any, unit: str | None
) -> tuple[str | None, tuple[tuple[str, Decimal], ...]]:
    if value is None:
        return None, ()
    other = value.get("unit") if isinstance(value, dict) else None
    if not isinstance(other, str) or other not in units.known():
        reader.wrong(
            table, index, "also", "no unit, or none that is known", 'Write also = { unit = "mm", max = 0.15 }.'
        )
        return None, ()
    if unit and not units.same_kind(unit, other):
        reader.wrong(table, index, "also", f"{other} is of another kind than {unit}")
    for key in value:
        if key not in _ALSO:
            reader.wrong(table, index, "also", f"{key} is not known here", _near(key, _ALSO))
    found: list[tuple[str, Decimal]] = []
    pair = _pair(reader, table, index, value.get("new"), "also")
    if pair:
        found += [("new_low", pair[0]), ("new_high", pair[1])]
    for key, name in (("nominal", "nominal"), ("min", "minimum"), ("max", "maximum")):
        if key in value:
            number = _as_decimal(value[key])
            if number is None:
                reader.wrong(table, index, "also", f"{key} is not a number")
            else:
                found.append((name, number))
    return other, tuple(found)
