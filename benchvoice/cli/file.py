"""benchvoice file"""

from __future__ import annotations

import click

from benchvoice.cli import messages, options, output


@click.command()
@options.stock
@click.option("--by", metavar="NAME", help="The shop's name; remembered for the next time.")
@click.option("--leave-unreviewed", is_flag=True, help="File although findings wait for a decision; they are left out.")
@options.as_json
def file(stock: str, by: str | None, leave_unreviewed: bool, as_json: bool) -> None:
    """File what was accepted: a sealed revision with the shop's name, the time and a hash.

    It refuses while findings wait for a decision or contradict each other, and says which. Later changes make a new
    revision; the old one stays readable.

    \b
    Examples:
      benchvoice file E-0417 --by "Our shop"
      benchvoice file E-0417 --leave-unreviewed --json
    """
    from dataclasses import asdict

    from benchvoice import lexicon
    from benchvoice.app import filing, settings

    name = by if by is not None else settings.load().shop
    with options.journal() as journal:
        revision = filing.file(journal, stock, lexicon.load().opposites, by=name, leave_unreviewed=leave_unreviewed)
        own = journal.canonical(stock)
    if by is not None and by != settings.load().shop:
        settings.save(shop=by)
    filed = revision.filed
    if as_json:
        output.json_document({"stock": own, "at": revision.at, **asdict(filed)})
        return
    output.line(f"{own}: revision {filed.revision} filed by {filed.by}, {len(filed.finding_ids)} findings.")
    output.line(f"sha256 {filed.sha256}")
    if filed.left_unreviewed:
        messages.say(f"Left out, not reviewed: {', '.join(filed.left_unreviewed)}.")
    messages.say(f"`benchvoice report {own} --to FOLDER` writes the narrative.")
