"""Reads tables of TOML with a place for every problem: file and line, all of them at once."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from importlib.abc import Traversable
from pathlib import Path
from typing import Any

from benchvoice.errors import GrammarError

_HEADER = re.compile(r"^\s*\[\[?\s*([A-Za-z0-9_.]+)\s*\]\]?\s*(?:#.*)?$")


@dataclass(slots=True)
class Problems:
    """What is wrong in a set of files, in the order in which it was found."""

    found: list[str] = field(default_factory=list)

    def add(self, file: str, line: int, text: str) -> None:
        self.found.append(f"{file}:{line}: {text}")

    def raise_if_any(self, what: str) -> None:
        """Raises GrammarError that lists every problem."""
        if self.found:
            count = len(self.found)
            listed = "; ".join(self.found[:20]) + (f"; and {count - 20} more" if count > 20 else "")
            raise GrammarError(
                f"{what}: {count} problem{'s' if count > 1 else ''}: {listed}.", hint="Correct the file."
            )


def closest(word: str, known: Iterable[str]) -> str:
    """ " Did you mean ...?" or nothing."""
    near = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f" Did you mean {near[0]!r}?" if near else ""


class Row:
    """One table of a file. Each reader notes a problem and gives a harmless value when the key is wrong."""

    def __init__(self, data: dict[str, Any], file: str, line: int, lines: list[str], problems: Problems) -> None:
        self.data, self.file, self.line, self._lines, self._problems = data, file, line, lines, problems
        self._used: set[str] = set()

    def _line_of(self, key: str) -> int:
        for number in range(self.line, len(self._lines)):
            text = self._lines[number]
            if _HEADER.match(text) and number >= self.line:
                break
            if re.match(rf"^\s*{re.escape(key)}\s*=", text):
                return number + 1
        return self.line

    def problem(self, text: str, key: str = "") -> None:
        self._problems.add(self.file, self._line_of(key) if key else self.line, text)

    def _get(self, key: str, kinds: tuple[type, ...], what: str, default: Any, required: bool) -> Any:
        self._used.add(key)
        value = self.data.get(key)
        if value is None:
            if required:
                self.problem(f"{key} is missing")
            return default
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
            self.problem(f"{key} must be {what}", key)
            return default
        return value

    def text(self, key: str, default: str = "", *, required: bool = True) -> str:
        return str(self._get(key, (str,), "text", default, required))

    def number(
        self, key: str, default: float = 0.0, *, low: float = 0.0, high: float = 1e9, required: bool = True
    ) -> float:
        value = float(self._get(key, (int, float), "a number", default, required))
        if not low <= value <= high:
            self.problem(f"{key} must lie between {low:g} and {high:g}, not {value:g}", key)
            return default
        return value

    def flag(self, key: str) -> bool:
        return bool(self._get(key, (bool,), "true or false", False, False))

    def names(self, key: str, known: Collection[str] | None = None, *, required: bool = True) -> tuple[str, ...]:
        """A list of names, each checked against `known` when that is given."""
        value = self._get(key, (list,), "a list of names", [], required)
        out = []
        for item in value:
            if not isinstance(item, str):
                self.problem(f"{key} holds {item!r}, which is no name", key)
            elif known is not None and item not in known:
                self.problem(f"{key} names {item!r}, which nothing defines.{closest(item, known)}", key)
            else:
                out.append(item)
        return tuple(out)

    def choice(self, key: str, known: Collection[str], default: str = "", *, required: bool = True) -> str:
        value = self.text(key, default, required=required)
        if value and value not in known:
            self.problem(f"{key} is {value!r}; it may be {', '.join(known)}.{closest(value, known)}", key)
            return default
        return value

    def rows(self, key: str, *, required: bool = False) -> tuple[Row, ...]:
        """An inline list of tables; problems of one show the line of the list."""
        value = self._get(key, (list,), "a list of tables", [], required)
        out = []
        for item in value:
            if isinstance(item, dict):
                out.append(Row(item, self.file, self._line_of(key), [], self._problems))
            else:
                self.problem(f"{key} holds {item!r}, which is no table", key)
        return tuple(out)

    def table(self, key: str) -> Row | None:
        value = self._get(key, (dict,), "a table", None, False)
        return None if value is None else Row(value, self.file, self._line_of(key), [], self._problems)

    def done(self) -> None:
        """Notes every key that nobody asked for."""
        for key in self.data:
            if key not in self._used:
                self.problem(f"{key} is not known here.{closest(key, self._used)}", key)


class Table:
    """One file, possibly with a person's own file of the same name laid over it."""

    def __init__(self, name: str, text: str, problems: Problems) -> None:
        self.name, self.problems = name, problems
        self.lines = text.splitlines()
        self.data: dict[str, Any] = {}
        try:
            self.data = tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            found = re.search(r"line (\d+)", str(error))
            problems.add(name, int(found.group(1)) if found else 1, f"no TOML: {error}")
        self._headers: dict[str, list[int]] = {}
        for number, line in enumerate(self.lines, start=1):
            header = _HEADER.match(line)
            if header:
                self._headers.setdefault(header.group(1), []).append(number)

    def _row(self, key: str, index: int, data: dict[str, Any]) -> Row:
        starts = self._headers.get(key, [])
        line = starts[index] if index < len(starts) else 1
        return Row(data, self.name, line, self.lines, self.problems)

    def rows(self, key: str) -> tuple[Row, ...]:
        """The array of tables `[[key]]`."""
        value = self.data.get(key, [])
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.problems.add(self.name, 1, f"{key} must be a list of tables, [[{key}]]")
            return ()
        return tuple(self._row(key, index, item) for index, item in enumerate(value))

    def row(self, key: str) -> Row:
        """The table `[key]`, empty when it is missing."""
        value = self.data.get(key, {})
        if not isinstance(value, dict):
            self.problems.add(self.name, 1, f"{key} must be a table, [{key}]")
            value = {}
        return self._row(key, 0, value)

    def row_at(self, key: str, data: object) -> Row:
        """The table `[key]` with a dotted name; empty and noted as a problem when it is no table."""
        if not isinstance(data, dict):
            self.problems.add(self.name, 1, f"{key} must be a table, [{key}]")
            data = {}
        return self._row(key, 0, data)

    def check_keys(self, known: Collection[str]) -> None:
        for key in self.data:
            if key not in known:
                line = self._headers.get(key, [1])[0]
                self.problems.add(self.name, line, f"[{key}] is not known here.{closest(key, known)}")


def read_text(path: Traversable | Path) -> str:
    """The file's text. Raises GrammarError when it can't be read as UTF-8."""
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise GrammarError(f"{path} can't be read: {error}.", hint="Check the file.") from error


def merged(tables: Iterable[Table], key: str, by: str) -> tuple[Row, ...]:
    """Rows of `[[key]]` from several files: a later one with the same `by` takes the earlier one's place. The same
    `by` twice in one file is a problem.
    """
    out: dict[str, Row] = {}
    for table in tables:
        here: set[str] = set()
        for row in table.rows(key):
            name = row.text(by)
            if name in here:
                row.problem(f"{by} {name!r} stands here twice", by)
            here.add(name)
            out[name] = row
    return tuple(out.values())
