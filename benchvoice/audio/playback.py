"""Sound to the person: a stretch of the journal, a tone, a sentence. Never in the way: what can't be played isn't."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
import threading
from pathlib import Path
from typing import Any

from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.follow import read_stretch
from benchvoice.audio.tones import RATE as TONE_RATE
from benchvoice.audio.tones import Tone, samples
from benchvoice.errors import SoundError

SPEAKER = "espeak-ng"


class Player:
    """Plays one sound at a time; a new one cuts the old one off. Safe to call from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()

    def play(self, sound: Samples, rate: int = RATE) -> None:
        """Start playing and come back at once. Raises SoundError if there is no way to play sound here."""
        sd = _output()
        with self._lock:
            try:
                sd.play(sound, rate)
            except (sd.PortAudioError, ValueError) as error:
                raise SoundError(f"The sound can't be played: {error}.", hint="Is a loudspeaker connected?") from error

    def play_stretch(self, folder: Path, t0: float, t1: float) -> None:
        """Play what the journal holds between two times of a sitting."""
        self.play(read_stretch(folder, t0, t1))

    def tone(self, tone: Tone) -> bool:
        """Sound a tone; False, and no error, where that can't be done."""
        try:
            self.play(samples(tone), TONE_RATE)
        except SoundError:
            return False
        return True

    def stop(self) -> None:
        with self._lock, contextlib.suppress(Exception):
            _output().stop()


def can_say() -> bool:
    """True if a speech synthesiser is on this machine."""
    return shutil.which(SPEAKER) is not None


def seconds_to_say(text: str) -> float:
    """About how long `say` takes, on the long side: 150 words a minute and a moment to begin."""
    return 1.0 + len(text.split()) / 150 * 60


def say(text: str) -> bool:
    """Say a sentence aloud in the background; False where no synthesiser is installed, so that it can be shown."""
    path = shutil.which(SPEAKER)
    if path is None:
        return False
    # The text goes in through standard input: it was heard in a shop and must never be taken for an option.
    process = subprocess.Popen(
        [path, "-v", "en-us", "-s", "150", "--stdin"],
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    threading.Thread(target=process.communicate, args=(text,), name="saying", daemon=True).start()
    return True


def _output() -> Any:
    try:
        import sounddevice
    except OSError as error:
        raise SoundError("The system library PortAudio is missing.", hint="sudo apt install libportaudio2") from error
    return sounddevice
