"""The voice profile on real sound, and its file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from benchvoice.app import voice
from benchvoice.audio.blocks import RATE
from benchvoice.audio.spans import Setting
from benchvoice.errors import SoundError
from benchvoice.recognise import open_recogniser
from demo_audio import voices


@pytest.mark.sound
def test_a_voice_that_reads_out(tmp_path: Path) -> None:
    name = next((name for name in ("slt", "formant_us", "heart") if voices.usable(name)), None)
    if name is None:
        pytest.skip("no voice can speak here")
    read = voice.sentences()[:3]
    rng = np.random.default_rng(1)
    pause = np.zeros(RATE, np.float32)
    sound = np.concatenate([pause, *(piece for text in read for piece in (voices.speak(text, name), pause))])
    sound = (sound * np.float32(0.5) + rng.normal(0, 10 ** (-60 / 20), sound.size)).astype(np.float32)
    engine = open_recogniser("pocketsphinx")
    profile = voice.measure(np.array_split(sound, 50), engine, read)
    assert profile.speech == pytest.approx(-26, abs=5), "spoken at -22 dB, played 6 dB softer"
    assert profile.room == pytest.approx(-60, abs=4)
    assert 0.35 <= profile.pause <= 0.9
    assert 80 < profile.words_a_minute < 300
    assert profile.right > 0.75
    assert profile.advice() == ()
    where = voice.save(profile, tmp_path / "a" / "voice.toml")
    assert voice.load(where) == profile
    listening = voice.setting(profile)
    assert listening.speech_level == profile.speech
    assert listening.pauses.pause == profile.pause
    with pytest.raises(SoundError, match="Nobody spoke"):
        voice.measure([np.zeros(RATE, np.float32)], engine)


def test_no_profile_or_a_spoilt_one_changes_nothing(tmp_path: Path) -> None:
    assert voice.load(tmp_path / "none.toml") is None
    for text in ("speech = 'loud'", "not toml at all", "speech = -20.0"):
        (tmp_path / "voice.toml").write_text(text, encoding="utf-8")
        assert voice.load(tmp_path / "voice.toml") is None
    assert voice.setting(None) == Setting()


def test_values_out_of_reason_are_held_back() -> None:
    wild = voice.Profile(speech=30.0, room=25.0, pause=99.0, words_a_minute=0.0, right=0.0)
    listening = voice.setting(wild)
    assert listening.pauses.pause == 0.9
    assert listening.speech_level == 0.0
    assert len(wild.advice()) == 3
