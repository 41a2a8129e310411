"""benchvoice recognisers"""

from __future__ import annotations

import click

from benchvoice.cli import options, output


@click.command()
@options.as_json
def recognisers(as_json: bool) -> None:
    """List what can recognise speech on this machine, best first, and what is missing for the rest.

    \b
    Examples:
      benchvoice recognisers
      benchvoice recognisers --json
    """
    from dataclasses import asdict

    from benchvoice.recognise import available

    found = available()
    if as_json:
        output.json_document([asdict(item) for item in found])
        return
    output.table(
        ("recogniser", "usable", "version", "why"),
        ((item.name, "yes" if item.usable else "no", item.version or "-", item.why) for item in found),
    )
