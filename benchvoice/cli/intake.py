"""benchvoice intake"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from benchvoice.cli import messages, options, output

_ASKED = (
    ("stock", "Stock number"),
    ("maker", "Maker"),
    ("family", "Family or model"),
    ("displacement", "Displacement, with its unit"),
    ("layout", "Layout (inline, vee, flat)"),
    ("cylinders", "Cylinders"),
    ("valve_gear", "Valve gear (pushrod, sohc, dohc)"),
    ("fuel", "Fuel (petrol, diesel)"),
    ("vin", "Donor's VIN (empty if unknown)"),
    ("source", "Where it came from"),
    ("cost", "What it cost (empty if nobody knows)"),
    ("currency", "Currency"),
    ("claimed", "What was claimed about it"),
    ("verified", "What of that was verified, and how"),
)
_REQUIRED = ("stock", "layout", "cylinders")
_USUAL = {"layout": "inline", "cylinders": "4", "valve_gear": "pushrod", "fuel": "petrol"}
_BANKS = ("left", "right")


@click.command()
@click.argument("stock", metavar="[STOCK]", required=False)
@click.option("--from", "source_file", type=options.FILE, metavar="FILE.toml", help="Take it all from a file.")
@click.option("--maker", help="Who made it.")
@click.option("--family", help="Family or model.")
@click.option("--displacement", help='With its unit: "2.4 L", "207 cu in".')
@click.option("--layout", type=click.Choice(["inline", "vee", "flat"]))
@click.option("--cylinders", type=int, metavar="N")
@click.option("--mains", type=int, metavar="N", help="Main bearings, if not what the layout suggests.")
@click.option("--numbered-from", type=click.Choice(["front", "flywheel"]), help="The end where cylinder one is.")
@click.option("--bank-order", type=click.Choice(["alternate", "by_bank"]), help="How numbers run over two banks.")
@click.option("--first-bank", type=click.Choice(_BANKS), help="Cylinder one's bank, seen from the flywheel end.")
@click.option("--numbering-confirmed", is_flag=True, default=None, help="The numbering was checked on the engine.")
@click.option("--valve-gear", type=click.Choice(["pushrod", "sohc", "dohc"]))
@click.option("--valves-per-cylinder", type=int, metavar="N")
@click.option("--fuel", type=click.Choice(["petrol", "diesel"]))
@click.option("--anticlockwise", is_flag=True, default=None, help="The crank turns anticlockwise, seen from the front.")
@click.option("--pump-end", type=click.Choice(["front", "rear"]), help="Where oil enters the main gallery.")
@click.option("--vin", help="The donor's number; its check digit is verified.")
@click.option("--vin-note", metavar="TEXT", help="Why a number that doesn't check is kept.")
@click.option("--source", help="Where the engine came from.")
@click.option("--cost", metavar="AMOUNT", help="What was paid. It stays out of reports unless asked for.")
@click.option("--currency", metavar="CODE")
@click.option("--claimed", multiple=True, metavar="TEXT", help="What the seller said about it. May be repeated.")
@click.option("--verified", multiple=True, metavar="TEXT", help="What of that was verified, and how. May be repeated.")
@click.option("--spec-sheet", metavar="FILE", help="Spec sheet that its measurements are held against.")
@click.option("--amend", is_flag=True, help="Change what is known of an engine that was taken in before.")
@options.as_json
def intake(source_file: Path | None, amend: bool, as_json: bool, **given: Any) -> None:
    """Take an engine in: what it is, where it came from, what was claimed about it, and what of that was verified.

    On a terminal, what isn't given is asked for. With --amend, what isn't given stays as it was.

    \b
    Examples:
      benchvoice intake
      benchvoice intake E-0417 --maker Vennbrook --layout vee --cylinders 6 --cost 420 --currency USD
      benchvoice intake E-0417 --claimed "ran when pulled" --amend
      benchvoice intake --from e-0417.toml
    """
    from benchvoice.app import intake as use

    flags = _shaped(given)
    with options.journal() as journal:
        if source_file is not None:
            data = use.as_plain(use.engine_from_file(source_file)) | flags
        elif amend:
            data = _as_it_was(journal, flags)
        elif sys.stdin.isatty() and not {"layout", "cylinders"} <= flags.keys():
            data = _ask(flags)
        else:
            data = flags
        if not data.get("stock"):
            raise click.UsageError("Name the engine's stock number, such as E-0417.")
        data["numbering"] = (data.get("numbering") or {}) | _numbering(given)
        ready = use.checked(use.engine_from(data))
        engine = use.take_in(journal, ready, amend=amend)
    for note in ready.notes:
        messages.say(note)
    if as_json:
        output.json_document(use.as_plain(engine))
        return
    from benchvoice.domain.drawing import draw

    output.line(f"{engine.stock} is taken in.")
    output.line(draw(engine))


def _shaped(given: dict[str, Any]) -> dict[str, Any]:
    """The flags that were given, under the names of an engine's fields."""
    apart = {"numbered_from", "bank_order", "first_bank", "numbering_confirmed", "anticlockwise"}
    out = {name: value for name, value in given.items() if name not in apart and value not in (None, ())}
    if given["anticlockwise"]:
        out["clockwise"] = False
    return out


