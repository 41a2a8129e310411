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
def progress(title: str, *, between_lines: bool = False) -> Iterator[Progress]:
    """A bar while something takes long; nothing when nobody watches.

    between_lines: the command prints as it goes. Where that is seen on the same terminal, a bar would be in its way,
    and what is going on is said in lines instead.
    """
    if not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        yield lambda text, done: None
        return
    if between_lines and sys.stdout.isatty():
        yield _in_lines()
        return
    from rich.console import Console
    from rich.progress import BarColumn, TaskProgressColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as Bar

    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeElapsedColumn())
    # Left to itself, the bar would take standard output over and send our data to standard error.
    console = Console(stderr=True)
    with Bar(*columns, console=console, transient=True, redirect_stdout=False, redirect_stderr=False) as bar:
        task = bar.add_task(title, total=1.0)

        def tell(text: str, done: float) -> None:
            bar.update(task, completed=min(max(done, 0.0), 1.0), description=plain(text) or title)

        yield tell


def _in_lines() -> Progress:
    said = {""}

    def tell(text: str, done: float) -> None:
        if text not in said:
            said.add(text)
            say(text)

    return tell
