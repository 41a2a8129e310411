"""benchvoice review"""

from __future__ import annotations

import click

from benchvoice.cli import options, output
from benchvoice.errors import BenchvoiceError


@click.command()
@options.stock
@click.option("--live", is_flag=True, help="Begin with the page that follows a sitting while one talks.")
@click.option("--plain", is_flag=True, help="Line by line, for a screen reader: a question, an answer, no drawing.")
@click.option("--no-mouse", is_flag=True, help="Leave the mouse to the terminal, for selecting text.")
def review(stock: str, live: bool, plain: bool, no_mouse: bool) -> None:
    """Open the review screen: the log with its findings; accept, correct, drop, undo, file.

    It may be opened while another terminal is hearing: rows appear as they are heard.

    \b
    Examples:
      benchvoice review E-0417
      benchvoice review E-0417 --plain
    """
    import sys

    with options.journal() as journal:
        own = journal.canonical(stock)
    if plain:
        _line_by_line(own)
        return
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BenchvoiceError(
            "The review screen needs a terminal.",
            hint=f"`benchvoice review {own} --plain` goes line by line; `show {own} --json` is for programs.",
        )
    from benchvoice.tui.start import run

    run(own, live=live, mouse=not no_mouse)


def _line_by_line(stock: str) -> None:
    import sys

    from benchvoice import lexicon
    from benchvoice.app.desk import Desk
    from benchvoice.app.plain import PlainReview
    from benchvoice.app.review import Review

    with options.journal() as journal:
        talk = PlainReview(Desk(Review(journal, stock, lexicon.load())))
        for line in talk.greeting():
            output.line(line)
        while not talk.over:
            typed = sys.stdin.readline()
            for line in talk.answer(typed if typed else "quit"):
                output.line(line)
