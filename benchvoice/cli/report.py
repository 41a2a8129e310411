"""benchvoice report"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from benchvoice.cli import messages, options, output

_FORMATS = ("md", "html", "pdf", "csv", "json", "txt", "vtt", "srt", "chapters", "labels")
_PLAIN = ("seller", "terms", "warranty_days", "model_year", "language", "paper", "label_sheet")


@click.command()
@options.stock
@click.option("--to", "folder", type=options.FOLDER, required=True, metavar="FOLDER", help="Where the files go.")
@click.option(
    "--format",
    "-f",
    "formats",
    multiple=True,
    type=click.Choice(_FORMATS),
    help="May be repeated. [md, html, csv, json]",
)
@click.option("--pack", is_flag=True, help="An evidence pack too: report, data, sound clips and hashes in one ZIP.")
@click.option("--revision", type=int, metavar="N", help="Report an older revision.")
@click.option("--length", type=click.Choice(["full", "page"]), default="full", show_default=True)
@click.option("--order", type=click.Choice(["teardown", "importance"]), default="teardown", show_default=True)
@click.option("--units", type=click.Choice(["spoken", "both"]), default="spoken", show_default=True)
@click.option("--language", default="en", show_default=True)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True)
@click.option("--label-sheet", default="a4", show_default=True, help="The sheet that part labels are printed on.")
@click.option("--seller", default="", help="Name of the seller; the shop's from the settings if none is given.")
@click.option("--warranty", type=click.Choice(["unstated", "as_is", "limited", "full"]), default="unstated")
@click.option("--warranty-days", type=int, metavar="N")
@click.option("--terms", default="", metavar="TEXT", help="Your own words on the sale.")
@click.option("--drained/--not-drained", default=None, help="Whether the engine's fluids were drained.")
@click.option(
    "--work", type=options.FILE, metavar="FILE", help="Checklist of work done: without it nothing is called rebuilt."
)
@click.option("--model-year", type=int, metavar="YEAR", help="Of the donor vehicle.")
@click.option("--sheet", type=options.FILE, help="Spec sheet to hold the measurements against.")
@click.option("--prices", type=options.FILE, help="Price file; otherwise prices.toml of the configuration folder.")
@click.option("--with-price", is_flag=True, help="Say what was paid. It stays out otherwise.")
@click.option("--with-origin", is_flag=True, help="Say where the engine came from.")
@click.option("--with-notes", is_flag=True, help="Include private notes.")
@click.option("--whole-vin", is_flag=True, help="Print the whole VIN instead of hiding its last six.")
@click.option("--all-talk", is_flag=True, help="Captions hold talk that is not about the engine, too.")
@click.option("--overwrite", is_flag=True, help="Write over files that are there.")
@options.as_json
def report(stock: str, folder: Path, formats: tuple[str, ...], as_json: bool, **given: Any) -> None:
    """Write the inspection narrative and the findings of an engine as files.

    What was filed is reported, as it stood when it was filed; while nothing is filed, what was accepted, as a draft.
    Private things (the price paid, where it came from, notes, the end of the VIN) stay out unless asked for.

    \b
    Examples:
      benchvoice report E-0417 --to reports
      benchvoice report E-0417 --to reports -f pdf -f labels --units both
      benchvoice report E-0417 --to reports --pack --warranty as_is
    """
    from benchvoice import lexicon
    from benchvoice.app import reporting

    wanted = reporting.Wanted(
        revision=given["revision"],
        formats=reporting.formats_of(formats) or reporting.Wanted().formats,
        options=_options(given),
        sheet=given["sheet"],
        prices=given["prices"],
        pack=given["pack"],
        overwrite=given["overwrite"],
    )
    with options.journal() as journal, messages.progress("Reporting") as progress:
        written = reporting.report(journal, stock, folder, lexicon.load(), wanted, progress)
    for note in written.notes:
        messages.say(note)
    if as_json:
        made = written.report
        output.json_document(
            {
                "stock": made.stock,
                "revision": made.revision,
                "sha256": made.sealed,
                "files": [str(path) for path in written.files],
            }
        )
        return
    for path in written.files:
        output.line(str(path))


def _options(given: dict[str, Any]) -> Any:
    from benchvoice.app import settings
    from benchvoice.report import Arrangement, Length, Options, Rebuilt, Units, Warranty, rebuilt

    plain = {name: given[name] for name in _PLAIN}
    plain["seller"] = plain["seller"] or settings.load().shop
    return Options(
        length=Length(given["length"]),
        arrangement=Arrangement(given["order"]),
        units=Units(given["units"]),
        warranty=Warranty(given["warranty"]),
        drained=given["drained"],
        rebuilt=rebuilt.load(given["work"]) if given["work"] else Rebuilt(),
        price_paid=given["with_price"],
        origin=given["with_origin"],
        notes=given["with_notes"],
        whole_vin=given["whole_vin"],
        all_talk=given["all_talk"],
        **plain,
    )
