"""benchvoice read"""

from __future__ import annotations

import sys
from typing import BinaryIO

import click

from benchvoice.cli import messages, options
from benchvoice.cli.readings import printer


@click.command()
@click.argument("text", type=click.File("rb"), metavar="TEXT|-")
@click.option("--explain", is_flag=True, help="Say which rule made which field from which words.")
@options.engine
@options.as_json
def read(text: BinaryIO, explain: bool, stock: str | None, as_json: bool) -> None:
    """Read typed talk, one utterance a line, as if it had been heard. '-' is standard input.

    Without --engine no record is touched. With it, the findings wait for the review like any others.

    \b
    Examples:
      benchvoice read notes.txt
      echo "number three rod bearing is wiped" | benchvoice read - --explain
      benchvoice read notes.txt --json
    """
    from benchvoice import lexicon as words
    from benchvoice.app.typed import utterances
    from benchvoice.interpret import Reader

    lexicon = words.load()
    show = printer(lexicon, as_json=as_json, explain=explain)
    if stock is None:
        for reading in Reader(lexicon).read_all(utterances(text)):
            show(reading)
        return
    from benchvoice.app.sitting import listen, open_sitting

    name = getattr(text, "name", "-")
    title = "typed" if text is sys.stdin.buffer else str(name)
    with options.journal() as journal:
        own = journal.canonical(stock)
        reader = Reader(lexicon, journal.record(own).engine)
        sitting = open_sitting(
            journal, own, reader, source="text", title=title, recogniser="text", grammar=lexicon.hash
        )
        for reading in listen(sitting, utterances(text)):
            show(reading)
    messages.say(f"Kept as {sitting.sitting}. `benchvoice review {own}` goes through it.")
