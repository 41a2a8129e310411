"""A sound file as a sitting: heard, and its sound kept, so that each line can be heard again."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from pathlib import Path

from benchvoice.app.hearing import hear
from benchvoice.app.sitting import listen, open_sitting
from benchvoice.audio.files import probe
from benchvoice.domain.events import SoundKept
from benchvoice.domain.readings import Reading
from benchvoice.domain.words import Utterance
from benchvoice.errors import BenchvoiceError, SoundError
from benchvoice.interpret import Reader
from benchvoice.journal import Journal
from benchvoice.lexicon import Lexicon
from benchvoice.recognise import open_recogniser

Progress = Callable[[str, float], None]

_BLOCK = 1 << 20
_PREPARING = 0.2
"""Share of the progress that making the language model takes, the first time."""


def hear_file(sound: Path, *, recogniser: str | None = None, progress: Progress | None = None) -> Iterator[Utterance]:
    """The utterances of a sound file, by the recogniser of that name or by the best one here.

    SoundError for a file that can't be used, before a recogniser is opened; BenchvoiceError for a recogniser that
    can't.
    """
    tell = progress or (lambda text, done: None)
    probe(sound)
    engine = open_recogniser(recogniser, on_progress=lambda text, done: tell(text, _PREPARING * done))

    def heard(seconds: float, total: float | None) -> None:
        share = min(1.0, seconds / total) if total else 0.0
        tell(f"Hearing {sound.name}", _PREPARING + (1 - _PREPARING) * share)

    try:
        yield from hear(sound, engine, on_progress=heard)
    finally:
        engine.close()


def hear_and_keep(
    journal: Journal, stock: str, sound: Path, utterances: Iterable[Utterance], lexicon: Lexicon, data: Path
) -> Iterator[Reading]:
    """Commit what is heard of a sound file to an engine's record, reading by reading, and keep the sound.

    utterances: what is heard of it. SoundError, and nothing is left behind, if the first of them can't be had.
    """
    own = journal.canonical(stock)
    heard = iter(utterances)
    first = next(heard, None)
    if first is None:
        raise SoundError(f"{sound} holds no speech.", hint="Listen to it: is it the right file?")
    reader = Reader(lexicon, journal.record(own).engine)
    sitting = open_sitting(
        journal,
        own,
        reader,
        source="file",
        title=sound.name,
        recogniser=first.recogniser,
        grammar=lexicon.hash,
    )
    try:
        sitting.note(keep_sound(sound, sitting.sitting, data))
    except BenchvoiceError:
        sitting.close(why="failed")
        raise
    yield from listen(sitting, chain((first,), heard))


def keep_sound(source: Path, sitting: str, data: Path) -> SoundKept:
    """Copy a sound file into the data folder, as it is, and return the event that says so.

    SoundError if it isn't sound or can't be copied; nothing is left behind then.
    """
    info = probe(source)
    folder = data / "sound" / sitting
    target = folder / f"heard{source.suffix.lower()}"
    partial = target.with_name(target.name + ".partial")
    digest = hashlib.sha256()
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        descriptor = os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "wb") as out, source.open("rb") as sound:
            while block := sound.read(_BLOCK):
                digest.update(block)
                out.write(block)
            out.flush()
            os.fsync(out.fileno())
        partial.replace(target)
    except OSError as error:
        partial.unlink(missing_ok=True)
        raise SoundError(
            f"The sound of {source} can't be kept in {folder}: {error.strerror or error}.",
            hint="Free some space there.",
        ) from error
    return SoundKept(
        sitting=sitting,
        path=str(target.relative_to(data)),
        start=0.0,
        seconds=info.seconds or 0.0,
        rate=info.rate,
        sha256=digest.hexdigest(),
    )
