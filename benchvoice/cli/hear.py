"""benchvoice hear"""

from __future__ import annotations

from pathlib import Path

import click

from benchvoice.cli import messages, options
from benchvoice.cli.readings import printer


@click.command()
@click.argument("audio", type=click.Path(path_type=Path), metavar="AUDIO")
@options.engine
@click.option("--recogniser", metavar="NAME", help="See `benchvoice recognisers`; the best one here if none is named.")
@options.as_json
def hear(audio: Path, stock: str | None, recogniser: str | None, as_json: bool) -> None:
    """Hear a sound file (WAV, FLAC, OGG, MP3; any rate, any number of channels) and print what was found.

    Each utterance is printed as it is heard. Without --engine no record is touched. With it, each is committed at
    once, the sound is kept, and the findings wait for the review.

    \b
    Examples:
      benchvoice hear teardown.flac
      benchvoice hear teardown.flac --engine E-0417
      benchvoice hear teardown.wav --json > heard.jsonl
    """
    from benchvoice import lexicon as words
    from benchvoice.app.kept import hear_and_keep, hear_file
    from benchvoice.interpret import Reader

    lexicon = words.load()
    show = printer(lexicon, as_json=as_json)
    if stock is None:
        with messages.progress("Hearing", between_lines=True) as progress:
            for reading in Reader(lexicon).read_all(hear_file(audio, recogniser=recogniser, progress=progress)):
                show(reading)
        return
    from benchvoice import paths

    with options.journal() as journal, messages.progress("Hearing", between_lines=True) as progress:
        own = journal.canonical(stock)
        utterances = hear_file(audio, recogniser=recogniser, progress=progress)
        for reading in hear_and_keep(journal, own, audio, utterances, lexicon, paths.data()):
            show(reading)
    messages.say(f"Kept with {own}. `benchvoice review {own}` goes through it.")
