"""benchvoice show"""

from __future__ import annotations

from datetime import datetime
from typing import Any

import click

from benchvoice.cli import messages, options, output


@click.command()
@options.stock
@click.option("--revision", type=int, metavar="N", help="As it was filed in revision N.")
@click.option("--all", "everything", is_flag=True, help="Dropped and withdrawn findings, and every utterance, too.")
@click.option("--history", is_flag=True, help="What was changed: as heard, before, after, when, and what was undone.")
@options.as_json
def show(stock: str, revision: int | None, everything: bool, history: bool, as_json: bool) -> None:
    """Show one engine: what it is, how it is numbered, its sittings, findings and revisions.

    \b
    Examples:
      benchvoice show E-0417
      benchvoice show E-0417 --revision 1
      benchvoice show E-0417 --history
      benchvoice show E-0417 --json | jq '.findings[] | select(.status == "proposed")'
    """
    from benchvoice.app import filing

    with options.journal() as journal:
        own = journal.canonical(stock)
        record = journal.record(own) if revision is None else filing.as_filed(journal, own, revision)
        holds = None if revision is None else filing.seal_holds(journal, own, revision)
        changes = journal.corrections(own) if history else []
    if history:
        _history(changes, as_json)
    elif as_json:
        output.json_document(_document(record, everything))
    else:
        _print(record, everything)
    if holds is False:
        messages.say(f"What was filed no longer gives the hash of revision {revision}: words were removed since.")


def _document(record: Any, everything: bool) -> dict[str, Any]:
    from dataclasses import asdict

    from benchvoice.app.intake import as_plain
    from benchvoice.domain.findings import finding_to_contract
    from benchvoice.domain.readings import reading_to_contract

    entries = record.entries.values() if everything else record.standing()
    out = {
        "engine": as_plain(record.engine),
        "sittings": [
            {"sitting": name, "at": item.at, "closed": item.closed, "seconds": item.seconds}
            | {key: getattr(item.opened, key) for key in ("source", "title", "recogniser", "grammar")}
            | {"marks": [asdict(mark) for mark in item.marks], "gaps": [asdict(gap) for gap in item.gaps]}
            for name, item in record.sittings.items()
        ],
        "findings": [
            {"id": entry.id, "status": entry.status.value, "sitting": entry.sitting, "n": entry.n}
            | finding_to_contract(entry.finding)
            for entry in entries
        ],
        "revisions": [{"at": item.at, **asdict(item.filed)} for item in record.revisions],
    }
    if everything:
        out["utterances"] = [
            {"sitting": said.sitting, "heard": said.heard.utterance.text, "withdrawn": said.withdrawn}
            | reading_to_contract(said.reading)
            for said in record.said.values()
        ]
    return out


def _print(record: Any, everything: bool) -> None:
    from benchvoice import lexicon as words
    from benchvoice.domain.drawing import draw
    from benchvoice.lexicon.phrases import short_phrase

    lexicon, engine = words.load(), record.engine
    what = " ".join(item for item in (engine.maker, engine.family, engine.displacement, engine.fuel.value) if item)
    output.line(f"{engine.stock}: {what} {engine.layout.value} {engine.cylinders}")
    for title, value in (("VIN", engine.vin), ("from", engine.source), ("note on the VIN", engine.vin_note)):
        if value:
            output.line(f"{title}: {value}")
    for title, items in (("claimed", engine.claimed), ("verified", engine.verified)):
        for item in items:
            output.line(f"{title}: {item}")
    output.line()
    output.line(draw(engine))
    output.line()
    for name, item in record.sittings.items():
        length = f", {item.seconds:.0f} s" if item.seconds else ""
        state = length if item.closed else ", not closed"
        output.line(f"sitting {name}: {item.opened.source} {item.opened.title}, {_when(item.at)}{state}")
        for gap in item.gaps:
            output.line(f"    gap at {gap.t0:.0f} s: {gap.why.replace('_', ' ')}")
        for mark in item.marks:
            at = "" if mark.t is None else f" at {mark.t:.0f} s"
            output.line(f"    {mark.what}{at}: {mark.text}" if mark.text else f"    {mark.what}{at}")
    for item in record.revisions:
        filed = item.filed
        output.line(f"revision {filed.revision}: {len(filed.finding_ids)} findings, by {filed.by}, {_when(item.at)}")
    entries = list(record.entries.values()) if everything else record.standing()
    output.line()
    output.table(
        ("finding", "status", "what", "words"),
        ((entry.id, entry.status.value, short_phrase(entry.finding, lexicon), entry.finding.text) for entry in entries),
    )


def _history(changes: list[Any], as_json: bool) -> None:
    from dataclasses import asdict

    if as_json:
        output.json_document([asdict(item) for item in changes])
        return
    output.table(
        ("when", "what", "about", "as heard", "was", "became", ""),
        (
            (
                _when(item.at),
                item.what.replace("_", " "),
                item.finding or f"{item.sitting} {item.n}",
                item.heard,
                item.was,
                item.became,
                "undone" if item.undone else item.reason,
            )
            for item in changes
        ),
    )


def _when(at: float) -> str:
    return datetime.fromtimestamp(at).strftime("%Y-%m-%d %H:%M")
