"""benchvoice align"""

from __future__ import annotations

from pathlib import Path

import click

from benchvoice.cli import messages, options, output


@click.command()
@click.argument("sitting")
@click.argument("film", type=options.FILE, metavar="VIDEO_OR_SOUND")
@options.as_json
def align(sitting: str, film: Path, as_json: bool) -> None:
    """Find a sitting in a film of it by their sound, so that each finding has a time in the film.

    Any film or sound file that recorded the same room will do. The clocks of two devices run apart by some hundredths
    of a second an hour; that is measured and taken out. Captions and chapter lists of the report use it.

    \b
    Example:
      benchvoice align E-0417-s1 teardown.mp4
    """
    from benchvoice.app.camera import align_film

    with options.journal() as journal, messages.progress("Aligning") as progress:
        found = align_film(journal, sitting, film, on_progress=progress)
    if as_json:
        values = {"sitting": found.sitting, "film": found.film, "offset": found.offset, "drift": found.drift}
        output.json_line(values | {"score": found.score})
        return
    output.line(f"{sitting} begins {found.offset:+.3f} s into {film}.")
    messages.say(
        f"The clocks run apart by {found.drift * 1e6:+.1f} parts in a million; {found.score:.0%} of the places agree."
    )
