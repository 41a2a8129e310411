"""Reads grammar files and keeps a list of everything that is wrong with them, each with file and line."""

from __future__ import annotations

import csv
import hashlib
import io
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from importlib.abc import Traversable
from pathlib import Path
from typing import Any

from benchvoice.errors import GrammarError

Source = Traversable | Path
"""A folder of grammar files."""


@dataclass(slots=True)
class Problems:
    """Collects problems; raises once, with all of them."""

    texts: dict[str, list[str]] = field(default_factory=dict)
    """Text of each file by name, to find lines in; a person's file after ours."""
    found: list[str] = field(default_factory=list)

    def add(self, file: str, message: str, *, table: str = "", key: str = "", value: str = "") -> None:
        self.found.append(f"{file}:{self.line(file, table, key, value)}: {message}")

    def line(self, file: str, table: str, key: str, value: str) -> int:
        """The line of a value, a key or a table header, the closest that can be found; 1 if none."""
        best = 1
        for lines in reversed(self.texts.get(file, [])):
            where = _find(lines.splitlines(), table, key, value)
            if where:
                return where
        return best

    def unknown(self, file: str, what: str, name: str, known: Iterable[str], **where: str) -> None:
        near = get_close_matches(name, list(known), n=1)
        hint = f", did you mean {near[0]!r}?" if near else ""
        self.add(file, f"unknown {what} {name!r}{hint}", **where)

    def raise_if_any(self) -> None:
        if self.found:
            count = "A problem" if len(self.found) == 1 else f"{len(self.found)} problems"
            raise GrammarError(
                f"{count} in the grammar files: " + "; ".join(self.found),
                hint="Mend these lines, or move your own file away to go on without it.",
                problems=self.found,
            )


def _find(lines: list[str], table: str, key: str, value: str) -> int:
    header = re.compile(rf"\s*\[+\s*\"?{re.escape(table)}\"?[\s\].]") if table else None
    start = next((i for i, line in enumerate(lines) if header and header.match(line)), None)
    if table and start is None:
        return 0
    begin = start or 0
    for i in range(begin, len(lines)):
        line = lines[i]
        if i > begin and table and re.match(r"\s*\[", line) and not line.lstrip().startswith(f"[{table}."):
            break
        if value and f'"{value}"' in line:
            return i + 1
        if key and not value and re.match(rf"\s*\"?{re.escape(key)}\"?\s*=", line):
            return i + 1
    return begin + 1 if table else 0


@dataclass(frozen=True, slots=True)
class Files:
    """All grammar files as read, a person's own merged over ours."""

    tables: Mapping[str, dict[str, Any]]
    rows: Mapping[str, list[dict[str, str]]]
    hash: str


def read(folders: Iterable[Source], names: Iterable[str], problems: Problems) -> Files:
    """Reads the files `names` ("parts.toml", "confusions.csv") from each folder that has them, later folders over
    earlier ones. The hash covers all grammar files of all folders, named or not.
    """
    tables: dict[str, dict[str, Any]] = {}
    rows: dict[str, list[dict[str, str]]] = {}
    folders = list(folders)
    for name in names:
        for folder in folders:
            text = _text(folder / name, name, problems)
            if text is None:
                continue
            problems.texts.setdefault(name, []).append(text)
            if name.endswith(".csv"):
                rows.setdefault(name, []).extend(_rows(name, text, problems))
            else:
                tables[name] = merge(tables.get(name, {}), _toml(name, text, problems))
        if name not in tables and name not in rows:
            problems.add(name, "this file is missing")
            tables[name] = {}
    return Files(tables=tables, rows=rows, hash=_hash(folders))


def _text(path: Source, name: str, problems: Problems) -> str | None:
    if not path.is_file():
        return None
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        problems.add(name, f"not UTF-8 text ({error.reason} at byte {error.start})")
    except OSError as error:
        problems.add(name, f"can't be read ({error.strerror})")
    return None


def _toml(name: str, text: str, problems: Problems) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        line = re.search(r"at line (\d+)", message)
        problems.found.append(f"{name}:{line.group(1) if line else len(text.splitlines())}: {message}")
        return {}


def _rows(name: str, text: str, problems: Problems) -> list[dict[str, str]]:
    out = []
    reader = csv.DictReader(io.StringIO(text))
    for row in reader:
        if None in row or any(value is None for value in row.values()):
            problems.found.append(f"{name}:{reader.line_num}: a row needs {len(reader.fieldnames or [])} columns")
            continue
        out.append(dict(row) | {"line": str(reader.line_num)})
    return out


def merge(base: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """`over` laid on `base`: tables are merged, lists are joined, anything else is replaced."""
    out = dict(base)
    for key, value in over.items():
        old = out.get(key)
        if isinstance(old, dict) and isinstance(value, dict):
            out[key] = merge(old, value)
        elif isinstance(old, list) and isinstance(value, list):
            out[key] = [*old, *(item for item in value if item not in old)]
        else:
            out[key] = value
    return out


def _hash(folders: Iterable[Source]) -> str:
    """SHA-256 over names and bytes of all grammar files, in order of their names."""
    digest = hashlib.sha256()
    for folder in folders:
        for name, path in sorted(_walk(folder, "")):
            digest.update(name.encode() + b"\0")
            try:
                digest.update(path.read_bytes() + b"\0")
            except OSError:
                continue
    return digest.hexdigest()


def _walk(folder: Source, prefix: str) -> Iterable[tuple[str, Source]]:
    if not folder.is_dir():
        return
    for path in folder.iterdir():
        if path.is_dir():
            yield from _walk(path, f"{prefix}{path.name}/")
        elif path.name.endswith((".toml", ".csv")):
            yield prefix + path.name, path
