"""The second recogniser for real: its files, its pieces, and what it hears."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from benchvoice.errors import BenchvoiceError
from benchvoice.recognise import PAIR, available, moonshine_files, open_recogniser
from benchvoice.recognise.beam import plain, search
from benchvoice.recognise.moonshine import Moonshine, read_pieces
from benchvoice.recognise.pair_engine import PairEngine

ROOT = Path(__file__).resolve().parents[2]
usable = pytest.mark.skipif(moonshine_files.missing() is not None, reason="moonshine-cpp is not made for this machine")


@pytest.fixture(scope="module")
def by_the_package(package_folder: Path, beckett: Path) -> list[str]:
    """Words that the package's own library hears in ten seconds of human speech, read, which come with it.

    In a process of its own: the library is made for newer processors than the program asks for.
    """
    command = [sys.executable, "-m", "tests.recognise.package_hears", str(package_folder), str(beckett)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode == -signal.SIGILL:
        pytest.skip("the package's own library doesn't run on this processor")
    assert done.returncode == 0, done.stderr
    return plain(done.stdout)


@usable
@pytest.mark.slow
@pytest.mark.sound
def test_it_hears_what_the_packages_own_library_hears(
    second: Moonshine, by_the_package: list[str], beckett_pcm: bytes
) -> None:
    """Eight bits cost no word."""
    found = search(second, second.states(beckett_pcm), lambda word, before: 0.0, 100)
    assert list(found[0].words) == by_the_package
    assert len(found[0].words) > 10
    assert all(log <= 0.0 for log in found[0].logs)


@usable
def test_silence_says_nothing(second: Moonshine) -> None:
    found = search(second, second.states(bytes(32_000)), lambda word, before: 0.0, 20)
    assert not found or found[0].score < 0.0


@usable
def test_pieces_are_of_spelled_words_only(second: Moonshine) -> None:
    assert len(second.pieces.ids) == len(second.pieces.texts) > 20_000
    assert not any(character.isdigit() for text in second.pieces.texts for character in text)
    assert {" bearing", " two", "s", ","} <= set(second.pieces.texts)


def test_pieces_by_hand() -> None:
    """A length, then the text; an empty one; a long one, whose length is two bytes: 128 + 200 % 128, 200 // 128."""
    long = b"x" * 200
    data = b"\x03" + "\u2581".encode() + b"\x00" + b"\x01a" + bytes([128 + 200 % 128, 200 // 128]) + long
    assert read_pieces(data) == [" ", "", "a", "x" * 200]


@pytest.mark.parametrize("data", [b"\x05abc", b"\x80", b"\xff\xff"])
def test_a_list_of_pieces_that_breaks_off_is_refused(data: bytes) -> None:
    with pytest.raises(BenchvoiceError, match="breaks off"):
        read_pieces(data)


@usable
@pytest.mark.sound
def test_a_broken_model_is_refused(tmp_path: Path) -> None:
    found = moonshine_files.packaged()
    bad = tmp_path / "decoder.onnx"
    bad.write_bytes(b"no model")
    files = moonshine_files.ModelFiles(encoder=bad, decoder=bad, pieces=found.pieces)
    with pytest.raises(BenchvoiceError, match=r"decoder\.onnx can't be opened"):
        Moonshine(files)


def test_without_its_package_the_embedded_one_hears_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(moonshine_files, "PACKAGE", "no_such_package")
    one = next(found for found in available() if found.name == PAIR)
    assert not one.usable
    assert "no-such-package is not installed" in one.why
    with pytest.raises(BenchvoiceError, match="no-such-package"):
        open_recogniser(PAIR)


@usable
@pytest.mark.slow
@pytest.mark.sound
def test_people_are_heard_better_by_both(by_the_package: list[str], beckett_pcm: bytes) -> None:
    """The same sound through the pair and through the embedded recogniser, against what the package's library hears."""
    engine = open_recogniser(PAIR)
    assert isinstance(engine, PairEngine)
    heard = engine.hear(beckett_pcm, start=100.0)
    alone = open_recogniser("pocketsphinx").hear(beckett_pcm)
    right, before = (len(set(by_the_package) & set(one.text.split())) for one in (heard, alone))
    assert right > before
    assert right >= 0.9 * len(set(by_the_package))
    assert all(100.0 <= (word.t0 or 0.0) < (word.t1 or 0.0) <= 112.0 for word in heard.words)
    engine.close()
    with pytest.raises(BenchvoiceError, match="closed"):
        engine.hear(beckett_pcm)
