"""Which denoiser works, on real sound in rooms that change."""

from __future__ import annotations

import numpy as np
import pytest

from benchvoice.audio import deepfilter, rnnoise
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.cleaning import Cleaner
from benchvoice.audio.level import LevelMeter
from benchvoice.audio.spans import Spanner
from demo_audio import noises

pytestmark = [
    pytest.mark.sound,
    pytest.mark.skipif(
        not (deepfilter.available() and rnnoise.available()), reason="one of the denoisers is not installed"
    ),
]
Narration = tuple[Samples, list[tuple[float, float]]]


def states(sound: Samples) -> list[tuple[float, str]]:
    """When another denoiser begins to work, seconds, and which."""
    spanner, out = Spanner(), [(0.0, "none")]
    for at in range(0, len(sound), 1_600):
        spanner.feed(sound[at : at + 1_600])
        works = "voices" if spanner._cleaner.voices else "noise" if spanner._cleaner.works else "none"
        if works != out[-1][1]:
            out.append((at / RATE, works))
    return out


def only_noise_after(seconds: float, found: list[tuple[float, str]]) -> None:
    """Voices are taken out at first, until it is known that nobody else talks."""
    assert [works for _, works in found] == ["none", "voices", "noise"]
    assert found[-1][0] < seconds


def test_voices_are_taken_out_while_others_talk(narration: Narration, radio: Samples) -> None:
    """A radio that is turned off after a minute; a little hum goes on."""
    sound, times = narration
    hum = noises.mix(sound, noises.compressor_hum(len(sound), np.random.default_rng(2)), 20.0, times)
    beside = hum + noises.mix(sound, radio, 15.0, times) - sound
    found = states(np.concatenate([beside, hum, hum]))
    length = len(sound) / RATE
    assert [works for at, works in found if at < length][-1] == "voices"
    assert [works for at, works in found if at >= length] == ["noise"]
    assert found[-1][0] < length + 60.0


@pytest.mark.parametrize("noise", ["compressor", "pink", "clatter"])
def test_noise_that_is_no_voice_is_taken_out_as_noise(noise: str, narration: Narration) -> None:
    sound, times = narration
    made = noises.NOISES[noise](len(sound), np.random.default_rng(2))
    only_noise_after(7.0, states(noises.mix(sound, made, 10.0, times)))


def test_the_persons_own_voice_from_the_walls_is_not_others(narration: Narration) -> None:
    """Of who makes short pauses."""
    sound, times = narration
    rng = np.random.default_rng(2)
    only_noise_after(7.0, states(noises.mix(noises.echo(sound, rng), noises.pink(len(sound), rng), 10.0, times)))


def test_a_radio_that_is_silent_at_first_is_found_within_a_sentence(narration: Narration, radio: Samples) -> None:
    """No pause closes a sentence beside it until its voice is taken out."""
    sound, times = narration
    late = noises.mix(sound, radio, 10.0, times) - sound
    late[: 2 * RATE] = 0.0
    hum = noises.mix(sound, noises.pink(len(sound), np.random.default_rng(2)), 25.0, times)
    found = states((hum + late)[: 30 * RATE])
    assert [works for _, works in found] == ["none", "voices", "noise", "voices"]
    assert found[-1][0] < 2.0 + 8.0


def test_others_who_begin_to_talk_are_taken_out(narration: Narration, radio: Samples) -> None:
    sound, times = narration
    hum = noises.mix(sound, noises.compressor_hum(len(sound), np.random.default_rng(2)), 20.0, times)
    found = states(np.concatenate([hum, hum + noises.mix(sound, radio, 15.0, times) - sound]))
    assert [works for _, works in found] == ["none", "voices", "noise", "voices"]
    assert len(sound) / RATE < found[-1][0] < len(sound) / RATE + 30.0


def test_after_a_gap_nothing_of_before_comes_out() -> None:
    """One clean sample for each that was fed since, whatever was still inside."""
    rng = np.random.default_rng(5)
    cleaner = Cleaner(LevelMeter(), below=35.0, enabled=True)
    loud = rng.normal(0, 0.05, RATE).astype(np.float32)
    assert len(cleaner.feed(loud, between=True)) < RATE
    cleaner.begin()
    assert len(cleaner.feed(loud, between=True)) + len(cleaner.finish()) == RATE
