"""Options and arguments that several commands share."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])

as_json = click.option("--json", "as_json", is_flag=True, help="Print JSON, for another program.")
"""`--json`, handed on as `as_json`."""

FILE = click.Path(path_type=Path, dir_okay=False)
FOLDER = click.Path(path_type=Path, file_okay=False)


def _stocks(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    from benchvoice import paths
    from benchvoice.errors import BenchvoiceError
    from benchvoice.journal import Journal

    if not paths.journal().exists():
        return []
    try:
        with Journal.open() as journal:
            return [item.stock for item in journal.engines() if item.stock.lower().startswith(incomplete.lower())]
    except BenchvoiceError:
        return []


stock = click.argument("stock", metavar="STOCK", shell_complete=_stocks)
"""The stock number of an engine."""

engine = click.option(
    "--engine", "stock", metavar="STOCK", shell_complete=_stocks, help="Keep what is heard with this engine."
)


@contextmanager
def journal() -> Iterator[Any]:
    """The person's journal, for as long as a command needs it."""
    from benchvoice.journal import Journal

    with Journal.open() as opened:
        yield opened
