"""Hearing files from the command line: real recognition of real sound, and every kind of bad input."""

from __future__ import annotations

import stat
from pathlib import Path

import numpy as np
import pytest
import soundfile

from benchvoice.journal import Journal
from benchvoice.recognise import available
from tests.cli.conftest import Runner

ROOT = Path(__file__).resolve().parents[2]
FERRY = ROOT / "demo_audio" / "ferry-four.flac"


@pytest.fixture(autouse=True)
def one_language_model(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """The language model is made once for these tests, and not for each home of nobody."""
    cache = tmp_path_factory.getbasetemp() / "language-cache"
    cache.mkdir(exist_ok=True)
    monkeypatch.setattr("benchvoice.paths.cache", lambda: cache)


def cut(target: Path, seconds: float, start: float = 0.0) -> Path:
    sound, rate = soundfile.read(FERRY, start=int(start * 16_000), frames=int(seconds * 16_000))
    soundfile.write(target, sound, rate)
    return target


@pytest.mark.sound
def test_what_is_heard_is_printed_kept_and_can_be_heard_again(cli: Runner, tmp_path: Path, home: Path) -> None:
    audio = cut(tmp_path / "talk.wav", 12)
    cli("intake", "E-1", "--layout", "inline", "--cylinders", "4")
    ran = cli("hear", audio, "--engine", "E-1", "--json")
    assert ran.status == 0, ran.err
    assert ran.lines
    best = next(found.name for found in available() if found.usable)
    for n, line in enumerate(ran.lines):
        assert line["n"] == n
        assert line["recogniser"] == best
        assert 0.0 <= line["t0"] < line["t1"] <= 12.0
        assert 0.0 <= line["confidence"] <= 1.0
    with Journal.open() as journal:
        record = journal.record("E-1")
    assert [said.heard.utterance.text for said in record.said.values()] == [line["text"] for line in ran.lines]
    assert len(record.entries) == sum(len(line["findings"]) for line in ran.lines)
    (sitting,) = record.sittings.values()
    assert sitting.closed
    kept = home / sitting.sounds[0].path
    assert kept.read_bytes() == audio.read_bytes()
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    again = cli("hear", audio, "--json")
    assert [line["text"] for line in again.lines] == [line["text"] for line in ran.lines]
    with Journal.open() as journal:
        assert len(journal.record("E-1").sittings) == 1, "no record is touched unless one is named"


@pytest.mark.sound
@pytest.mark.parametrize(
    ("name", "rate", "channels"), [("a.wav", 44_100, 2), ("b.ogg", 48_000, 1), ("c.flac", 8_000, 1)]
)
def test_any_rate_and_number_of_channels(cli: Runner, tmp_path: Path, name: str, rate: int, channels: int) -> None:
    import soxr

    sound, _ = soundfile.read(FERRY, frames=16_000 * 6)
    resampled = soxr.resample(sound, 16_000, rate)
    soundfile.write(tmp_path / name, np.stack([resampled] * channels, axis=1), rate)
    ran = cli("hear", tmp_path / name)
    assert ran.status == 0, ran.err
    assert ran.out


def bad_files(folder: Path) -> dict[str, Path]:
    made = {name: folder / f"{name}.flac" for name in ("empty", "text", "truncated", "silent", "noughts", "header")}
    made["empty"].write_bytes(b"")
    made["text"].write_text("this is no sound at all\n" * 100)
    made["truncated"].write_bytes(FERRY.read_bytes()[:3000])
    made["header"].write_bytes(FERRY.read_bytes()[:60])
    made["noughts"].write_bytes(b"\x00" * 50_000)
    soundfile.write(made["silent"], np.zeros(16_000 * 3), 16_000)
    made["missing"] = folder / "missing.flac"
    made["folder"] = folder
    return made


@pytest.mark.parametrize("name", ["empty", "text", "truncated", "silent", "noughts", "header", "missing", "folder"])
def test_bad_sound_is_one_clear_line_and_nothing_is_lost_or_left(cli: Runner, tmp_path: Path, name: str) -> None:
    cli("intake", "E-1", "--layout", "inline", "--cylinders", "4")
    audio = bad_files(tmp_path)[name]
    ran = cli("hear", audio, "--engine", "E-1", "--json")
    assert (ran.status, ran.out) == (1, "")
    (line,) = ran.err.splitlines()
    assert line.startswith("benchvoice: ")
    assert str(audio) in line
    with Journal.open() as journal:
        record = journal.record("E-1")
        assert not record.said
        assert not record.sittings, "no empty sitting is left behind"


@pytest.mark.sound
def test_what_was_heard_before_a_file_breaks_off_is_kept(cli: Runner, tmp_path: Path) -> None:
    cli("intake", "E-1", "--layout", "inline", "--cylinders", "4")
    audio = tmp_path / "broken.flac"
    audio.write_bytes(FERRY.read_bytes()[:150_000])
    ran = cli("hear", audio, "--engine", "E-1", "--json")
    assert ran.status == 1
    assert len(ran.err.splitlines()) == 1
    with Journal.open() as journal:
        record = journal.record("E-1")
    assert len(record.said) == len(ran.lines) > 0
    assert next(iter(record.sittings.values())).closed


@pytest.mark.parametrize(("name", "says"), [("nothing", "no recogniser nothing"), ("text", "benchvoice read")])
def test_a_recogniser_that_cant_be_used_is_said(cli: Runner, name: str, says: str) -> None:
    ran = cli("hear", FERRY, "--recogniser", name)
    assert (ran.status, ran.out) == (1, "")
    assert says in ran.err


def test_an_unknown_engine_is_said_before_anything_is_heard(cli: Runner) -> None:
    ran = cli("hear", FERRY, "--engine", "E-9")
    assert (ran.status, ran.out) == (1, "")
    assert "No engine has the stock number E-9" in ran.err
