"""Sound files of every kind, and those that are none."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from benchvoice.audio.blocks import RATE, cut, from_pcm, level, to_pcm
from benchvoice.audio.files import probe, read_blocks
from benchvoice.errors import SoundError


def tone(rate: int, seconds: float, channels: int = 1) -> np.ndarray:
    wave = 0.5 * np.sin(2 * np.pi * 440 * np.arange(int(rate * seconds)) / rate)
    return np.repeat(wave[:, None], channels, axis=1).astype(np.float32)


@pytest.mark.parametrize("kind", ["wav", "flac", "ogg"])
@pytest.mark.parametrize("rate", [8_000, 16_000, 44_100, 48_000])
@pytest.mark.parametrize("channels", [1, 2])
def test_any_rate_and_channels(tmp_path: Path, kind: str, rate: int, channels: int) -> None:
    path = tmp_path / f"a.{kind}"
    soundfile.write(path, tone(rate, 2.0, channels), rate)
    sound = np.concatenate(list(read_blocks(path)))
    assert abs(len(sound) - 2 * RATE) <= 0.01 * RATE
    assert level(sound[2_000:-2_000]) == pytest.approx(-9.03, abs=0.5)
    crossings = np.count_nonzero(np.diff(np.signbit(sound[4_000:20_000])))
    assert crossings / 2 == pytest.approx(440, abs=3), "a tone of 440 Hz stays one"


def test_probe_tells_the_header(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, tone(44_100, 1.5, 2), 44_100)
    info = probe(path)
    assert (info.rate, info.channels, info.seconds) == (44_100, 2, pytest.approx(1.5, abs=0.001))


def test_blocks_are_short_however_long_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, tone(16_000, 20.0), 16_000)
    assert max(len(block) for block in read_blocks(path)) <= RATE


def one_line(error: SoundError) -> str:
    text = str(error)
    assert "\n" not in text
    return text


def test_missing_empty_folder_and_text(tmp_path: Path) -> None:
    (tmp_path / "empty.wav").touch()
    (tmp_path / "words.wav").write_text("this is no sound at all " * 50)
    soundfile.write(tmp_path / "silent.wav", np.zeros((0, 1)), 16_000)
    for name, word in (("none.wav", "no sound file"), ("empty.wav", "empty"), (".", "folder"), ("words.wav", "read")):
        with pytest.raises(SoundError) as caught:
            list(read_blocks(tmp_path / name))
        assert word in one_line(caught.value)
    with pytest.raises(SoundError, match="no sound"):
        list(read_blocks(tmp_path / "silent.wav"))


def test_a_truncated_flac_gives_what_is_there_and_says_so(tmp_path: Path) -> None:
    path = tmp_path / "a.flac"
    rng = np.random.default_rng(1)
    soundfile.write(path, (0.1 * rng.standard_normal(10 * RATE)).astype(np.float32), RATE)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) * 6 // 10])
    got: list[int] = []
    with pytest.raises(SoundError, match="breaks off") as caught:
        got.extend(len(block) for block in read_blocks(path))
    assert sum(got) > 4 * RATE
    one_line(caught.value)


def test_numbers_that_are_none_become_silence(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    sound = tone(16_000, 1.0)
    sound[100:200] = np.nan
    sound[300] = np.inf
    soundfile.write(path, sound, 16_000, subtype="FLOAT")
    out = np.concatenate(list(read_blocks(path)))
    assert np.isfinite(out).all()
    assert not out[100:200].any()


def test_pcm_there_and_back() -> None:
    sound = tone(16_000, 0.1)[:, 0]
    assert np.abs(from_pcm(to_pcm(sound)) - sound).max() < 1e-4
    assert from_pcm(to_pcm(np.array([3.0, -3.0], np.float32))).tolist() == [1.0, -1.0]


@pytest.mark.parametrize("sizes", [[5, 3, 12], [1] * 20, [20]])
def test_cutting_keeps_every_sample(sizes: list[int]) -> None:
    sound = np.arange(20, dtype=np.float32)
    pieces = np.split(sound, np.cumsum(sizes)[:-1])
    out = list(cut(pieces, 8))
    assert [len(block) for block in out] == [8, 8, 4]
    assert np.concatenate(out).tolist() == sound.tolist()
