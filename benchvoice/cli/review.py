"""benchvoice review"""

from __future__ import annotations

import click

from benchvoice.cli import options
from benchvoice.errors import BenchvoiceError


@click.command()
@options.stock
def review(stock: str) -> None:
    """Open the review screen: the log with its findings; accept, correct, drop, undo, file.

    It may be opened while another terminal is hearing: rows appear as they are heard.

    \b
    Example:
      benchvoice review E-0417
    """
    import sys

    with options.journal() as journal:
        own = journal.canonical(stock)
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BenchvoiceError(
            "The review screen needs a terminal.", hint=f"`benchvoice show {own} --json` gives the record to a program."
        )
    from benchvoice.tui.app import run

    run(own)
