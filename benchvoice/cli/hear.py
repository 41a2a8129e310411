"""benchvoice hear"""

from __future__ import annotations

from pathlib import Path

import click

from benchvoice.cli import messages, options
from benchvoice.cli.readings import printer


@click.command()
@click.argument("audio", type=click.Path(path_type=Path), metavar="AUDIO", required=False)
@click.option("--mic", is_flag=True, help="Hear a microphone instead of a file, until Ctrl-C.")
@click.option("--microphone", metavar="NAME", help="Which one, by a part of its name; remembered. Implies --mic.")
@click.option("--tones/--no-tones", default=True, help="Tones for heard, not sure, struck out, stopped.")
@click.option(
    "--unfinished",
    type=click.Choice(["continue", "close", "leave"]),
    help="What to do with a sitting of this engine that broke off; asked if not given.",
)
@options.engine
@click.option("--recogniser", metavar="NAME", help="See `benchvoice recognisers`; the best one here if none is named.")
@options.as_json
def hear(
    audio: Path | None,
    mic: bool,
    microphone: str | None,
    tones: bool,
    unfinished: str | None,
    stock: str | None,
    recogniser: str | None,
    as_json: bool,
) -> None:
    """Hear a microphone, or a sound file (WAV, FLAC, OGG, MP3; any rate, any number of channels).

    Each utterance is printed as it is heard. Without --engine no record is touched. With it, each is committed at
    once, the sound is kept, and the findings wait for the review.

    With a microphone, say "hold" and "carry on" to be left alone for a while, "strike that" to take the last
    utterance back, "read back" to be told it. While on hold the sound is still kept; `benchvoice blank` removes it.
    Ctrl-C ends the recording and hears what was said; a second one leaves at once, and nothing is lost.

    \b
    Examples:
      benchvoice hear --mic --engine E-0417
      benchvoice hear --microphone headset --engine E-0417
      benchvoice hear teardown.flac
      benchvoice hear teardown.flac --engine E-0417
      benchvoice hear teardown.wav --json > heard.jsonl
    """
    if mic or microphone:
        if audio is not None:
            raise click.UsageError("Name a sound file or a microphone, not both.")
        from benchvoice.cli.live import listen

        listen(stock, name=microphone, recogniser=recogniser, tones=tones, as_json=as_json, what_now=unfinished)
        return
    if audio is None:
        raise click.UsageError("Name a sound file, or --mic for a microphone.")
    _hear_file(audio, stock, recogniser, as_json=as_json)


def _hear_file(audio: Path, stock: str | None, recogniser: str | None, *, as_json: bool) -> None:
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
