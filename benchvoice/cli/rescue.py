"""benchvoice rescue"""

from __future__ import annotations

import click

from benchvoice.cli import options, output


@click.command()
@options.as_json
def rescue(as_json: bool) -> None:
    """Move a damaged journal aside and carry everything that can be read over into a new one.

    The damaged file is kept, with its companions, under a name that says when. Close every other benchvoice first.

    \b
    Example:
      benchvoice rescue
    """
    from benchvoice import paths
    from benchvoice.journal import rescue as rescue_journal

    found = rescue_journal(paths.journal())
    if as_json:
        output.json_document({"aside": str(found.aside), "events": found.events, "missing": list(found.missing)})
        return
    output.line(f"{found.events} events carried over into {paths.journal()}.")
    output.line(f"The damaged journal is kept as {found.aside}.")
    if found.missing:
        listed = ", ".join(str(number) for number in found.missing[:10])
        more = " ..." if len(found.missing) > 10 else ""
        output.line(f"{len(found.missing)} events could not be read (numbers {listed}{more}).")
