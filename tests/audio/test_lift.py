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


@pytest.mark.parametrize("decibels", [-50.0, -70.0])
def test_a_room_alone_is_not_brought_up(decibels: float) -> None:
    spanner = Spanner(Setting(denoiser=False))
    room = noises.pink(20 * RATE, np.random.default_rng(3))
    assert heard(spanner, room / np.float32(np.std(room)) * np.float32(10.0 ** (decibels / 20.0))) == []
    assert spanner.speech_level == Setting().speech_level


@pytest.mark.sound
def test_a_known_soft_voice_is_brought_up_from_the_start(narration: Narration) -> None:
    """Before there is enough of it to tell."""
    sound, times = narration
    start = softer(sound, 28.0)[: round((times[0][0] + 1.0) * RATE)]
    assert heard(Spanner(), start) == []
    found = heard(Spanner(Setting(speech_level=-50.0)), start)
    assert [span.speaks for span in found] == [pytest.approx(times[0][0], abs=0.3)]
