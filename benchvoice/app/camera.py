"""Where a sitting's seconds lie in a film of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from benchvoice import paths
from benchvoice.app.live.plan import folder_of
from benchvoice.audio.align import align
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.film import film_sound
from benchvoice.audio.follow import read_stretch
from benchvoice.audio.segments import segments
from benchvoice.domain.events import CameraAligned, SoundKept
from benchvoice.errors import SoundError, UnknownSittingError
from benchvoice.journal import Journal

Progress = Callable[[str, float], None]


def find_sitting(journal: Journal, sitting: str) -> str:
    """The stock number of the engine that has this sitting. UnknownSittingError if none has."""
    for engine in journal.engines():
        if sitting in journal.sittings(engine.stock):
            return engine.stock
    raise UnknownSittingError(
        f"There is no sitting {sitting}.", hint="`benchvoice show STOCK` lists the sittings of an engine."
    )


def align_film(journal: Journal, sitting: str, film: Path, *, on_progress: Progress | None = None) -> CameraAligned:
    """Find a sitting in a film by their sound and note it in the journal.

    SoundError if the sitting has no sound, the film none that can be read, or the two don't match: then nothing is
    noted.
    """
    tell = on_progress or (lambda text, share: None)
    stock = find_sitting(journal, sitting)
    kept = journal.record(stock).sittings[sitting]
    start, sound = sitting_sound(sitting, kept.sounds)
    theirs = film_sound(film, on_progress=lambda share: tell("Reading the film", 0.5 * share))
    found = align(sound, theirs, start=start, on_progress=lambda share: tell("Comparing", 0.5 + 0.5 * share))
    event = CameraAligned(
        sitting=sitting,
        film=str(film.resolve()),
        offset=round(found.offset, 4),
        drift=round(found.drift, 9),
        score=round(found.score, 3),
    )
    journal.append(event, stock)
    return event


def sitting_sound(sitting: str, sounds: tuple[SoundKept, ...]) -> tuple[float, Samples]:
    """All sound of a sitting with the time at which it starts: the recorded journal, or the file that was imported."""
    folder = folder_of(sitting)
    recorded = segments(folder)
    if recorded:
        return recorded[0].start, read_stretch(folder, recorded[0].start, recorded[-1].end)
    for kept in sounds:
        path = paths.data() / kept.path
        if path.is_file():
            return kept.start, film_sound(path)
    raise SoundError(f"The sitting {sitting} has no sound on disk.", hint=f"At {RATE} Hz it would lie in {folder}.")
