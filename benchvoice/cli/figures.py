"""`benchvoice figures`: what the measurements of an engine amount to."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from benchvoice.cli import messages, options, output

if TYPE_CHECKING:
    from benchvoice.app.figures import Worked


def _named(_: click.Context, __: click.Parameter, texts: tuple[str, ...]) -> dict[str, str]:
    out = {}
    for text in texts:
        name, sign, value = text.partition("=")
        if not sign:
            raise click.BadParameter(f'{text!r} is not of the form "bore gauge=0.0001 in"')
        out[name.strip()] = value.strip()
    return out


@click.command()
@options.stock
@click.option("--sheet", type=options.FILE, help="Spec sheet to hold the figures against.")
@click.option("--filed", is_flag=True, help="Only what was filed (or accepted, if nothing was filed).")
@click.option("--altitude", metavar="HEIGHT", help='Where the compression test was made: "1500 m", "5000 ft".')
@click.option("--temperature", metavar="DEGREES", help='Of the bench and the parts: "8 deg_C".')
@click.option("--gauge", "gauges", multiple=True, callback=_named, metavar="NAME=U",
              help='Expanded uncertainty of a gauge: "bore gauge=0.0001 in". May be repeated.')  # fmt: skip
@click.option("--zero-not-checked", is_flag=True, help="The gauges' zero was not checked: assume twice their error.")
@click.option("--orifice", metavar="SIZE", help='Hole of the leakage tester: "1 mm".')
@click.option("--supply", metavar="PRESSURE", help='Supply of the leakage tester: "80 psi".')
@click.option("--plots", type=options.FOLDER, help="Write pictures (SVG) to this folder.")
@options.as_json
def figures(
    stock: str, sheet: Path | None, filed: bool, altitude: str | None, temperature: str | None,
    gauges: dict[str, str], zero_not_checked: bool, orifice: str | None, supply: str | None, plots: Path | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Compute what the measurements of an engine amount to: wear, clearances, sealing, the odd one out.

    Each figure is held against the engine's spec sheet with its uncertainty: within, beyond, or can't tell with this
    gauge. Where no sheet says, a rule of thumb may hint and is named as one.

    \b
    Examples:
      benchvoice figures T-0417 --sheet plover.toml
      benchvoice figures T-0417 --gauge "bore gauge=0.0001 in" --altitude "5000 ft"
    """
    from benchvoice.app.figures import bench_for, work

    bench = bench_for(
        altitude=altitude, temperature=temperature, orifice=orifice, supply=supply, gauges=gauges,
        zero_checked=False if zero_not_checked else None,
    )  # fmt: skip
    with options.journal() as journal:
        own = journal.canonical(stock)
        worked = work(journal.record(own), sheet=sheet, bench=bench, filed=filed)
    if worked.missing:
        messages.say(f"{worked.missing} Going on without a sheet.")
    if plots:
        _write_plots(worked, plots)
    if as_json:
        output.json_document(_document(own, worked))
    else:
        output.line(_text(own, worked))


def _document(stock: str, worked: Worked) -> dict[str, Any]:
    from benchvoice.domain.figures import figure_to_json

    sheet = worked.sheet
    named = {"title": sheet.title, "source": sheet.source, "invented": sheet.invented} if sheet else None
    return {"stock": stock, "sheet": named, "figures": [figure_to_json(figure) for figure in worked.figures]}


def _text(stock: str, worked: Worked) -> str:
    from benchvoice.measure import textplot, wording

    if not worked.figures:
        return f"{stock}: no measurement on record that a figure could be made of."
    title = f"Sheet: {worked.sheet.title} ({worked.sheet.source})" if worked.sheet else "Sheet: none"
    width = min(140, shutil.get_terminal_size((110, 24)).columns)
    encoding = (getattr(sys.stdout, "encoding", None) or "ascii").lower()
    ink = None if encoding.startswith("utf") else textplot.PLAIN
    lines = textplot.lines(worked.figures, wording.load(), width=width, ink=ink)
    return "\n".join([f"{stock}. {title}", "", *lines])


def _write_plots(worked: Worked, folder: Path) -> None:
    from benchvoice.errors import BenchvoiceError
    from benchvoice.measure import plots, wording

    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, svg in plots.draw(worked.figures, wording.load()).items():
            path = folder / f"{name}.svg"
            path.write_text(svg, encoding="utf-8")
            messages.say(f"wrote {path}")
    except OSError as error:
        raise BenchvoiceError(f"{folder} can't be written: {error.strerror}.", hint="Choose another folder.") from error
