"""Soft voices on real sound: a microphone far away, or one with its gain turned down."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from benchvoice.audio import deepfilter
from benchvoice.audio.blocks import RATE, Samples, from_pcm, to_pcm
from benchvoice.audio.spans import Setting, Span, Spanner
from demo_audio import noises
from tests.audio.test_spans import heard_share

Narration = tuple[Samples, list[tuple[float, float]]]


def softer(sound: Samples, decibels: float) -> Samples:
    """As sixteen bits hold it."""
    return from_pcm(to_pcm(sound * np.float32(10.0 ** (-decibels / 20.0))))


def heard(spanner: Spanner, sound: Samples) -> list[Span]:
    found = [span for at in range(0, len(sound), 800) for span in spanner.feed(sound[at : at + 800])]
    return found + spanner.finish()


def beside_a_compressor(narration: Narration) -> Samples:
    sound, times = narration
    return noises.mix(sound, noises.compressor_hum(len(sound), np.random.default_rng(2)), 15.0, times)


@pytest.mark.sound
@pytest.mark.parametrize("decibels", [12.0, 20.0, 35.0])
@pytest.mark.parametrize("noisy", [False, True])
def test_a_soft_voice_is_heard_from_its_first_word(noisy: bool, decibels: float, narration: Narration) -> None:
    if noisy and not deepfilter.available():
        pytest.skip("the denoiser is not installed")
    sound = beside_a_compressor(narration) if noisy else narration[0]
    usual, soft = Spanner(), Spanner()
    heard(usual, sound)
    found = heard(soft, softer(sound, decibels))
    assert heard_share(found, narration[1]) > 0.97
    assert found[0].speaks < narration[1][0][0] + 0.3
    assert all(one.t1 <= other.t0 for one, other in pairwise(found))
    assert soft.speech_level == pytest.approx(usual.speech_level - decibels, abs=4.0)
    assert soft.room_level == pytest.approx(usual.room_level - decibels, abs=4.0) or not noisy


@pytest.mark.sound
def test_whoever_speaks_up_after_a_soft_voice_is_heard_at_their_own_level(narration: Narration) -> None:
    sound, times = narration
    spanner = Spanner()
    found = heard(spanner, np.concatenate([softer(sound, 30.0), sound]))
    assert spanner.speech_level > -30.0
    later = [(a + len(sound) / RATE, b + len(sound) / RATE) for a, b in times]
    assert heard_share(found, times) > 0.97
    assert heard_share(found, later) > 0.95


def room_alone(noise: str, decibels: float) -> Samples:
    room = noises.NOISES[noise](20 * RATE, np.random.default_rng(3))
    return (room / np.std(room) * 10.0 ** (decibels / 20.0)).astype(np.float32)


@pytest.mark.parametrize("noise", ["compressor", "pink"])
@pytest.mark.parametrize("decibels", [-45.0, -65.0])
def test_a_steady_room_is_not_brought_up(noise: str, decibels: float) -> None:
    spanner = Spanner(Setting(denoiser=False))
    assert heard(spanner, room_alone(noise, decibels)) == []
    assert spanner.gain == 0.0


@pytest.mark.sound
@pytest.mark.parametrize("noise", ["impact", "clatter"])
@pytest.mark.parametrize("decibels", [-45.0, -65.0])
def test_whoever_begins_after_soft_knocks_is_heard_at_once(noise: str, decibels: float, narration: Narration) -> None:
    """Knocks may be taken for a soft voice; that must cost the person nothing."""
    sound, times = narration
    spanner = Spanner()
    found = heard(spanner, np.concatenate([room_alone(noise, decibels), sound]))
    assert heard_share(found, [(a + 20.0, b + 20.0) for a, b in times]) > 0.97
    assert spanner.speech_level > -28.0


@pytest.mark.sound
def test_a_softer_radio_is_brought_up_once_at_most(narration: Narration, radio: Samples) -> None:
    """Until the person speaks, who is heard all along."""
    sound, times = narration
    first = round(times[0][0] * RATE)
    beside = np.concatenate([np.zeros(20 * RATE, np.float32), sound[first:]])
    later = [(a + 20.0 - times[0][0], b + 20.0 - times[0][0]) for a, b in times]
    beside = beside + np.resize(noises.mix(sound, radio, 25.0, times) - sound, len(beside))
    spanner, gains, found = Spanner(), [0.0], []
    for at in range(0, len(beside), 1_600):
        found += spanner.feed(beside[at : at + 1_600])
        if spanner.gain != gains[-1]:
            gains.append(spanner.gain)
    assert len(gains) <= 3
    assert heard_share(found + spanner.finish(), later) > 0.95


@pytest.mark.sound
def test_a_soft_voice_that_says_little_is_brought_up_in_the_end(narration: Narration) -> None:
    """A word or two now and then, as one reads off a gauge."""
    sound, times = narration
    silence = np.zeros(6 * RATE, np.float32)
    said = [sound[round(a * RATE) : round(min(a + 1.0, b) * RATE)] for a, b in times[:6]]
    spanner = Spanner()
    found = heard(spanner, softer(np.concatenate([piece for one in said for piece in (silence, one)]), 35.0))
    assert spanner.gain > 20.0
    assert len(found) >= 4


@pytest.mark.sound
def test_the_microphone_may_be_turned_down_later(narration: Narration) -> None:
    sound, times = narration
    pause = np.zeros(200 * RATE, np.float32)
    spanner = Spanner(Setting(denoiser=False))
    found = heard(spanner, np.concatenate([sound, pause, softer(sound, 40.0)]))
    behind = (len(sound) + len(pause)) / RATE
    assert heard_share(found, [(a + behind, b + behind) for a, b in times]) > 0.95


@pytest.mark.sound
def test_a_known_soft_voice_is_brought_up_from_the_start(narration: Narration) -> None:
    """Before there is enough of it to tell."""
    sound, times = narration
    start = softer(sound, 38.0)[: round((times[0][0] + 1.0) * RATE)]
    assert heard(Spanner(), start) == []
    found = heard(Spanner(Setting(speech_level=-60.0)), start)
    assert [span.speaks for span in found] == [pytest.approx(times[0][0], abs=0.3)]
