"""The sounds of a shop, made by arithmetic. A tool of the demo and of the hearing tests, not a part of the product.

Nothing here was recorded. Each function gives `samples` mono samples at 16 kHz with a root mean square of 1 over the
whole length; `mix` adds one to speech at a stated signal-to-noise ratio.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import signal

RATE = 16_000
Sound = NDArray[np.float32]
Real = NDArray[np.float64]


def pink(samples: int, rng: np.random.Generator) -> Sound:
    """Noise whose power falls by 3 dB an octave, from 20 Hz up."""
    spectrum = np.fft.rfft(rng.standard_normal(samples))
    hertz = np.fft.rfftfreq(samples, 1 / RATE)
    spectrum *= np.where(hertz < 20, 0.0, 1 / np.sqrt(np.maximum(hertz, 20)))
    return _unit(np.fft.irfft(spectrum, samples))


def compressor_hum(samples: int, rng: np.random.Generator) -> Sound:
    """A piston compressor: mains hum and its harmonics, a beat of 14 strokes a second, and air rushing with it."""
    t = np.arange(samples) / RATE
    wander = 1 + 0.003 * np.sin(2 * np.pi * 0.13 * t + rng.uniform(0, 6))
    phase = 2 * np.pi * np.cumsum(60.0 * wander) / RATE
    hum = sum(np.sin(k * phase + rng.uniform(0, 6)) / k**0.8 for k in (1, 2, 3, 4, 5, 6, 8, 10, 12))
    stroke = 0.5 + 0.5 * np.cos(2 * np.pi * np.cumsum(14.2 * wander) / RATE)
    air = signal.sosfilt(_band(250, 3_000), rng.standard_normal(samples))
    return _unit(hum * (0.8 + 0.2 * stroke) + 1.1 * air * stroke**3)


def impact_bursts(samples: int, rng: np.random.Generator) -> Sound:
    """An impact gun in the next bay: bursts of half a second to two seconds, 18 blows a second, ringing steel."""
    out = np.zeros(samples)
    blow = _ring(rng, hertz=(900, 1_700, 2_900, 4_300), seconds=0.05)
    at = int(rng.uniform(0, 1) * RATE)
    while at < samples:
        seconds = rng.uniform(0.5, 2.0)
        for k in range(int(seconds * 18)):
            _add(out, blow * rng.uniform(0.7, 1.0), at + int(k * RATE / 18 + rng.normal(0, 40)))
        at += int((seconds + rng.uniform(1.5, 4.0)) * RATE)
    whine = signal.sosfilt(_band(1_200, 5_000), rng.standard_normal(samples))
    return _unit(out + 0.01 * whine)


def clatter(samples: int, rng: np.random.Generator) -> Sound:
    """Tools set down, a socket dropped, a drawer: single ringing knocks, about one in two seconds."""
    out = np.zeros(samples)
    at = 0
    while at < samples:
        hertz = tuple(rng.uniform(700, 5_000, size=4))
        _add(out, _ring(rng, hertz=hertz, seconds=rng.uniform(0.05, 0.3)) * rng.uniform(0.2, 1.0), at)
        at += int(rng.exponential(2.0) * RATE) + 1
    return _unit(out + 1e-3 * rng.standard_normal(samples))


def radio(samples: int, rng: np.random.Generator, talk: Sequence[Sound]) -> Sound:
    """Somebody else's talk through a small loudspeaker across the room: `talk` in turn, 300 to 3,400 Hz."""
    out = np.zeros(samples)
    at, k = int(rng.uniform(0, 1) * RATE), int(rng.integers(len(talk)))
    while at < samples:
        _add(out, talk[k % len(talk)].astype(np.float64), at)
        at += talk[k % len(talk)].size + int(rng.uniform(0.2, 0.7) * RATE)
        k += 1
    return _unit(echo(signal.sosfilt(_band(300, 3_400), out).astype(np.float32), rng, seconds=0.4, wet=0.5))


def echo(sound: Sound, rng: np.random.Generator, *, seconds: float = 0.8, wet: float = 0.35) -> Sound:
    """`sound` in a hard room: a decaying tail that falls by 60 dB in `seconds`; the sound's own level is kept."""
    t = np.arange(int(seconds * RATE)) / RATE
    tail = rng.standard_normal(t.size) * 10 ** (-3 * t / seconds)
    tail[: RATE // 125] = 0.0
    tail *= wet / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    out = signal.fftconvolve(sound, tail)[: sound.size]
    return (out * (rms(sound) / max(rms(out), 1e-12))).astype(np.float32)


NOISES: dict[str, Callable[[int, np.random.Generator], Sound]] = {
    "pink": pink,
    "compressor": compressor_hum,
    "impact": impact_bursts,
    "clatter": clatter,
}


def mix(speech: Sound, noise: Sound, decibels: float, spans: Sequence[tuple[float, float]] = ()) -> Sound:
    """Speech plus noise, `decibels` apart.

    The speech's power is taken over `spans` (seconds; all of it if there are none), so that pauses don't lower it; the
    noise's over its whole length. The noise is scaled, then the sum if it would clip.
    """
    voiced = np.concatenate([speech[int(a * RATE) : int(b * RATE)] for a, b in spans]) if spans else speech
    gain = rms(voiced) / rms(noise) * 10 ** (-decibels / 20)
    out = speech + np.float32(gain) * noise[: speech.size]
    peak = float(np.max(np.abs(out), initial=0.0))
    return (out * (0.98 / peak) if peak > 0.98 else out).astype(np.float32)


def rms(sound: NDArray[np.floating]) -> float:
    return float(np.sqrt(np.mean(np.square(sound, dtype=np.float64)))) if sound.size else 0.0


def _unit(sound: Real) -> Sound:
    return (sound / max(rms(sound), 1e-12)).astype(np.float32)


def _band(low: float, high: float) -> Real:
    return signal.butter(2, (low, high), "bandpass", fs=RATE, output="sos")


def _ring(rng: np.random.Generator, *, hertz: Sequence[float], seconds: float) -> Real:
    """A struck piece of steel: a click and a few decaying tones."""
    t = np.arange(int(6 * seconds * RATE)) / RATE
    tones = sum(
        np.sin(2 * np.pi * f * t + rng.uniform(0, 6)) * np.exp(-t / seconds / (1 + k)) for k, f in enumerate(hertz)
    )
    return np.asarray(tones + 2 * rng.standard_normal(t.size) * np.exp(-t / 0.004))


def _add(out: Real, piece: Real, at: int) -> None:
    piece = piece[: max(0, out.size - at)]
    if at >= 0:
        out[at : at + piece.size] += piece
