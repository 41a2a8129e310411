"""benchvoice voice"""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from benchvoice.cli import messages, options, output


@click.command()
@click.argument("audio", required=False, type=click.Path(path_type=Path))
@click.option("--seconds", type=click.FloatRange(10, 300), default=60.0, show_default=True, help="How long to listen.")
@options.as_json
def voice(audio: Path | None, seconds: float, as_json: bool) -> None:
    """Read out some sentences once, so that you are heard better.

    Sets how loud you are, how loud the room is and how long you pause, for every later sitting with a microphone.
    Nothing but these numbers is kept. AUDIO is a recording of the sentences, in place of the microphone.

    \b
    Examples:
      benchvoice voice
      benchvoice voice read-out.flac
    """
    from benchvoice.app import settings
    from benchvoice.app import voice as profiles
    from benchvoice.audio.files import read_blocks
    from benchvoice.audio.microphone import Microphone
    from benchvoice.recognise import open_recogniser

    with messages.progress("Getting ready") as progress:
        engine = open_recogniser(on_progress=progress)
    if audio is None:
        messages.say(f"Read these out, with a breath between them; {seconds:.0f} seconds from now:")
        for sentence in profiles.sentences():
            messages.say(f"  {sentence}")
        blocks = profiles.record(Microphone(settings.load().microphone or None), seconds)
    else:
        blocks = read_blocks(audio)
    profile = profiles.measure(blocks, engine)
    profiles.save(profile)
    for advice in profile.advice():
        messages.say(advice)
    if as_json:
        output.json_line(asdict(profile))
        return
    output.table(
        ("", ""),
        [
            ("your voice", f"{profile.speech:.0f} dB"),
            ("the room", f"{profile.room:.0f} dB"),
            ("a sentence is over after", f"{profile.pause:.2f} s of silence"),
            ("words heard rightly", f"{profile.right:.0%}"),
        ],
    )
