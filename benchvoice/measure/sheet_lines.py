"""Where in a TOML text a table and its keys stand, since the parser doesn't say."""

from __future__ import annotations

import re

_HEADER = re.compile(r"^\s*(\[\[?)\s*([A-Za-z0-9_.\"'\- ]+?)\s*\]\]?\s*(#.*)?$")
_KEY = re.compile(r"^\s*([A-Za-z0-9_\-]+|\"[^\"]*\")\s*=")

Lines = dict[tuple[str, int, str], int]


def locate(text: str) -> Lines:
    """(table, which of its repetitions, key) -> line number from 1; the key "" is the table's header.

    >>> found = locate("title = 'x'\\n\\n[block.diameter]\\nunit = 'in'\\n[[a.b]]\\n[[a.b]]\\nmax = 1\\n")
    >>> found["", 0, "title"], found["block.diameter", 0, "unit"], found["a.b", 1, "max"]
    (1, 4, 7)
    """
    out: Lines = {}
    table, index = "", 0
    seen: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        header = _HEADER.match(line)
        if header:
            table = ".".join(part.strip().strip("\"'") for part in header[2].split("."))
            index = seen.get(table, -1) + 1 if header[1] == "[[" else 0
            seen[table] = index
            out.setdefault((table, index, ""), number)
            continue
        key = _KEY.match(line)
        if key:
            out.setdefault((table, index, key[1].strip('"')), number)
    return out


def line_of(lines: Lines, table: str, index: int = 0, key: str = "") -> int:
    """The line of a key, else of its table, else of the first table inside it, else 1."""
    inside = (line for (name, _, _), line in lines.items() if table and name.startswith(f"{table}."))
    exact = lines.get((table, index, key)) or lines.get((table, index, "")) or lines.get((table, 0, ""))
    return exact or min(inside, default=1)
