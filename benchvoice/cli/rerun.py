"""benchvoice rerun"""

from __future__ import annotations

import click

from benchvoice.cli import messages, options, output


@click.command()
@options.stock
@click.option("--sitting", metavar="SITTING", help="Only this sitting.")
@click.option("--apply", is_flag=True, help="Write the changes, as one step that the review can undo.")
@options.as_json
def rerun(stock: str, sitting: str | None, apply: bool, as_json: bool) -> None:
    """Read an engine's sittings again with today's grammars and show what changes.

    What was accepted, dropped or corrected stays as it is. Nothing is written without --apply.

    \b
    Examples:
      benchvoice rerun E-0417
      benchvoice rerun E-0417 --sitting E-0417-s2 --apply
    """
    from benchvoice import lexicon as words
    from benchvoice.app.rerun import rerun as read_again
    from benchvoice.domain.readings import reading_to_contract
    from benchvoice.lexicon.phrases import short_phrase

    lexicon = words.load()
    with options.journal() as journal, messages.progress("Reading again") as progress:
        found = read_again(journal, stock, lexicon, sitting=sitting, apply=apply, progress=progress)
    if as_json:
        for change in found.changes:
            before, after = reading_to_contract(change.before), reading_to_contract(change.after)
            output.json_line({"sitting": change.sitting, "n": change.n, "before": before, "after": after})
        return
    for change in found.changes:
        output.line(f"{change.sitting} {change.n}: {change.after.utterance.text}")
        for sign, reading in (("-", change.before), ("+", change.after)):
            for finding in reading.findings:
                output.line(f"  {sign} {short_phrase(finding, lexicon)}")
    done = "written, and undone with one step of the review" if found.applied else "nothing written"
    messages.say(f"{len(found.changes)} of {found.read} utterances read differently; {done}.")
