"""The rooms that hearing is measured in are what they are said to be."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from demo_audio import noises

RATE = noises.RATE
SPANS = [(0.5, 2.0), (3.0, 5.5)]


def speechlike(rng: np.random.Generator) -> noises.Sound:
    """Tone complexes in two spans of six seconds, silence elsewhere."""
    t = np.arange(6 * RATE) / RATE
    tone = sum(np.sin(2 * np.pi * f * t) for f in (180, 360, 900, 1500)) * 0.02
    gate = sum(((t >= a) & (t < b)) for a, b in SPANS)
    return (tone * gate).astype(np.float32)


def decibels(ratio: float) -> float:
    return 20 * float(np.log10(ratio))


@pytest.mark.parametrize("name", sorted(noises.NOISES))
@pytest.mark.parametrize("level", [20.0, 5.0])
def test_mix_has_the_stated_ratio(name: str, level: float) -> None:
    rng = np.random.default_rng(7)
    speech = speechlike(rng)
    mixed = noises.mix(speech, noises.NOISES[name](speech.size, rng), level, SPANS)
    scale = 1.0
    if float(np.max(np.abs(mixed))) >= 0.979:  # scaled down as a whole: the speech's share is found by projection
        scale = float(mixed @ speech / (speech @ speech))
    voiced = np.concatenate([speech[int(a * RATE) : int(b * RATE)] for a, b in SPANS]) * scale
    noise = mixed - scale * speech
    assert decibels(noises.rms(voiced) / noises.rms(noise)) == pytest.approx(level, abs=0.3)


@pytest.mark.parametrize("name", sorted(noises.NOISES))
def test_noise_has_unit_power_and_repeats_from_its_seed(name: str) -> None:
    first = noises.NOISES[name](4 * RATE, np.random.default_rng(3))
    again = noises.NOISES[name](4 * RATE, np.random.default_rng(3))
    other = noises.NOISES[name](4 * RATE, np.random.default_rng(4))
    assert noises.rms(first) == pytest.approx(1.0, abs=1e-3)
    assert np.array_equal(first, again)
    assert not np.allclose(first, other)


def test_pink_falls_three_decibels_an_octave() -> None:
    hertz, power = signal.welch(noises.pink(60 * RATE, np.random.default_rng(1)), RATE, nperseg=8192)
    bands = [power[(hertz >= f) & (hertz < 2 * f)].mean() for f in (100, 200, 400, 800, 1600, 3200)]
    steps = 10 * np.diff(np.log10(bands))
    assert steps == pytest.approx([-3.01] * 5, abs=0.5)


def test_compressor_hums_at_the_mains_and_its_harmonics() -> None:
    hertz, power = signal.welch(noises.compressor_hum(30 * RATE, np.random.default_rng(1)), RATE, nperseg=16384)
    for line in (60, 120, 180):
        near = power[(hertz > line - 3) & (hertz < line + 3)].max()
        between = power[(hertz > line + 25) & (hertz < line + 35)].mean()
        assert near > 20 * between


def test_radio_keeps_to_the_loudspeaker_band() -> None:
    rng = np.random.default_rng(2)
    talk = [rng.standard_normal(2 * RATE).astype(np.float32) for _ in range(3)]
    hertz, power = signal.welch(noises.radio(20 * RATE, rng, talk), RATE, nperseg=4096)
    inside = power[(hertz > 400) & (hertz < 3000)].mean()
    assert power[hertz < 100].mean() < inside / 50
    assert power[hertz > 6000].mean() < inside / 50


def test_echo_keeps_the_level_and_rings_on() -> None:
    rng = np.random.default_rng(5)
    sound = np.zeros(2 * RATE, np.float32)
    sound[: RATE // 10] = 0.1 * rng.standard_normal(RATE // 10)
    heard = noises.echo(sound, rng, seconds=0.8, wet=0.35)
    assert noises.rms(heard) == pytest.approx(noises.rms(sound), rel=1e-3)
    late = noises.rms(heard[int(0.3 * RATE) : int(0.4 * RATE)])
    later = noises.rms(heard[int(0.7 * RATE) : int(0.8 * RATE)])
    assert late > 0
    assert decibels(late / later) == pytest.approx(60 * 0.4 / 0.8, abs=4)
