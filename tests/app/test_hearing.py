"""Sound to utterances on real recognition, where pauses fall into the middle of things."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from benchvoice.app.hearing import Listener, hear
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.spans import Setting
from benchvoice.domain.words import Utterance
from benchvoice.errors import SoundError
from benchvoice.recognise import Heard, Recogniser, open_recogniser
from demo_audio import voices

pytestmark = pytest.mark.sound
VOICE = next((name for name in ("slt", "heart") if voices.usable(name)), None)


@pytest.fixture(scope="module")
def engine() -> Iterator[Recogniser]:
    if VOICE is None:
        pytest.skip("no voice can speak here")
    opened = open_recogniser("pocketsphinx")
    yield opened
    opened.close()


def speech(*pieces: str | float) -> Samples:
    """Sentences and pauses in seconds, in a quiet room."""
    assert VOICE is not None
    parts = [voices.speak(p, VOICE) if isinstance(p, str) else np.zeros(int(p * RATE), np.float32) for p in pieces]
    sound = np.concatenate(parts)
    return np.asarray(sound + np.random.default_rng(1).normal(0, 3e-4, sound.size), np.float32)


def listen(engine: Recogniser, sound: Samples) -> list[Utterance]:
    listener = Listener(engine, Setting(denoiser=False))
    pieces = [sound[at : at + 1_600] for at in range(0, len(sound), 1_600)]
    return [*(u for piece in pieces for u in listener.feed(piece)), *listener.finish()]


def test_a_pause_in_a_measurement_cuts_nothing(engine: Recogniser) -> None:
    sound = speech(
        1.0, "rod journal measures two point zero", 0.8, "nine eight five", 2.0, "water pump is leaking", 1.0
    )
    first, second = listen(engine, sound)
    assert first.text == "rod journal measures two point zero nine eight five"
    assert second.text == "water pump is leaking"
    assert (first.n, second.n) == (0, 1)
    times = [word.t0 or 0.0 for word in first.words]
    assert times == sorted(times)
    gaps = [(b.t0 or 0.0) - (a.t1 or 0.0) for a, b in zip(first.words, first.words[1:], strict=False)]
    assert max(gaps) > 0.5, "the pause is where it was"


def test_an_unfinished_sentence_is_given_out_in_the_end(engine: Recogniser) -> None:
    (only,) = listen(engine, speech(1.0, "the rod journal measures", 4.0))
    assert only.text == "the rod journal measures"


def test_chatter_is_told_apart(engine: Recogniser) -> None:
    found = listen(
        engine, speech(1.0, "my cousin is getting married next weekend", 1.2, "number two main bearing is wiped", 1.0)
    )
    assert [utterance.domain for utterance in found] == [False, True]


def test_files_without_speech_and_files_that_break_off(engine: Recogniser, tmp_path: Path) -> None:
    soundfile.write(tmp_path / "hush.wav", np.zeros(3 * RATE), RATE)
    with pytest.raises(SoundError, match="Nobody speaks"):
        list(hear(tmp_path / "hush.wav", engine))
    sound = speech(1.0, "water pump is leaking", 1.5, "oil pan is dented", 1.5, "head gasket is blown", 1.0)
    soundfile.write(tmp_path / "a.flac", sound, RATE)
    whole = (tmp_path / "a.flac").read_bytes()
    (tmp_path / "a.flac").write_bytes(whole[: len(whole) * 6 // 10])
    heard: list[str] = []
    with pytest.raises(SoundError, match="breaks off"):
        heard.extend(utterance.text for utterance in hear(tmp_path / "a.flac", engine))
    assert heard[0] == "water pump is leaking"


class Counted:
    """The recogniser, and how many times it was asked."""

    def __init__(self, engine: Recogniser) -> None:
        self._engine = engine
        self.asked = 0

    name = property(lambda self: self._engine.name)
    version = property(lambda self: self._engine.version)

    def hear(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Heard:
        self.asked += 1
        return self._engine.hear(pcm, start=start, snr=snr)

    def close(self) -> None:
        self._engine.close()


def test_a_sentence_is_heard_before_its_pause_is_over_and_only_once(engine: Recogniser) -> None:
    """One that is spoken in one breath costs one hearing; its words are there in the block that closes it."""
    counted = Counted(engine)
    listener = Listener(counted, Setting(denoiser=False))
    sound = speech(1.0, "water pump is leaking", 2.0)
    asked_at: dict[int, float] = {}
    for at in range(0, len(sound), 800):
        found = list(listener.feed(sound[at : at + 800]))
        asked_at.setdefault(counted.asked, at / RATE)
        if found:
            assert counted.asked == 1
            assert (at + 800) / RATE - asked_at[1] > 0.2, "it was heard a while before"
            return
    pytest.fail("nothing was heard")


def test_who_pauses_often_is_not_heard_at_every_pause(engine: Recogniser) -> None:
    counted = Counted(engine)
    words = ["number", "one", "rod", "bearing", "is", "wiped", "and", "number", "two", "is", "good"]
    pieces: list[str | float] = [1.0]
    for word in words:
        pieces += [word, 0.12]
    listen(counted, speech(*pieces, 2.0))
    assert 1 <= counted.asked <= 5, f"{counted.asked} hearings of {len(words)} words"
