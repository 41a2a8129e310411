"""Spans on real sound: the demo's narration, quiet and in noise."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from benchvoice.audio import deepfilter, denoise, rnnoise
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.spans import Setting, Span, Spanner, spans


def heard_share(found: list[Span], times: list[tuple[float, float]]) -> float:
    inside = sum(max(0.0, min(b, span.t1) - max(a, span.t0)) for a, b in times for span in found)
    return inside / sum(b - a for a, b in times)


@pytest.mark.sound
@pytest.mark.parametrize("denoiser", [False, True])
def test_the_spans_hold_all_that_is_said(narration: tuple[Samples, list[tuple[float, float]]], denoiser: bool) -> None:
    if denoiser and not deepfilter.available():
        pytest.skip("the denoiser is not installed")
    sound, times = narration
    found = list(spans(np.array_split(sound, 40), Setting(denoiser=denoiser)))
    assert heard_share(found, times) > 0.98
    assert len(found) >= len(times) * 0.8
    for one, other in pairwise(found):
        assert one.t0 <= one.speaks < one.silent <= one.t1 <= other.t0
    for span in found:
        assert len(span.pcm) == 2 * round((span.t1 - span.t0) * RATE)


@pytest.mark.sound
def test_pieces_of_any_size_give_the_same(narration: tuple[Samples, list[tuple[float, float]]]) -> None:
    sound = narration[0][: 20 * RATE]
    setting = Setting(denoiser=False)

    def cuts(size: int) -> list[tuple[float, float]]:
        pieces = [sound[at : at + size] for at in range(0, len(sound), size)]
        return [(span.t0, span.t1) for span in spans(pieces, setting)]

    assert cuts(1_600) == cuts(8_000) == cuts(16_000)


def test_memory_stays_flat_in_silence_and_in_talk() -> None:
    rng = np.random.default_rng(2)
    spanner = Spanner(Setting(denoiser=False))
    most = 0
    for second in range(600):
        loud = 0.1 if second % 7 else 0.0005
        spanner.feed(rng.normal(0, loud, RATE).astype(np.float32))
        most = max(most, len(spanner._clean) + len(spanner._levels))
    assert most < 40 * RATE


@pytest.mark.sound
def test_a_quiet_room_lets_the_denoiser_rest_and_a_loud_one_does_not(
    narration: tuple[Samples, list[tuple[float, float]]],
) -> None:
    if not deepfilter.available():
        pytest.skip("the denoiser is not installed")
    speech = narration[0][: 8 * RATE]
    rng = np.random.default_rng(3)
    for level, works in ((10 ** (-75 / 20), False), (10 ** (-40 / 20), True)):
        room = rng.normal(0, level, 24 * RATE).astype(np.float32)
        room[-len(speech) :] += 0.7 * speech
        spanner = Spanner()
        for block in np.array_split(room, 240):
            spanner.feed(block)
        assert spanner._cleaner.works is works


@pytest.mark.parametrize("voices", [False, True])
@pytest.mark.parametrize("sizes", [[1_600], [777, 3, 5_000]])
def test_the_denoiser_keeps_place_and_length(
    sizes: list[int], voices: bool, narration: tuple[Samples, list[tuple[float, float]]]
) -> None:
    if not deepfilter.available() or (voices and not rnnoise.available()):
        pytest.skip("the denoiser is not installed")
    sound = narration[0][: 5 * RATE]
    denoiser, out, at, k = denoise.Denoiser(voices=voices), [], 0, 0
    while at < len(sound):
        size = sizes[k % len(sizes)]
        out.append(denoiser.feed(sound[at : at + size]))
        at, k = at + size, k + 1
    clean = np.concatenate([*out, denoiser.finish()])
    assert len(clean) == len(sound)
    lags = range(-200, 201, 4)
    best = max(lags, key=lambda lag: float(np.dot(sound[1_000:-1_000], np.roll(clean, -lag)[1_000:-1_000])))
    assert abs(best) <= 8


def test_an_open_span_is_as_long_as_it_will_be(narration: tuple[Samples, list[tuple[float, float]]]) -> None:
    """Who hears it during the pause hears the same words, then silence that is like the silence so far."""
    spanner = Spanner(Setting(denoiser=False))
    step, looks, closed = RATE // 50, [], []
    for at in range(0, 12 * RATE, step):
        closed += spanner.feed(narration[0][at : at + step])
        look = spanner.so_far()
        if look is not None and spanner.quiet >= 0.15:
            looks.append(look)
    ends = [(span, [look for look in looks if (look.t0, look.silent) == (span.t0, span.silent)]) for span in closed]
    assert len(ends) >= 3
    for span, seen in ends:
        assert len(seen) > 5
        for look in seen:
            assert (len(look.pcm), look.t1) == (len(span.pcm), pytest.approx(span.t1))
            known = round((span.silent + 0.15 - span.t0) * RATE) * 2
            assert look.pcm[:known] == span.pcm[:known]
