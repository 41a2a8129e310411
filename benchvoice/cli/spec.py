"""`benchvoice spec`: spec sheets."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from benchvoice.cli import options, output

if TYPE_CHECKING:
    from benchvoice.app.spec import Checked


@click.group()
def spec() -> None:
    """Spec sheets: what the maker of an engine family allows."""


@spec.command(name="check")
@click.argument("file", metavar="FILE", type=options.FILE)
@options.as_json
@click.pass_context
def check_command(context: click.Context, file: Path, as_json: bool) -> None:
    """Check a spec sheet, and say in words what it says.

    Names every problem with its line: what can't be used, and what looks like a misprint (inch and metric figures that
    disagree, a limit tighter than new parts are). Leaves with status 1 if the sheet can't be used.

    \b
    Examples:
      benchvoice spec check plover.toml
    """
    from benchvoice.app.spec import check

    checked = check(file)
    if as_json:
        output.json_document(_document(checked))
    else:
        output.line(_text(file, checked))
    if not checked.usable:
        context.exit(1)


@spec.command(name="blank")
def blank_command() -> None:
    """Print an empty spec sheet to fill in.

    \b
    Examples:
      benchvoice spec blank > my-engine.toml
    """
    from benchvoice.measure.sheets import blank

    output.line(blank().rstrip("\n"))


def _document(checked: Checked) -> dict[str, Any]:
    problems = [
        {"line": item.line, "where": item.where, "what": item.what, "hint": item.hint, "serious": item.serious}
        for item in checked.problems
    ]
    sheet = checked.sheet
    named = {"title": sheet.title, "source": sheet.source, "invented": sheet.invented} if sheet else None
    return {
        "usable": checked.usable, "sheet": named, "rows": len(sheet.rows) if sheet else 0, "problems": problems,
        "rules_of_thumb": checked.stand_ins,
    }  # fmt: skip


def _text(file: Path, checked: Checked) -> str:
    from benchvoice.app.spec import explained

    lines = []
    for item in checked.problems:
        kind = "problem" if item.serious else "doubt"
        where = f"{item.where}: " if item.where else ""
        lines.append(f"{file}:{item.line}: {kind}: {where}{item.what}. {item.hint}".rstrip())
    sheet = checked.sheet
    if sheet is not None:
        invented = " Invented: never use it for a real engine." if sheet.invented else ""
        lines += ["", f"{sheet.title} ({sheet.source}).{invented}"]
        for row in sheet.rows:
            place = " ".join(str(value) for value in row.place.as_dict().values())
            name = f"{row.part} {row.quantity}".replace("_", " ") + (f", {place}" if place else "")
            lines.append(f"  {name}: {explained(row)}  [{row.source}]")
    if checked.stand_ins:
        lines += ["", "No limit in the sheet; a rule of thumb will hint, and never decide:"]
        lines += [f"  {name.replace('.', ' ').replace('_', ' ')}: {text}" for name, text in checked.stand_ins.items()]
    serious = sum(item.serious for item in checked.problems)
    lines += ["", f"{serious} problems, {len(checked.problems) - serious} doubts."]
    return "\n".join(lines).lstrip("\n")
