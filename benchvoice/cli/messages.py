"""The one writer of standard error: messages, progress and errors, for people. Data goes through `output`."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime

import click

from benchvoice import paths
from benchvoice.cli.output import plain
from benchvoice.errors import BenchvoiceError

Progress = Callable[[str, float], None]
"""Told what is going on and how much of it is done, 0..1."""


def say(text: str) -> None:
    """A line for the person."""
    sys.stdout.flush()
    click.echo(plain(text), err=True)


def usage(error: click.ClickException) -> None:
    """A wrong command line, or an empty one, in click's own form: what was wrong and where help is."""
    sys.stdout.flush()
    error.show(file=sys.stderr)


def failed(error: BenchvoiceError) -> None:
    """What failed and what to do, on one line."""
    line = " ".join(f"{error.what} {error.hint}".split())
    sys.stdout.flush()
    click.echo(f"benchvoice: {plain(line)}", err=True)


def unexpected(error: Exception) -> BenchvoiceError:
    """A fault of ours: the details go into a file, and the person is told where."""
    if os.environ.get("BENCHVOICE_DEBUG"):
        traceback.print_exception(error)
    try:
        log = paths.data() / "faults.log"
        with log.open("a", encoding="utf-8", errors="backslashreplace") as file:
            file.write(f"{datetime.now().isoformat()}\n")
            traceback.print_exception(error, file=file)
        where = f"The details are in {log}."
    except OSError:
        where = "The details could not be written; set BENCHVOICE_DEBUG=1 to see them."
    return BenchvoiceError(
        f"A fault in benchvoice ({type(error).__name__}: {error}).", hint=f"{where} What was committed is kept."
    )


@contextmanager
def progress(title: str) -> Iterator[Progress]:
    """A bar while something takes long; nothing when nobody watches."""
    if not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        yield lambda text, done: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, TaskProgressColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as Bar

    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeElapsedColumn())
    with Bar(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(title, total=1.0)

        def tell(text: str, done: float) -> None:
            bar.update(task, completed=min(max(done, 0.0), 1.0), description=plain(text) or title)

        yield tell
