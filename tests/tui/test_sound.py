"""Hearing a line again, and saying one again, without a sound device: real files, a stand-in microphone."""

from __future__ import annotations

from pathlib import Path
from queue import SimpleQueue

import numpy as np
import pytest
import soundfile

from benchvoice.app import sound as hearing
from benchvoice.app.desk import Desk
from benchvoice.app.say_again import hear_once
from benchvoice.app.sound import Hearing, Stretch, trace
from benchvoice.audio.blocks import RATE
from benchvoice.audio.microphone import Delivery
from benchvoice.audio.slower import slower
from benchvoice.domain.events import SoundKept
from benchvoice.domain.words import Utterance, typed
from benchvoice.errors import SoundError
from benchvoice.tui.app import ReviewApp
from benchvoice.tui.card import Card
from benchvoice.tui.loglist import LogList
from benchvoice.tui.words import WordsScreen
from tests.tui import talk
from tests.tui.conftest import SMALL


def tone(seconds: float, hertz: float = 200.0, rate: int = RATE) -> np.ndarray:
    return (0.3 * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)).astype(np.float32)


def pitch(sound: np.ndarray) -> float:
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    return float(np.argmax(spectrum) * RATE / len(sound))


@pytest.mark.parametrize("speed", [0.5, 0.6, 0.8, 1.0])
def test_slower_is_longer_at_the_same_pitch(speed: float) -> None:
    made = slower(tone(2.0), speed)
    assert len(made) / RATE == pytest.approx(2.0 / speed, rel=0.01)
    assert pitch(made[RATE // 2 : -RATE // 2]) == pytest.approx(200.0, abs=3.0)


def test_a_trace_rises_with_the_sound() -> None:
    level = trace(np.concatenate([np.zeros(RATE, np.float32), tone(1.0)]), cells=10)
    assert max(level[:5]) == 0.0
    assert min(level[5:]) > 0.7


@pytest.mark.parametrize("rate", [16_000, 44_100])
def test_a_stretch_is_read_with_its_margins_at_any_rate(tmp_path: Path, rate: int) -> None:
    quiet = np.zeros(rate * 2, np.float32)
    soundfile.write(tmp_path / "s.flac", np.concatenate([quiet, tone(1.0, rate=rate), quiet]), rate)
    kept = SoundKept(sitting="s", path="s.flac", start=10.0, seconds=5.0, rate=rate)
    sound = Hearing(tmp_path).read(Stretch(sitting="s", t0=12.0, t1=13.0, sounds=(kept,)))
    assert len(sound) == pytest.approx(2 * RATE, abs=RATE // 100)
    assert np.abs(sound[: RATE // 3]).max() < 0.01
    assert np.abs(sound[RATE // 2 + 800 : RATE]).max() > 0.2


def test_lost_and_broken_sound_is_said_and_never_raised(tmp_path: Path) -> None:
    (tmp_path / "broken.flac").write_bytes(b"no sound at all")
    for path in ("gone.flac", "broken.flac"):
        kept = SoundKept(sitting="s", path=path, start=0.0, seconds=5.0, rate=RATE)
        played = Hearing(tmp_path).play(Stretch(sitting="s", t0=1.0, t1=2.0, sounds=(kept,)))
        assert "can't be read" in played.problem
    assert "typed" in Hearing(tmp_path).play(Stretch(sitting="s", t0=None, t1=None)).problem


async def test_the_level_is_drawn_even_where_nothing_can_sound(
    tmp_path: Path, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def nothing(self: Hearing, sound: object, speed: float) -> None:
        raise SoundError("There is no loudspeaker.")

    monkeypatch.setattr(hearing.Hearing, "_sound", nothing)
    soundfile.write(tmp_path / "s.flac", tone(120.0), RATE)
    kept = SoundKept(sitting=f"{talk.STOCK}-s1", path="s.flac", start=0.0, seconds=120.0, rate=RATE)
    desk.review.journal.append(kept, talk.STOCK)
    app = ReviewApp(desk, hearing=Hearing(tmp_path))
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("space")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert max(app.screen.query_one(Card).level) > 0.5
        assert "no loudspeaker" in app.screen.query_one("TopBar").note  # type: ignore[attr-defined]


class Source:
    """A microphone that brings silence and then is gone."""

    name, rate, alive = "stand-in", 48_000, False

    def __init__(self) -> None:
        self.stopped = False

    def start(self, deliver: SimpleQueue[Delivery]) -> None:
        for _ in range(20):
            deliver.put(Delivery(pcm=bytes(4800)))

    def stop(self) -> None:
        self.stopped = True


class Ear:
    """Hears words after a second of sound, if it was given any."""

    name, open_since = "stand-in", None

    def __init__(self, words: str) -> None:
        self._words = words
        self._samples = 0

    def begin(self, at: float) -> None:
        self._samples = 0

    def feed(self, samples: np.ndarray) -> list[Utterance]:
        self._samples += len(samples)
        if self._words and self._samples >= 0.9 * RATE * 0.5:
            return [typed(0, self._words)]
        return []

    def finish(self) -> list[Utterance]:
        return []


def test_saying_again_gives_the_first_words_and_lets_go_of_the_microphone() -> None:
    source = Source()
    assert hear_once(source, Ear("rod bearing two is wiped")).text == "rod bearing two is wiped"
    assert source.stopped


def test_saying_nothing_is_an_error_with_a_hint() -> None:
    source = Source()
    with pytest.raises(SoundError, match="Nothing was heard"):
        hear_once(source, Ear(""))
    assert source.stopped


async def test_a_line_said_again_is_shown_before_it_is_kept(desk: Desk) -> None:
    app = ReviewApp(desk, listen=lambda stopped: "number five rod bearing is wiped")
    async with app.run_test(size=SMALL) as pilot:
        rows = app.screen.query_one(LogList)
        rows.move_to(next(i for i, row in enumerate(rows.rows) if "number five rod" in row.text))
        last = desk.record.last_event
        await pilot.press("h")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(app.screen, WordsScreen)
        assert desk.record.last_event == last
        await pilot.press("enter")
        await pilot.pause()
        assert any(row.text == "number five rod bearing is wiped" for row in desk.rows())


async def test_without_a_microphone_it_says_so(desk: Desk) -> None:
    def listen(stopped: object) -> str:
        raise SoundError("There is no microphone.", hint="Connect one.")

    app = ReviewApp(desk, listen=listen)
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("h")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "There&#160;is&#160;no&#160;microphone." in app.export_screenshot()
        await pilot.press("escape", "escape")
