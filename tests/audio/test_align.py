"""A camera's sound is found to a few milliseconds, and never where it isn't."""

from __future__ import annotations

import numpy as np
import pytest
import soxr

from benchvoice.audio.align import align
from benchvoice.errors import SoundError
from demo_audio import noises
from tests.faults.alignment import talk

RATE = 16_000


@pytest.mark.parametrize(("offset", "ppm"), [(41.377, 30.0), (-12.25, -45.0), (0.0, 0.0)])
def test_ten_minutes_in_noise_and_echo(offset: float, ppm: float) -> None:
    rng = np.random.default_rng(3)
    sound = talk(600, rng)
    film = soxr.resample(sound, RATE, RATE * (1 + ppm * 1e-6), quality="HQ")
    lead = round(offset * RATE)
    film = np.concatenate([np.zeros(max(0, lead), np.float32), film[max(0, -lead) :]])
    film = noises.mix(noises.echo(film, rng, wet=0.5), noises.compressor_hum(film.size, rng), 10.0)
    journal = noises.mix(sound, noises.pink(sound.size, rng), 10.0)
    found = align(journal, film)
    for t in (20.0, 300.0, 590.0):
        assert found.film_time(t) == pytest.approx(lead / RATE + t * (1 + ppm * 1e-6), abs=0.005)
    assert found.score > 0.6


def test_a_journal_that_starts_later_keeps_the_sittings_time() -> None:
    sound = talk(120, np.random.default_rng(8))
    found = align(sound[30 * RATE :], sound, start=30.0)
    assert found.film_time(75.0) == pytest.approx(75.0, abs=0.002)


def test_another_film_is_refused() -> None:
    journal, film = talk(300, np.random.default_rng(1)), noises.pink(300 * RATE, np.random.default_rng(2)) * 0.05
    with pytest.raises(SoundError, match="same time and room"):
        align(journal, film)


def test_too_little_sound_is_refused() -> None:
    with pytest.raises(SoundError, match="too little"):
        align(np.zeros(100, np.float32), np.zeros(RATE * 5, np.float32))
