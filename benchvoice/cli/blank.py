"""benchvoice blank"""

from __future__ import annotations

import click

from benchvoice.cli import messages, output
from benchvoice.cli.options import journal as the_journal


def moment(ctx: click.Context, param: click.Parameter, value: str) -> float:
    """A time of a sitting in seconds, from "752", "12:32" or "1:02:45"."""
    try:
        parts = [float(part) for part in value.split(":")]
    except ValueError:
        parts = []
    if not 1 <= len(parts) <= 3 or any(not 0 <= part < 1e6 for part in parts):
        raise click.BadParameter(f"{value} is no time; write seconds, or 12:30, or 1:02:45.", ctx, param)
    seconds = 0.0
    for part in parts:
        seconds = 60 * seconds + part
    return seconds


@click.command()
@click.argument("sitting")
@click.argument("start", callback=moment, metavar="FROM")
@click.argument("end", callback=moment, metavar="TO")
@click.option("--reason", default="", help="Kept with the note that something was removed.")
@click.option("--yes", is_flag=True, help="Don't ask.")
def blank(sitting: str, start: float, end: float, reason: str, yes: bool) -> None:
    """Remove a stretch of a sitting for good: its sound, its words, and the findings that stand on them.

    That something was removed, and from when to when, stays in the record. It can't be undone. Copies made before
    (backups, reports, a disk's own snapshots) are not touched.

    \b
    Examples:
      benchvoice blank E-0417-s1 12:30 14:05 --reason "a phone call"
    """
    from benchvoice.app.blanking import blank_stretch

    if not yes:
        click.confirm(f"Remove {end - start:g} s of {sitting} for good?", abort=True, err=True)
    with the_journal() as journal:
        gone = blank_stretch(journal, sitting, start, end, reason=reason)
    output.line(f"Removed {gone.seconds:.1f} s of sound and {gone.utterances} utterances of {sitting}.")
    for path in gone.outside:
        messages.say(f"{path} is a file of your own that holds this stretch; it was left alone.")
