"""Loudness, silence, sleep and disk space, told from numbers alone."""

from __future__ import annotations

import numpy as np
import pytest

from benchvoice.audio import tones, watch

RATE = 16_000


def tone(seconds: float, amplitude: float) -> np.ndarray:
    t = np.arange(round(seconds * RATE)) / RATE
    return (amplitude * np.sin(2 * np.pi * 440 * t)).astype(np.float32)


def test_meter_reads_a_sine() -> None:
    seen = watch.Meter(RATE).see(tone(1.0, 0.5))
    assert seen.peak == pytest.approx(-6.02, abs=0.05)
    assert seen.rms == pytest.approx(-9.03, abs=0.05)  # a sine's r.m.s. lies 3.01 dB below its peak
    assert not seen.clipping


def test_meter_falls_slowly_and_holds_the_clipping_sign() -> None:
    meter = watch.Meter(RATE, hold=0.95, fall=20.0)
    assert meter.see(np.clip(tone(0.1, 3.0), -1, 1)).clipping
    quiet = [meter.see(tone(0.1, 0.0)) for _ in range(12)]
    assert quiet[0].peak == pytest.approx(-2.0, abs=0.01)
    assert [moment.clipping for moment in quiet] == [True] * 9 + [False] * 3
    assert meter.clipped_samples > 100


def test_a_single_knock_is_not_clipping() -> None:
    block = tone(0.1, 0.1)
    block[7] = 1.0
    assert not watch.Meter(RATE).see(block).clipping


def test_silence_is_told_once_until_something_is_heard() -> None:
    silence = watch.SilenceWatch(300.0)
    silence.heard(10.0)
    assert [silence.due(t) for t in (200.0, 309.9, 310.0, 400.0, 9000.0)] == [False, False, True, False, False]
    silence.heard(9001.0)
    assert [silence.due(t) for t in (9300.0, 9301.0)] == [False, True]


def test_sleep_shows_as_the_clock_that_stood_still() -> None:
    sleep = watch.SleepWatch(100.0, 500.0)
    assert sleep.slept(101.0, 501.0) == 0.0
    assert sleep.slept(102.0, 4102.0) == pytest.approx(3600.0)
    assert sleep.slept(103.0, 4103.2) == 0.0


def test_space_warns_and_stops_in_time() -> None:
    space = watch.SpaceWatch(32_000, keep=10_000_000)
    assert space.look(10_000_000 + 32_000 * 60 * 20).low is False
    late = space.look(10_000_000 + 32_000 * 60 * 14)
    assert (late.low, late.out) == (True, False)
    assert late.minutes == pytest.approx(14.0)
    assert space.look(9_999_999).out


@pytest.mark.parametrize("name", list(tones.Tone))
def test_tones_are_short_soft_ended_and_distinct(name: tones.Tone) -> None:
    sound = tones.samples(name)
    assert 0.1 <= len(sound) / tones.RATE <= 1.0
    assert 0.1 < float(np.max(np.abs(sound))) <= 0.5
    assert abs(float(sound[0])) < 0.01
    assert abs(float(sound[-1])) < 0.01
    others = [tones.samples(other) for other in tones.Tone if other is not name]
    assert all(len(other) != len(sound) or not np.allclose(other, sound, atol=0.05) for other in others)
