"""Labels on sheets of paper, each with its code; and what a code holds, read back."""

from __future__ import annotations

from typing import Any
from urllib.parse import unquote

import segno

from benchvoice.errors import BenchvoiceError
from benchvoice.report.language import data
from benchvoice.report.model import Label, Report
from benchvoice.report.paper import Paper

PAD = 2.4
"""Millimetres kept free inside a label: printers are off by about that much."""


def render(report: Report) -> bytes:
    """A PDF file of label sheets, one label for each part that is worth shelving; empty sheets are not made."""
    sheet = _sheet(report.label_sheet)
    paper = "letter" if report.label_sheet == "letter" else "a4"
    page = Paper(paper=paper, title=report.title, language=report.language, made_at=report.made_at)
    page.set_margins(0, 0, 0)
    page.set_auto_page_break(False)
    page.c_margin = 0
    each = sheet["columns"] * sheet["rows"]
    for place, label in enumerate(report.labels):
        if place % each == 0:
            page.add_page()
        row, column = divmod(place % each, sheet["columns"])
        left = sheet["left"] + column * (sheet["label_width"] + sheet["gap"])
        top = sheet["top"] + row * sheet["label_height"]
        _label(page, label, report, left, top, sheet)
    if not report.labels:
        page.add_page()
    return bytes(page.output())


def _sheet(name: str) -> dict[str, Any]:
    sheet = data("sheets").get(name)
    if not isinstance(sheet, dict):
        known = ", ".join(key for key, value in data("sheets").items() if isinstance(value, dict))
        raise BenchvoiceError(f"There is no label sheet {name!r}.", hint=f"There are: {known}.")
    return sheet


def _label(page: Paper, label: Label, report: Report, left: float, top: float, sheet: dict[str, Any]) -> None:
    width, height = sheet["label_width"] - 2 * PAD, sheet["label_height"] - 2 * PAD
    code = min(height, 22.0)
    _code(page, label.code, left + PAD + width - code, top + PAD, code)
    room = width - code - 2.5
    x, y = left + PAD, top + PAD
    y = _text(page, label.part, x, y, room, ("head", "B", 8.6), 3.7, most=2)
    y = _text(page, label.position, x, y, room, ("head", "", 7), 3.1, most=1)
    lower = top + PAD + height - 5.6
    sizes = page_lines(page, label.size, room) if label.size else 0
    lines = max(1, int((lower - y) / 2.9) - sizes)
    y = _text(page, label.condition, x, y + 0.4, room, ("head", "", 6.6), 2.9, most=lines)
    if label.size and y + 2.9 <= lower + 0.6:
        _text(page, label.size, x, y, room, ("head", "B", 6.6), 2.9, most=max(1, sizes))
    words = report.words
    _text(page, f"{words['used']} · {label.stock}", x, lower, room, ("head", "B", 7.4), 3.1, most=1)
    state = words["revision"].format(revision=label.revision) if report.revision is not None else label.revision
    _text(page, state, x, lower + 3.0, room, ("head", "", 5.8), 2.6, most=1)


def page_lines(page: Paper, text: str, width: float) -> int:
    """How many lines a size may take: two, if it needs them."""
    page.set_font("head", "B", 6.6)
    return min(2, len(page.wrapped(text, width)))


def _text(
    page: Paper, text: str, x: float, y: float, width: float, font: tuple[str, str, float], step: float, *, most: int
) -> float:
    if not text:
        return y
    page.set_font(font[0], font[1], font[2])
    lines = page.wrapped(text, width, most=most)
    page.lines(lines, x, y, width, step)
    return y + step * len(lines)


def _code(page: Paper, content: str, left: float, top: float, size: float) -> None:
    """The code as filled squares, sharp at any printer's resolution; medium error correction (15 %)."""
    matrix = segno.make(content, error="m", micro=False).matrix
    module = size / (len(matrix) + 4)
    page.set_fill_color(0, 0, 0)
    for row, bits in enumerate(matrix):
        start = None
        for column, bit in enumerate([*bits, 0]):
            if bit and start is None:
                start = column
            elif not bit and start is not None:
                x, y = left + (start + 2) * module, top + (row + 2) * module
                page.rect(x, y, (column - start) * module, module * 1.01, style="F")
                start = None


def read_code(content: str) -> dict[str, str]:
    """Stock, part, place, revision and the filed hash's first digits from a label's code.

    Raises BenchvoiceError if it is none of ours.
    """
    fields = content.split(":")
    if len(fields) != 7 or fields[:2] != ["benchvoice", "1"]:
        raise BenchvoiceError("This is no code of a label of ours.")
    names = ("stock", "part", "place", "revision", "sha256")
    return dict(zip(names, (unquote(field) for field in fields[2:]), strict=True))
