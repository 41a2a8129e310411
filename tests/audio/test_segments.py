"""The sound journal is a complete WAV at every moment, and nothing that was written is lost."""

from __future__ import annotations

import errno
import os
import shutil
import stat
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import example, given, settings
from hypothesis import strategies as st

from benchvoice.audio import segments as sj
from benchvoice.audio.blocks import to_pcm
from benchvoice.audio.follow import Follower, read_stretch
from benchvoice.errors import SoundError

RATE = 16_000


def ramp(samples: int, first: int = 0) -> bytes:
    """PCM in which every sample tells its own number."""
    return ((np.arange(first, first + samples) % 30_000) - 15_000).astype("<i2").tobytes()


def test_file_is_an_ordinary_wav_while_it_is_written(tmp_path: Path) -> None:
    writer = sj.SegmentWriter(tmp_path, start=0.0, rate=RATE)
    for k in range(20):
        writer.append(ramp(800, 800 * k))
        copy = shutil.copy(writer.path, tmp_path / "copy.bin")
        with wave.open(str(copy)) as sound:  # the strictest reader at hand: it believes the header alone
            assert sound.getnframes() == 800 * (k + 1)
            assert sound.readframes(10**6) == ramp(800 * (k + 1))
    segment = writer.close()
    assert segment.seconds == 1.0


def test_a_header_behind_its_data_is_played_and_repaired(tmp_path: Path) -> None:
    writer = sj.SegmentWriter(tmp_path, start=0.0, rate=RATE)
    writer.append(ramp(1_600))
    path = writer.path
    with path.open("ab") as file:  # killed between data and header, in the middle of a sample
        file.write(ramp(800, 1_600) + b"\x01")
    with wave.open(str(path)) as sound:
        assert sound.getnframes() == 1_600
    assert [s.samples for s in sj.repair(tmp_path)] == [2_400]
    with wave.open(str(path)) as sound:
        assert sound.readframes(10**6) == ramp(2_400)
    assert path.stat().st_size == sj.HEADER + 4_800


def test_repair_clears_empty_and_half_packed_files(tmp_path: Path) -> None:
    sj.SegmentWriter(tmp_path, start=3.0, rate=RATE)
    (tmp_path / "00000005000.part").write_bytes(b"fLaC half")
    (tmp_path / "00000009000.wav").write_bytes(b"RI")
    assert sj.repair(tmp_path) == []
    assert list(tmp_path.iterdir()) == []


def test_private_to_the_person(tmp_path: Path) -> None:
    folder = sj.folder_for(tmp_path, "sitting")
    writer = sj.SegmentWriter(folder, start=0.0, rate=RATE)
    writer.append(ramp(RATE))
    packed = sj.pack(writer.close())
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(packed.path.stat().st_mode) == 0o600


def test_packing_keeps_every_sample(tmp_path: Path) -> None:
    writer = sj.SegmentWriter(tmp_path, start=1.5, rate=RATE)
    writer.append(ramp(5 * RATE))
    wav = writer.close()
    packed = sj.pack(wav)
    assert packed.path.suffix == ".flac"
    assert not wav.path.exists()
    sound, rate = soundfile.read(packed.path, dtype="int16")
    assert rate == RATE
    assert sound.astype("<i2").tobytes() == ramp(5 * RATE)
    assert sj.segments(tmp_path) == [packed]


def test_packing_that_fails_leaves_the_wav(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    writer = sj.SegmentWriter(tmp_path, start=0.0, rate=RATE)
    writer.append(ramp(RATE))
    segment = writer.close()

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(SoundError):
        sj.pack(segment)
    assert sj.segments(tmp_path) == [segment]
    assert [path.suffix for path in tmp_path.iterdir()] == [".wav"]


def test_two_writers_of_one_segment_are_refused(tmp_path: Path) -> None:
    sj.SegmentWriter(tmp_path, start=0.0, rate=RATE)
    with pytest.raises(FileExistsError):
        sj.SegmentWriter(tmp_path, start=0.0, rate=RATE)


def test_a_segment_never_takes_the_name_of_another(tmp_path: Path) -> None:
    assert sj.free_start(tmp_path, 0.0) == 0.0
    writer = sj.SegmentWriter(tmp_path, start=0.0, rate=RATE)
    writer.append(ramp(1))
    assert sj.free_start(tmp_path, 1 / RATE) == 0.001
    sj.pack(writer.close())
    assert sj.free_start(tmp_path, 1 / RATE) == 0.001


@example(sizes=[1, 1], since=0.0)
@settings(max_examples=30, deadline=None)
@given(sizes=st.lists(st.integers(1, 4_000), min_size=1, max_size=12), since=st.floats(0, 1.0))
def test_follower_gives_everything_once_and_in_order(
    tmp_path_factory: pytest.TempPathFactory, sizes: list[int], since: float
) -> None:
    folder = tmp_path_factory.mktemp("sitting")
    follower = Follower(folder, since=since, longest=0.1)
    writer = sj.SegmentWriter(folder, start=0.0, rate=RATE)
    written, got, first = 0, [], None
    for k, size in enumerate(sizes):
        if k == len(sizes) // 2 and written:
            writer.close()
            writer = sj.SegmentWriter(folder, start=sj.free_start(folder, written / RATE), rate=RATE)
        writer.append(ramp(size, written))
        written += size
        while (piece := follower.read()) is not None:
            first = piece.start if first is None else first
            got.append(to_pcm(piece.samples))
    skipped = round(since * RATE)
    heard = b"".join(got)
    if written > skipped + 16:  # a name's millisecond may hide a few samples at a seam
        assert first == pytest.approx(since, abs=0.002)
        assert abs(len(heard) // 2 - (written - skipped)) <= 16
        assert ramp(written).endswith(heard[-32:])


def test_follower_marks_gaps_and_reads_packed_segments(tmp_path: Path) -> None:
    writer = sj.SegmentWriter(tmp_path, start=0.0, rate=RATE)
    writer.append(ramp(RATE))
    sj.pack(writer.close())
    writer = sj.SegmentWriter(tmp_path, start=1.0, rate=RATE)
    writer.append(ramp(RATE, RATE))
    writer.close()
    writer = sj.SegmentWriter(tmp_path, start=7.0, rate=RATE)
    writer.append(ramp(RATE))
    follower = Follower(tmp_path, longest=1.0)
    pieces = [follower.read() for _ in range(4)]
    assert [(p.start, p.breaks) for p in pieces if p is not None] == [(0.0, True), (1.0, False), (7.0, True)]
    assert pieces[3] is None


def test_a_stretch_over_a_gap_holds_silence(tmp_path: Path) -> None:
    for start in (0.0, 2.0):
        writer = sj.SegmentWriter(tmp_path, start=start, rate=RATE)
        writer.append(ramp(RATE))
        writer.close()
    sound = read_stretch(tmp_path, 0.5, 2.5)
    assert len(sound) == 2 * RATE
    assert to_pcm(sound[: RATE // 2]) == ramp(RATE)[RATE:]
    assert not sound[RATE // 2 : 3 * RATE // 2].any()
    assert to_pcm(sound[3 * RATE // 2 :]) == ramp(RATE // 2)
