"""Small records for the tests of figures, and the demo's own."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from benchvoice.domain.engine import Engine, Layout, Numbering, ValveGear
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Entry, Record, Status
from benchvoice.measure.figures import figures
from benchvoice.measure.sheets import parse
from benchvoice.measure.tables import load

DEMO = Path(__file__).resolve().parents[2] / "demo_audio"
PLACE_KEYS = {"cylinder", "journal", "bank", "end", "valve", "side", "shell", "level"}


def measured(part, quantity, value, unit="in", **more):
    """A measurement; keys of a place go into the place, the rest into the finding."""
    place = Place(**{key: item for key, item in more.items() if key in PLACE_KEYS})
    rest = {key: item for key, item in more.items() if key not in PLACE_KEYS}
    return Finding(
        kind=Kind.MEASUREMENT, part=part, place=place, quantity=quantity, value=Decimal(value), unit=unit, **rest
    )


def condition(part, name, text="", present=True, **place):
    return Finding(kind=Kind.CONDITION, part=part, place=Place(**place), condition=name, present=present, text=text)


def record_of(*findings, engine=None):
    entries = {
        f"s.{n}.0": Entry(id=f"s.{n}.0", sitting="s", n=n, finding=finding, status=Status.ACCEPTED)
        for n, finding in enumerate(findings)
    }
    return Record(engine=engine or FOUR, entries=entries)


def sheet_of(rows):
    text = f'title = "test"\nsource = "a test"\n{rows}'
    sheet, problems = parse(text, load())
    assert not problems, problems
    return sheet


def computed(*findings, sheet="", engine=None, bench=None):
    return figures(record_of(*findings, engine=engine), sheet_of(sheet) if sheet else None, bench=bench)


def named(found, name, part=None, quantity=None, **place):
    """The one figure of that name."""
    fitting = [
        figure
        for figure in found
        if figure.name == name
        and (part is None or figure.part == part)
        and (quantity is None or figure.quantity == quantity)
        and (not place or figure.place == Place(**place))
    ]
    assert len(fitting) == 1, [(figure.name, figure.part, figure.place) for figure in found]
    return fitting[0]


def codes(figure):
    return {note.code for note in figure.notes}


FOUR = Engine(stock="T-4", layout=Layout.INLINE, cylinders=4)
EIGHT = Engine(stock="T-8", layout=Layout.VEE, cylinders=8)


def demo_record():
    """The demo's six, from its intake and what its scripts say is in them."""
    intake = tomllib.loads((DEMO / "intake.toml").read_text(encoding="utf-8"))["engine"][0]
    engine = Engine(
        stock=intake["stock"], layout=Layout(intake["layout"]), cylinders=intake["cylinders"], mains=intake["mains"],
        valve_gear=ValveGear(intake["valve_gear"]), numbering=Numbering(),
    )  # fmt: skip
    entries = {}
    for narration in intake["narrations"]:
        for n, item in enumerate(_utterances(narration)):
            if item.get("withdrawn"):
                continue
            for k, finding in enumerate(item["findings"]):
                key = f"{narration}.{n}.{k}"
                read = replace(_finding(finding), text=item["say"])
                entries[key] = Entry(id=key, sitting=narration, n=n, finding=read, status=Status.ACCEPTED)
    return Record(engine=engine, entries=entries)


def _utterances(narration):
    path = DEMO / "scripts" / f"{narration}.jsonl"
    for line in path.read_text(encoding="utf-8").splitlines():
        item = json.loads(line, parse_float=Decimal)
        yield from item.get("utterances", [item])


def _finding(item):
    value = item.get("value")
    return Finding(
        kind=Kind(item["kind"]), part=item["part"], place=Place(**item["place"]), condition=item.get("condition"),
        present=item.get("present", True), hedged=item.get("hedged", False), quantity=item.get("quantity"),
        value=None if value is None else Decimal(value), unit=item.get("unit"),
    )  # fmt: skip
