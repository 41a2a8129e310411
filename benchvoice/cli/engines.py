"""benchvoice engines"""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime

import click

from benchvoice.cli import messages, options, output


@click.command()
@options.as_json
def engines(as_json: bool) -> None:
    """List the engines, in the order in which they were taken in.

    \b
    Examples:
      benchvoice engines
      benchvoice engines --json | jq '.[].stock'
    """
    with options.journal() as journal:
        found = journal.engines()
    if as_json:
        output.json_document([asdict(item) for item in found])
    elif not found:
        messages.say(
            "No engine was taken in yet. `benchvoice intake` takes one in, `benchvoice demo` shows the whole job."
        )
    else:
        head = ("stock", "what", "layout", "taken in", "sittings", "to review", "accepted", "revision")
        output.table(
            head,
            (
                (
                    item.stock,
                    item.what or "-",
                    f"{item.layout} {item.cylinders}",
                    datetime.fromtimestamp(item.taken_in).strftime("%Y-%m-%d"),
                    f"{item.sittings} ({item.open_sittings} open)" if item.open_sittings else item.sittings,
                    item.unreviewed,
                    item.accepted,
                    item.revision or "-",
                )
                for item in found
            ),
        )
