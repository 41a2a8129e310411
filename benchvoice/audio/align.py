"""Where a sitting lies in a film: offset and drift between two recordings of the same room.

Two steps. The coarse one slides the loudness pattern (band energies, 50 frames a second) of a few minutes of the
journal over the whole film. The fine one takes short windows all along the hour, finds the delay of each by generalised
cross-correlation with phase transform (Knapp and Carter 1976, from memory) near the coarse place, and lays a straight
line through the delays that agree: its height is the offset, its slope the drift of one clock against the other.

Everything is at a rate of 8 kHz, where speech has its strength and an hour stays small.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import soxr
from numpy.typing import NDArray
from scipy import fft, signal

from benchvoice.audio.blocks import RATE, Samples
from benchvoice.errors import SoundError

FINE_RATE = 8_000
FRAME_RATE = 50
BANDS = ((150, 400), (400, 900), (900, 1_800), (1_800, 3_500))
WINDOW_SECONDS = 16.0
STEP_SECONDS = 30.0
SEARCH_SECONDS = 0.75
"""A window is looked for this far on either side of its coarse place: an hour at 100 ppm moves it by 0.36 s."""
COARSE_SECONDS = 240.0
MOST_DRIFT = 500e-6
"""Clocks of sound devices are tens of parts in a million apart; more is no drift but another recording."""

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Alignment:
    """Film time = offset + t * (1 + drift), t in seconds of the sitting.

    score is the share of windows that lie on the line, 0..1; spread their median distance from it in seconds.
    """

    offset: float
    drift: float
    score: float
    spread: float
    windows: int

    def film_time(self, t: float) -> float:
        return self.offset + t * (1.0 + self.drift)


def align(
    journal: Samples, film: Samples, *, on_progress: Callable[[float], None] | None = None, start: float = 0.0
) -> Alignment:
    """Find the journal's sound in the film's. Both mono at RATE; `start` is the sitting's time of the first sample.

    Raises SoundError if they have too little in common, so that a wrong place is never given for a right one.
    """
    tell = on_progress or (lambda share: None)
    if len(journal) < RATE or len(film) < RATE:
        raise SoundError("There is too little sound to align.", hint="At least some seconds with talk are needed.")
    here, there = _down(journal), _down(film)
    tell(0.15)
    coarse = _coarse(here, there)
    tell(0.4)
    times, delays, weights = _delays(here, there, coarse, lambda share: tell(0.4 + 0.55 * share))
    found = _line(times, delays, weights)
    tell(1.0)
    if found is None:
        raise SoundError(
            "The two recordings don't seem to be of the same time and room.",
            hint="Give the film of this sitting, with its sound.",
        )
    offset, drift, score, spread = found
    # The line is over the journal's own seconds; the sitting's begin `start` earlier.
    return Alignment(offset=offset - start * (1 + drift), drift=drift, score=score, spread=spread, windows=len(times))


def _down(sound: Samples) -> Samples:
    """At FINE_RATE, without what lies below speech: rumble and mains hum are the same everywhere and tell nothing."""
    low = np.asarray(soxr.resample(sound, RATE, FINE_RATE, quality="HQ"), dtype=np.float32)
    sos = signal.butter(4, 150, "highpass", fs=FINE_RATE, output="sos")
    return np.asarray(signal.sosfilt(sos, low), dtype=np.float32)


def _pattern(sound: Samples) -> Real:
    """Logarithms of the bands' energies, frames by bands, each band with its slow changes taken out."""
    hop = FINE_RATE // FRAME_RATE
    rows = []
    for band in BANDS:
        sos = signal.butter(2, band, "bandpass", fs=FINE_RATE, output="sos")
        power = np.square(signal.sosfilt(sos, sound))
        frames = power[: len(power) - len(power) % hop].reshape(-1, hop).mean(axis=1)
        logs = np.log(frames + 1e-10)
        slow = signal.fftconvolve(logs, np.full(101, 1 / 101), mode="same")
        rows.append(logs - slow)
    return np.stack(rows)


