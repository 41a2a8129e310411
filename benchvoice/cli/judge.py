"""`benchvoice judge`: what the record of an engine means."""

from __future__ import annotations

from pathlib import Path

import click

from benchvoice.cli import messages, options, output


@click.command()
@options.stock
@click.option("--prices", type=options.FILE, help="Price file; otherwise prices.toml of the configuration folder.")
@click.option("--sheet", type=options.FILE, help="Spec sheet to hold the measurements against.")
@click.option("--filed", is_flag=True, help="Only what was filed (or accepted, if nothing was filed).")
@click.option("--all", "everything", is_flag=True, help="Every cause, look, lot and refused word, not the first ones.")
@click.option(
    "--overrule",
    nargs=2,
    metavar="SUBJECT VERDICT",
    help='Know better: "cause:dirt rejected", "next:oil_pump first", "lot:crank out"; "as_judged" takes it back.',
)
@click.option("--because", default="", metavar="TEXT", help="The reason for overruling, kept with it.")
@options.as_json
def judge(
    stock: str, prices: Path | None, sheet: Path | None, filed: bool, everything: bool,
    overrule: tuple[str, str] | None, because: str, as_json: bool,
) -> None:  # fmt: skip
    """Judge an engine: why it failed, what to look at next, what it is worth, what may be said of it.

    Everything is computed from the record and shows its reasons; nothing here is proof. What you overrule stays
    beside what was computed, and can be undone in the review.

    \b
    Examples:
      benchvoice judge T-0417 --prices my-prices.toml
      benchvoice judge T-0417 --overrule cause:dirt rejected --because "the filter box was shut"
      benchvoice judge T-0417 --json | jq '.causes[:3] | .[] | {name, share, wording}'
    """
    from benchvoice.app.judging import judge as judge_record
    from benchvoice.app.judging import rule
    from benchvoice.domain.judgement import plain
    from benchvoice.judge.pages import pages, text
    from benchvoice.lexicon.judge_wording import page_wording
    from benchvoice.lexicon.judging import judging_tables

    with options.journal() as journal:
        own = journal.canonical(stock)
        if overrule:
            rule(journal, own, overrule[0], overrule[1], because, prices=prices)
        record = journal.record(own)
    judgement = judge_record(record, prices=prices, sheet=sheet, filed=filed)
    if as_json:
        output.json_document(plain(judgement))
        return
    if judgement.worth is None:
        messages.say("No prices were given (--prices, or prices.toml in the configuration folder): no plan is made.")
    output.line(text(pages(judgement, judging_tables(), page_wording(), everything=everything)))
