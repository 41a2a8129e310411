"""Letters four lines high, made of half blocks, to be read from two metres. Their shapes lie in letters.txt."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

ROWS, COLUMNS = 7, 5
HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


@cache
def shapes() -> dict[str, tuple[str, ...]]:
    """For each sign its seven rows of five cells."""
    lines = (files("benchvoice.tui") / "letters.txt").read_text(encoding="utf-8").splitlines()
    out: dict[str, tuple[str, ...]] = {}
    for start in range(0, len(lines), ROWS + 1):
        rows = [line.split() for line in lines[start + 1 : start + 1 + ROWS]]
        for at, sign in enumerate(lines[start]):
            out[sign] = tuple(row[at] for row in rows)
    return out


def big(text: str, width: int, lines: int) -> list[str]:
    """The text in big letters, broken between words, each line of letters four terminal lines and one gap.

    width: terminal columns. lines: lines of letters at most; what doesn't fit is cut off with "...". Signs without a
    shape are shown as a question mark.
    """
    room = max(1, (width + 1) // (COLUMNS + 1))
    rows = _wrapped(text.upper(), room)
    if len(rows) > lines:
        rows = rows[:lines]
        rows[-1] = rows[-1][: max(0, room - 3)] + "..."
    out: list[str] = []
    for row in rows:
        out += [*_drawn(row), ""]
    return out[:-1]


def _wrapped(text: str, room: int) -> list[str]:
    rows: list[str] = []
    for word in text.split():
        for piece in [word[i : i + room] for i in range(0, len(word), room)]:
            if rows and len(rows[-1]) + 1 + len(piece) <= room:
                rows[-1] += " " + piece
            else:
                rows.append(piece)
    return rows


def _drawn(row: str) -> list[str]:
    blank = ("." * COLUMNS,) * ROWS
    glyphs = [blank if sign == " " else shapes().get(sign, shapes()["?"]) for sign in row]
    cells = [[cell == "#" for glyph in glyphs for cell in (*glyph[y], ".")] for y in range(ROWS)]
    cells.append([False] * len(cells[0]))
    return [
        "".join(HALVES[(above, below)] for above, below in zip(cells[y], cells[y + 1], strict=True)).rstrip()
        for y in range(0, ROWS + 1, 2)
    ]
