"""`benchvoice unseen`: what of an engine was not looked at."""

from __future__ import annotations

from pathlib import Path

import click

from benchvoice.cli import options, output


@click.command()
@options.stock
@click.option("--sheet", type=options.FILE, help="Spec sheet to hold the measurements against.")
@click.option("--filed", is_flag=True, help="Only what was filed (or accepted, if nothing was filed).")
@click.option("--all", "everything", is_flag=True, help="Every part, not only the most important ones.")
@options.as_json
def unseen(stock: str, sheet: Path | None, filed: bool, everything: bool, as_json: bool) -> None:
    """List what was not looked at, by importance to a sale.

    A part counts as looked at only where it was spoken of by itself; "rods look good" opens none.

    \b
    Examples:
      benchvoice unseen T-0417
      benchvoice unseen T-0417 --json | jq '.[] | select(.importance >= 8)'
    """
    from benchvoice.app.judging import coverage
    from benchvoice.domain.judgement import plain
    from benchvoice.judge.pages import unseen_lines
    from benchvoice.lexicon.judge_wording import page_wording
    from benchvoice.lexicon.judging import judging_tables

    with options.journal() as journal:
        record = journal.record(journal.canonical(stock))
    found = coverage(record, sheet=sheet, filed=filed)
    if as_json:
        output.json_document([{"key": cell.key, **plain(cell)} for cell in found.unseen()])
        return
    for line in unseen_lines(found, judging_tables(), page_wording(), everything=everything):
        output.line(line)
