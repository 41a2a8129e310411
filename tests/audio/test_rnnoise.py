"""RNNoise by blocks against the Python layer that comes with its package, and against somebody else's voice."""

from __future__ import annotations

import _ctypes
import sys
from pathlib import Path

import numpy as np
import pytest
import soxr

from benchvoice.audio import deepfilter, denoise, rnnoise
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.rnnoise import HOP, RNNoise
from benchvoice.audio.spans import spans
from benchvoice.errors import SoundError
from demo_audio import noises

pytestmark = pytest.mark.skipif(not rnnoise.available(), reason="the denoiser of voices is not installed")
SECONDS = 12
Narration = tuple[Samples, list[tuple[float, float]]]


@pytest.fixture(scope="module")
def wide(narration: Narration, radio: Samples) -> Samples:
    """Somebody talks beside a radio 15 dB softer: 16-bit samples as frames of HOP at 48 kHz."""
    mixed = noises.mix(narration[0], radio, 15.0, narration[1])[: SECONDS * RATE]
    up = soxr.resample(mixed, RATE, rnnoise.RATE)
    return (np.round(up[: len(up) // HOP * HOP] * 32767) / 32767).astype(np.float32).reshape(-1, HOP)


def through(frames: Samples, size: int) -> Samples:
    made = RNNoise()
    return np.concatenate([made.through(frames[at : at + size]) for at in range(0, len(frames), size)])


def test_it_is_what_the_package_makes_of_it(wide: Samples) -> None:
    """To one step of 16 bits: the package's own layer takes and gives whole ones."""
    from pyrnnoise import rnnoise as package

    state = package.create()
    pcm = np.round(wide * 32767).astype(np.int16)
    theirs = np.stack([package.process_mono_frame(state, frame)[0] for frame in pcm])
    package.destroy(state)
    ours = through(pcm.astype(np.float32) / np.float32(32768), 10) * 32768
    assert np.abs(ours - theirs).max() <= 1.0


@pytest.mark.parametrize("size", [1, 64])
def test_blocks_of_any_size_give_the_same(wide: Samples, size: int) -> None:
    some = wide[:300].copy()
    assert np.array_equal(through(some, size), through(some, 10))
    assert np.array_equal(some, wide[:300])


def test_silence_stays_silence() -> None:
    out = through(np.zeros((200, HOP), np.float32), 10)
    assert np.isfinite(out).all()
    assert np.abs(out).max() < 1e-6


def test_both_denoisers_take_the_same_frames() -> None:
    assert (rnnoise.RATE, rnnoise.HOP) == (deepfilter.RATE, deepfilter.HOP)


def test_it_takes_a_softer_voice_away_that_the_other_denoiser_leaves(narration: Narration, radio: Samples) -> None:
    """Between the sentences less than half of that; the person's own voice keeps its power."""
    mixed, times = noises.mix(narration[0], radio, 15.0, narration[1]), narration[1]
    at = np.arange(len(mixed)) / RATE
    talks = np.any([(at > t0) & (at < t1) for t0, t1 in times], axis=0)
    still = np.all([(at < t0 - 0.1) | (at > t1 + 0.3) for t0, t1 in times], axis=0) & (at > 3.0)
    left, kept = {}, {}
    for voices in (False, True):
        denoiser = denoise.Denoiser(voices=voices)
        clean = np.concatenate([denoiser.feed(mixed), denoiser.finish()])
        assert len(clean) == len(mixed)
        left[voices] = float(np.mean(clean[still] ** 2))
        kept[voices] = float(np.mean(clean[talks] ** 2))
    assert left[True] < 0.5 * left[False]
    assert kept[True] > max(kept[False], 0.3 * float(np.mean(mixed[talks] ** 2)))


@pytest.mark.parametrize("what", ["gone", "strange", "another"])
def test_a_library_that_can_not_be_read_is_said_and_gone_without(
    what: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, narration: Narration, radio: Samples
) -> None:
    library = tmp_path / "pyrnnoise" / "librnnoise.so"
    library.parent.mkdir()
    (tmp_path / "pyrnnoise" / "__init__.py").touch()
    if what == "strange":
        library.write_bytes(b"not a library")
    elif what == "another":
        library.write_bytes(Path(_ctypes.__file__).read_bytes())
    monkeypatch.syspath_prepend(str(tmp_path))
    for name in ("pyrnnoise", "pyrnnoise.rnnoise", "pyrnnoise.pyrnnoise"):
        monkeypatch.delitem(sys.modules, name, raising=False)
    with pytest.raises(SoundError, match="denoiser of voices is missing"):
        RNNoise()
    assert not rnnoise.available()
    assert list(spans([noises.mix(narration[0], radio, 15.0, narration[1])[: 12 * RATE]]))