def _coarse(here: Samples, there: Samples) -> list[tuple[float, float]]:
    """Likely offsets in seconds with their strength, strongest first: pieces of the journal vote."""
    mine, theirs = _pattern(here), _pattern(there)
    size = min(mine.shape[1], round(COARSE_SECONDS * FRAME_RATE))
    starts = np.unique(np.linspace(0, mine.shape[1] - size, num=max(1, min(5, mine.shape[1] // size))).astype(int))
    votes: list[tuple[float, float]] = []
    for start in starts:
        curve = np.zeros(theirs.shape[1] + size - 1)
        for k in range(len(BANDS)):
            piece = mine[k, start : start + size]
            curve += signal.fftconvolve(theirs[k], piece[::-1])
        strength = curve / (np.std(curve) + 1e-12)
        for _ in range(3):
            peak = int(np.argmax(strength))
            votes.append(((peak - (size - 1) - start) / FRAME_RATE, float(strength[peak])))
            strength[max(0, peak - FRAME_RATE) : peak + FRAME_RATE] = -np.inf
    merged: list[tuple[float, float]] = []
    for offset, _ in sorted(votes, key=lambda vote: -vote[1]):
        if all(abs(offset - other) > 1.0 for other, _ in merged):
            merged.append((offset, sum(s for o, s in votes if abs(o - offset) <= 1.0)))
    return sorted(merged, key=lambda vote: -vote[1])[:3]


def _delays(
    here: Samples, there: Samples, coarse: list[tuple[float, float]], tell: Callable[[float], None]
) -> tuple[Real, Real, Real]:
    """Middle of each window (journal seconds), its delay to the film, and how clear the peak was."""
    size = round(WINDOW_SECONDS * FINE_RATE)
    size = min(size, len(here))
    step = max(round(STEP_SECONDS * FINE_RATE), 1)
    if len(here) < 20 * step:
        step = max(round(len(here) / 20), FINE_RATE // 2)
    best: tuple[Real, Real, Real] = (np.zeros(0), np.zeros(0), np.zeros(0))
    for rank, (offset, _) in enumerate(coarse):
        rows = []
        for start in range(0, max(1, len(here) - size + 1), step):
            row = _window(here, there, start, size, offset)
            if row is not None:
                rows.append(((start + size / 2) / FINE_RATE, *row))
            tell((rank + start / max(1, len(here))) / len(coarse))
        table = np.array(rows, dtype=np.float64).reshape(-1, 3)
        found: tuple[Real, Real, Real] = (table[:, 0], table[:, 1], table[:, 2])
        line = _line(*found)
        if line is not None and line[2] >= 0.6:
            return found
        if found[0].size and (not best[0].size or found[2].sum() > best[2].sum()):
            best = found
    return best


def _window(here: Samples, there: Samples, start: int, size: int, offset: float) -> tuple[float, float] | None:
    """Delay of one window in seconds and its peak over the rest of the curve, or None if the film has no such part."""
    reach = round(SEARCH_SECONDS * FINE_RATE)
    first = start + round(offset * FINE_RATE) - reach
    if first + size + 2 * reach <= 0 or first >= len(there):
        return None
    low, high = max(0, first), min(len(there), first + size + 2 * reach)
    if high - low < size // 2:
        return None
    film = np.zeros(size + 2 * reach, np.float32)
    film[low - first : high - first] = there[low:high]
    piece = here[start : start + size]
    if float(np.max(np.abs(piece), initial=0.0)) < 1e-5:
        return None
    length = fft.next_fast_len(size + len(film), real=True)
    cross = fft.rfft(film, length) * np.conj(fft.rfft(piece, length))
    # Whitened by half: full whitening lifts the bands that hold only noise to the height of the talk.
    cross /= np.abs(cross) ** 0.75 + 1e-12
    curve = fft.irfft(cross, length)[: 2 * reach + 1]
    peak = int(np.argmax(np.abs(curve)))
    clear = float(np.abs(curve[peak]) / (np.std(curve) + 1e-12))
    return (first - start + peak + _between(np.abs(curve), peak)) / FINE_RATE, clear


def _between(curve: Real, peak: int) -> float:
    """Where a parabola through the peak and its neighbours has its top, -0.5..0.5."""
    if not 0 < peak < len(curve) - 1:
        return 0.0
    a, b, c = curve[peak - 1], curve[peak], curve[peak + 1]
    bend = a - 2 * b + c
    return float(np.clip(0.5 * (a - c) / bend, -0.5, 0.5)) if bend < 0 else 0.0


def _line(times: Real, delays: Real, clear: Real) -> tuple[float, float, float, float] | None:
    """Offset, drift, share of windows on the line and their spread. None if too few windows agree.

    Every pair of windows proposes a line; the one that most windows lie within 5 ms of wins and is then fitted to
    those by least squares. This stands up to more than half of the windows being wrong.
    """
    good = clear >= 6.0
    t, d = times[good], delays[good]
    if t.size < 2:
        return None
    near = 0.005
    rng = np.random.default_rng(0)
    pairs = _pairs(t.size, rng)
    best = np.zeros(t.size, bool)
    for a, b in pairs:
        if t[a] == t[b]:
            continue
        slope = (d[b] - d[a]) / (t[b] - t[a])
        if abs(slope) > MOST_DRIFT:
            continue
        close = np.abs(d - d[a] - slope * (t - t[a])) <= near
        if close.sum() > best.sum():
            best = close
    if best.sum() < max(2, 0.25 * times.size):
        return None
    slope, height = (
        np.polyfit(t[best], d[best], 1) if t[best].max() - t[best].min() > 20.0 else (0.0, np.median(d[best]))
    )
    spread = float(np.median(np.abs(d[best] - height - slope * t[best])))
    return float(height), float(slope), float(best.sum() / times.size), spread


def _pairs(count: int, rng: np.random.Generator) -> list[tuple[int, int]]:
    every = [(a, b) for a in range(count) for b in range(a + 1, count)]
    if len(every) <= 4_000:
        return every
    return [every[k] for k in rng.choice(len(every), 4_000, replace=False)]
