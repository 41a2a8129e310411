"""Compares denoisers by what a recogniser makes of their output: `python -m tests.audio.denoisers --work FOLDER`.

Takes tuned narrations in shop noise, cleans each as one stream, cuts out the true spans and decodes them with the
trade's model. Prints word errors and seconds of computing a second of sound. What is not installed is left out
(webrtc-noise-gain is no dependency of ours).
"""

from __future__ import annotations

import argparse
import importlib.util
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr
from rapidfuzz.distance import Levenshtein

from benchvoice.audio import deepfilter, rnnoise
from benchvoice.audio.blocks import RATE, Samples, from_pcm, to_pcm
from benchvoice.audio.denoise import Denoiser
from benchvoice.recognise.language import package, prepare
from benchvoice.recognise.pocketsphinx_engine import _decode, _decoder, _words
from tests.hearing import corpus
from tests.hearing.corpus import Room

Cleaner = Callable[[Samples], Samples]
MARGIN = 0.3


def ours(*, voices: bool) -> Cleaner:
    """As the program cleans: with `voices`, RNNoise is in front of DeepFilterNet."""

    def clean(sound: Samples) -> Samples:
        denoiser = Denoiser(voices=voices)
        return np.concatenate([denoiser.feed(sound), denoiser.finish()])

    return clean


def recurrent(sound: Samples) -> Samples:
    """RNNoise by itself, its delay taken out."""
    wide = soxr.resample(sound, RATE, rnnoise.RATE)
    frames = np.pad(wide, (0, -len(wide) % rnnoise.HOP + rnnoise.DELAY * rnnoise.HOP)).reshape(-1, rnnoise.HOP)
    clean = rnnoise.RNNoise().through(frames)[rnnoise.DELAY :].ravel()
    return np.asarray(soxr.resample(clean, rnnoise.RATE, RATE), np.float32)[: len(sound)]


def webrtc(strength: int) -> Cleaner:
    """The WebRTC suppressor, strength 1 to 4."""
    from webrtc_noise_gain import AudioProcessor

    def clean(sound: Samples) -> Samples:
        processor, pcm = AudioProcessor(0, strength), to_pcm(sound)
        return from_pcm(
            b"".join(processor.Process10ms(pcm[at : at + 320]).audio for at in range(0, len(pcm) - 319, 320))
        )

    return clean


def cleaners() -> dict[str, Cleaner]:
    found: dict[str, Cleaner] = {"none": lambda sound: sound}
    if deepfilter.available():
        found["DeepFilterNet"] = ours(voices=False)
    if rnnoise.available():
        found["RNNoise"] = recurrent
        found["both"] = ours(voices=True)
    if importlib.util.find_spec("webrtc_noise_gain") is not None:
        found |= {f"WebRTC {strength}": webrtc(strength) for strength in (2, 4)}
    return found


def errors(take: corpus.Take, clean: Cleaner, decoder: Any) -> tuple[int, int, float]:
    """Word errors, words, and seconds of computing."""
    sound = np.asarray(soundfile.read(take.path, dtype="float32")[0], np.float32)
    began = time.process_time()
    cleaned = clean(sound)
    cost = time.process_time() - began
    wrong = words = 0
    for (start, end), line in zip(take.spans, take.narration.lines, strict=True):
        if line.domain:
            said = line.say.split()
            _decode(decoder, to_pcm(cleaned[max(0, int((start - MARGIN) * RATE)) : int((end + MARGIN) * RATE)]))
            wrong += Levenshtein.distance(said, [word.text for word in _words(decoder, 0.0)])
            words += len(said)
    return wrong, words, cost


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--work", type=Path, default=Path(".hearing"))
    parser.add_argument("--narrations", type=int, default=4)
    parser.add_argument("--decibels", type=float, default=10.0)
    given = parser.parse_args()
    language, where = prepare(), package()
    decoder = _decoder(where, str(language.mixed), str(language.dictionary))
    voices, told = corpus.speakers(), corpus.load("tuned")[: given.narrations]
    for room in [Room(), *(Room(noise=noise, decibels=given.decibels) for noise in corpus.ROOMS)]:
        for name, clean in cleaners().items():
            takes = [corpus.take(one, voices[i % len(voices)], room, given.work) for i, one in enumerate(told)]
            sums = np.array([errors(take, clean, decoder) for take in takes]).sum(axis=0)
            seconds = sum(take.seconds for take in takes)
            print(
                f"{room.title:18} {name:14} {sums[0] / sums[1]:.3f} word errors, {sums[2] / seconds:.3f} s/s",
                flush=True,
            )


if __name__ == "__main__":
    main()
