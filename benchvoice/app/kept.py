"""Keeps the sound of a file with the sitting that was heard from it, so that each line can be heard again."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from benchvoice.audio.files import probe
from benchvoice.domain.events import SoundKept
from benchvoice.errors import SoundError

_BLOCK = 1 << 20


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
