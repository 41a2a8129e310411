"""An hour of journal and an hour of film of the same room: 30 ppm of drift, an echo, and noise at 10 dB."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
import soundfile
import soxr

from benchvoice import resources
from benchvoice.audio.align import align
from demo_audio import noises
from tests.faults.table import Row

RATE = 16_000
MOST = 0.020


def talk(seconds: float, rng: np.random.Generator, pause: float = 5.0) -> noises.Sound:
    """Talk with pauses that never repeats: the demo's narration in random order, about `pause` seconds apart."""
    with soundfile.SoundFile(str(resources.folder("demo_audio") / "orchard-truck-six.flac")) as sound:
        voice = sound.read(dtype="float32")
    out = np.zeros(round(seconds * RATE), np.float32)
    at = 0
    while at < out.size - 5 * RATE:
        start = int(rng.integers(0, voice.size - 4 * RATE))
        out[at : at + 4 * RATE] = voice[start : start + 4 * RATE]
        at += round((4 + rng.exponential(pause)) * RATE)
    return out


def run(times: int, work: Path, *, seconds: float = 3600.0, ppm: float = 30.0, decibels: float = 10.0) -> Row:
    """`work` is not used: nothing is written."""
    worst, busy = 0.0, 0.0
    good = 0
    for k in range(times):
        rng = np.random.default_rng(20 + k)
        journal = talk(seconds, rng, pause=6.0)
        lead = round(float(rng.uniform(5.0, 600.0)) * RATE)
        film = np.concatenate(
            [np.zeros(lead, np.float32), soxr.resample(journal, RATE, RATE * (1 + ppm * 1e-6), quality="HQ")]
        )
        film = noises.echo(film, rng, wet=0.5)
        film = noises.mix(film, noises.compressor_hum(film.size, rng), decibels)
        journal = noises.mix(journal, noises.pink(journal.size, rng), decibels)
        began = time.process_time()
        found = align(journal, film)
        busy += time.process_time() - began
        errors = [abs(found.film_time(t) - lead / RATE - t * (1 + ppm * 1e-6)) for t in np.linspace(0, seconds, 61)]
        worst = max(worst, *errors)
        good += max(errors) <= MOST
    return Row(
        fault=f"camera aligned: {seconds / 3600:g} h, {ppm:g} ppm, {decibels:g} dB",
        runs=times,
        good=good,
        figures=f"largest error {worst * 1000:.2f} ms, {busy / times:.1f} s of computing each",
    )