def _numbering(given: dict[str, Any]) -> dict[str, Any]:
    names = {"numbered_from": "numbered_from", "bank_order": "bank_order", "first_bank": "first_bank"}
    out = {field: given[flag] for flag, field in names.items() if given[flag] is not None}
    return out | ({"confirmed": True} if given["numbering_confirmed"] else {})


def _as_it_was(journal: Any, flags: dict[str, Any]) -> dict[str, Any]:
    from benchvoice.app.intake import as_plain

    if "stock" not in flags:
        raise click.UsageError("Name the engine to amend.")
    own = journal.canonical(flags["stock"])
    engine = journal.record(own).engine
    assert engine is not None
    return as_plain(engine) | flags | {"stock": own}


def _ask(flags: dict[str, Any]) -> dict[str, Any]:
    """Ask for what wasn't given; the numbering is drawn and confirmed."""
    from benchvoice.app import intake as use
    from benchvoice.domain import vin

    data = dict(flags)
    for name, question in _ASKED:
        if name in data:
            continue
        if name == "verified" and not data.get("claimed"):
            continue
        if name == "currency" and "cost" not in data:
            continue
        answer = click.prompt(question, default=_USUAL.get(name, ""), err=True, show_default=name in _USUAL)
        while name in _REQUIRED and not answer.strip():
            answer = click.prompt(question, err=True)
        if name == "vin" and answer.strip() and not (found := vin.check(answer)).passes and "vin_note" not in data:
            messages.say(f"The VIN {found.vin} does not check: {found.problem}. {found.advice}")
            answer = click.prompt("The VIN again, as it is on the plate", default=found.vin, err=True)
            if not vin.check(answer).passes:
                data["vin_note"] = click.prompt("Why is it kept", err=True)
        if answer.strip():
            data[name] = (answer.strip(),) if name in ("claimed", "verified") else answer.strip()
    if "numbering" not in data:
        data["numbering"] = _confirm_numbering(use.engine_from(data))
    return data


def _confirm_numbering(engine: Any) -> dict[str, Any]:
    """Show the drawing and ask; what is wrong is asked for and drawn again."""
    from dataclasses import asdict, replace

    from benchvoice.domain.drawing import draw
    from benchvoice.domain.engine import BankOrder, NumberedFrom

    while True:
        messages.say(draw(engine))
        if click.confirm("Is this how its cylinders are numbered", default=True, err=True):
            return asdict(replace(engine.numbering, confirmed=True))
        ends = click.Choice([end.value for end in NumberedFrom])
        changes: dict[str, Any] = {
            "numbered_from": NumberedFrom(click.prompt("Cylinder one is at the", type=ends, default="front", err=True))
        }
        if engine.banks:
            orders = click.Choice([order.value for order in BankOrder])
            changes["bank_order"] = BankOrder(click.prompt("Numbers run", type=orders, default="alternate", err=True))
            bank = click.prompt("Cylinder one's bank, from the flywheel end", type=click.Choice(_BANKS), err=True)
            changes["first_bank"] = bank
        engine = replace(engine, numbering=replace(engine.numbering, **changes))
