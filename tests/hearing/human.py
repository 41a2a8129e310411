"""People's speech, from Debian's package pocketsphinx-testdata, with the transcripts that lie beside it.

Read prose (LibriVox, public domain), playing cards and digit strings, 16 kHz. It goes through the same spans and the
same recogniser as everything else; what it says has nothing to do with engines, so the general model's words are what
comes out. Sources of the transcripts: the .transcription and transcription files of the package, the .lsn list for the
digits, the grammar goforward.gram for "go forward ten meters".
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from benchvoice.app.hearing import Listener
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.recognise.base import Recogniser
from tests.hearing import scoring

FOLDER = Path("/usr/share/pocketsphinx/test/data")
_LINE = re.compile(r"<s>\s*(.*?)\s*</s>\s*\((.*?)\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """One recording and what is said in it."""

    kind: str
    path: Path
    says: str


def recordings(folder: Path = FOLDER) -> list[Spoken]:
    """What of it is on this machine; an empty list without the package."""
    out = []
    for kind, listing in (("prose", "librivox/transcription"), ("cards", "cards/cards.transcription")):
        path = folder / listing
        for says, name in _LINE.findall(path.read_text()) if path.is_file() else ():
            out.append(Spoken(kind=kind, path=path.parent / f"{name}.wav", says=says))
    out.append(Spoken(kind="digits", path=folder / "tidigits/dhd.2934z.raw", says="two nine three four zero"))
    out.append(Spoken(kind="command", path=folder / "goforward.raw", says="go forward ten meters"))
    return [spoken for spoken in out if spoken.path.is_file()]


def words(spoken: Spoken, recogniser: Recogniser) -> list[str]:
    """What the recogniser hears of a recording, with half a second of silence on either side."""
    quiet = np.zeros(RATE // 2, np.float32)
    listener = Listener(recogniser)
    heard = list(listener.feed(np.concatenate([quiet, _sound(spoken.path), quiet]))) + list(listener.finish())
    return [word.text for utterance in heard for word in utterance.words]


def score(recogniser: Recogniser) -> dict[str, tuple[int, int, float]]:
    """Kind of speech -> (recordings, words, word error rate)."""
    sums: dict[str, list[int]] = {}
    for spoken in recordings():
        want = spoken.says.split()
        row = sums.setdefault(spoken.kind, [0, 0, 0])
        row[0] += 1
        row[1] += len(want)
        row[2] += scoring.word_errors(want, words(spoken, recogniser))
    return {kind: (count, total, wrong / total) for kind, (count, total, wrong) in sums.items()}


def _sound(path: Path) -> Samples:
    if path.suffix == ".raw":
        return (np.fromfile(path, dtype="<i2") / np.float32(32768.0)).astype(np.float32)
    sound, rate = soundfile.read(path, dtype="float32")
    assert rate == RATE
    return np.asarray(sound, dtype=np.float32)
