"""The one writer of standard output: data, as text for people or as JSON for programs."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from typing import Any

import click


def plain(text: str) -> str:
    """Text that a terminal shows and doesn't act on: control and direction characters become spaces."""
    return "".join(character if character.isprintable() or character in "\n\t" else " " for character in text)


def line(text: str = "") -> None:
    """One line of text, out at once."""
    click.echo(plain(text))
    sys.stdout.flush()


def json_line(value: Any) -> None:
    """One line of JSON Lines, out at once, so that a reader sees it while the rest is still to come."""
    click.echo(json.dumps(value, ensure_ascii=False))
    sys.stdout.flush()


def json_document(value: Any) -> None:
    """One JSON document, indented."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=2))


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Columns for reading; as wide as they need to be, nothing cut off."""
    cells = [list(head), *([plain("" if cell is None else str(cell)) for cell in row] for row in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(head))]
    for row in cells:
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
