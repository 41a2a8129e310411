"""A live sitting as a person meets it: hold, marks, gaps, sleep, a pulled plug, a second program, taking it up."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from benchvoice import lexicon
from benchvoice.app.live import opening
from benchvoice.app.live.ear import EarMaker
from benchvoice.app.live.plan import Lock, folder_of
from benchvoice.app.live.recording import KEEP_BYTES, Clocks
from benchvoice.app.live.signs import Committed, Gap, Held, ReadBack, RecordingStopped, Sign, SilentLong, SpaceLow
from benchvoice.app.live.sitting import LiveSitting, Manner
from benchvoice.audio import playback
from benchvoice.audio import segments as sj
from benchvoice.audio.follow import read_stretch
from benchvoice.domain.engine import Engine
from benchvoice.domain.events import EngineTakenIn
from benchvoice.errors import BenchvoiceError
from benchvoice.journal import Journal
from tests.faults.devices import PlayedMicrophone, counting

STOCK = "L-1"


@pytest.fixture
def journal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Journal:
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path / "home"))
    with Journal.open() as opened:
        opened.append(EngineTakenIn(engine=Engine(stock=STOCK)), STOCK)
        yield opened


@pytest.fixture(scope="module")
def words() -> lexicon.Lexicon:
    return lexicon.load()


def equipment(words: lexicon.Lexicon, *says: tuple[float, str], manner: Manner | None = None) -> opening.Equipment:
    return opening.Equipment(
        lexicon=words,
        manner=manner or Manner(tones=False),
        maker=EarMaker(where="tests.faults.ears:sayer", given={"says": says}),
    )


def run_for(live: LiveSitting, seconds: float) -> None:
    timer = threading.Timer(seconds, live.stop)
    timer.start()
    live.run()
    timer.cancel()


def wait_until(true: Callable[[], bool], seconds: float = 30.0) -> None:
    deadline = time.monotonic() + seconds
    while not true() and time.monotonic() < deadline:
        time.sleep(0.02)


def start(
    journal: Journal, kit: opening.Equipment, device: PlayedMicrophone
) -> tuple[LiveSitting, list[Sign], Callable[[type], list[Sign]]]:
    signs: list[Sign] = []
    live = opening.new_sitting(journal, STOCK, device, kit, signs.append)
    return live, signs, lambda kind: [sign for sign in signs if isinstance(sign, kind)]


def test_findings_are_in_the_journal_for_another_reader_while_it_runs(journal: Journal, words: lexicon.Lexicon) -> None:
    kit = equipment(words, (0.5, "number three rod bearing is wiped"), (1.0, "oil pan is clean"))
    live, _, _ = start(journal, kit, PlayedMicrophone(counting))
    seen: list[tuple[int, bool]] = []

    def look() -> None:
        with Journal.open() as other:
            deadline = time.monotonic() + 20.0
            while time.monotonic() < deadline and len(seen) < 2:
                if other.changed() or not seen:
                    record = other.record(STOCK)
                    if len(record.standing()) > len(seen):
                        seen.append((len(record.standing()), record.sittings[live.plan.sitting].closed))
                time.sleep(0.02)
        live.stop()

    watcher = threading.Thread(target=look)
    watcher.start()
    live.run()
    watcher.join()
    assert seen == [(1, False), (2, False)]
    record = journal.record(STOCK)
    assert [entry.finding.part for entry in record.standing()] == ["rod_bearing", "oil_pan"]
    kept = record.sittings[live.plan.sitting]
    assert kept.closed
    assert [Path(sound.path).suffix for sound in kept.sounds] == [".flac"]
    assert kept.sounds[0].seconds == pytest.approx(kept.seconds or 0.0, abs=0.01)


def test_hold_and_carry_on_by_voice(journal: Journal, words: lexicon.Lexicon) -> None:
    kit = equipment(
        words,
        (0.3, "oil pan is clean"),
        (0.6, "hold"),
        (0.9, "the oil pump is scored"),
        (1.2, "carry on"),
        (1.5, "thermostat is stuck"),
        (1.8, "mark this"),
        (2.1, "read back"),
    )
    live, _, of = start(journal, kit, PlayedMicrophone(counting))
    run_for(live, 4.0)
    record = journal.record(STOCK)
    assert [entry.finding.part for entry in record.standing()] == ["oil_pan", "thermostat"]
    assert "pump" not in " ".join(said.heard.utterance.text for said in record.said.values())
    kept = record.sittings[live.plan.sitting]
    assert [(gap.why, round(gap.t0, 1), round(gap.t1 or 0, 1)) for gap in kept.gaps] == [("hold", 0.6, 1.2)]
    assert [(sign.on, sign.by) for sign in of(Held)] == [(True, "voice"), (False, "voice")]
    assert "thermostat" in of(ReadBack)[0].text
    assert [mark.what for mark in kept.marks] == ["mark"]
    # The sound of the hold is kept: nothing that was recorded is silently gone.
    assert read_stretch(live.plan.folder, 0.7, 1.1).any()


def test_hold_by_key_lets_go_of_the_microphone(journal: Journal, words: lexicon.Lexicon) -> None:
    device = PlayedMicrophone(counting)
    live, _, of = start(journal, equipment(words), device)

    def hand() -> None:
        wait_until(lambda: device.at > 8_000)
        live.hold(True)
        wait_until(lambda: len(of(Held)) == 1)
        at = device.at
        time.sleep(1.0)
        delivered.append(device.at - at)
        live.hold(False)
        wait_until(lambda: len(of(Held)) == 2 and device.at > at + 8_000)
        live.stop()

    delivered: list[int] = []
    presser = threading.Thread(target=hand)
    presser.start()
    live.run()
    presser.join()
    kept = journal.record(STOCK).sittings[live.plan.sitting]
    assert [gap.why for gap in kept.gaps] == ["hold"]
    length = (kept.gaps[0].t1 or 0) - kept.gaps[0].t0
    assert length >= 0.9
    assert [(sign.on, sign.by) for sign in of(Held)] == [(True, "key"), (False, "key")]
    assert delivered == [0]
    assert device.starts == 2
    assert sum(sound.seconds for sound in kept.sounds) == pytest.approx(device.at / 16_000, abs=0.01)
    assert sum(sound.seconds for sound in kept.sounds) + length == pytest.approx(kept.seconds or 0.0, abs=1.0)


def test_other_rates_are_resampled_without_loss(journal: Journal, words: lexicon.Lexicon) -> None:
    def tone(first: int, count: int) -> bytes:
        t = np.arange(first, first + count) / 44_100
        return np.round(8_000 * np.sin(2 * np.pi * 1_000 * t)).astype("<i2").tobytes()

    device = PlayedMicrophone(tone, rate=44_100)
    live, _, _ = start(journal, equipment(words), device)
    run_for(live, 2.0)
    (segment,) = sj.segments(live.plan.folder)
    assert segment.samples == pytest.approx(device.at * 16_000 / 44_100, abs=2)
    sound = read_stretch(live.plan.folder, 0.2, segment.end - 0.2)
    t = np.arange(len(sound)) / 16_000
    basis = np.stack([np.sin(2 * np.pi * 1_000 * t), np.cos(2 * np.pi * 1_000 * t)])
    fit, *_ = np.linalg.lstsq(basis.T, sound, rcond=None)
    rest = sound - basis.T @ fit
    assert float(np.hypot(*fit)) == pytest.approx(8_000 / 32_767, rel=0.01)
    assert 20 * np.log10(float(np.std(rest)) / float(np.std(sound))) < -60.0


def test_files_are_rotated_without_a_seam(journal: Journal, words: lexicon.Lexicon) -> None:
    kit = equipment(words, manner=Manner(tones=False, rotate_seconds=0.5))
    device = PlayedMicrophone(counting)
    live, _, _ = start(journal, kit, device)
    run_for(live, 2.2)
    found = sj.segments(live.plan.folder)
    assert len(found) >= 4
    pcm = b"".join(
        np.round(read_stretch(live.plan.folder, s.start, s.end) * 32_767).astype("<i2").tobytes() for s in found
    )
    assert pcm == counting(0, device.at)
    kept = journal.record(STOCK).sittings[live.plan.sitting]
    assert len(kept.sounds) == len(found)
    assert kept.gaps == ()


def test_overflow_is_counted_and_noted(journal: Journal, words: lexicon.Lexicon) -> None:
    device = PlayedMicrophone(counting, overflow_at=frozenset({5, 6, 20}))
    live, _, _ = start(journal, equipment(words), device)
    threading.Timer(2.0, live.stop).start()
    outcome = live.run()
    assert outcome.overflows == 3
    gaps = journal.record(STOCK).sittings[live.plan.sitting].gaps
    assert {gap.why for gap in gaps} == {"overflow"}
    assert sum(int(gap.detail.split()[0]) for gap in gaps) == 3


class Wall:
    """Clocks that a test moves."""

    def __init__(self) -> None:
        self.slept = 0.0
        self.left = 10**12

    def clocks(self) -> Clocks:
        return Clocks(going=lambda: time.monotonic() + self.slept, free=lambda folder: self.left)


def with_clocks(journal: Journal, kit: opening.Equipment, wall: Wall) -> tuple[LiveSitting, list[Sign]]:
    signs: list[Sign] = []
    first = opening.new_sitting(journal, STOCK, PlayedMicrophone(counting), kit, signs.append)
    live = LiveSitting(
        first.plan, first.book, PlayedMicrophone(counting), signs.append, manner=kit.manner, clocks=wall.clocks()
    )
    return live, signs


def test_sleep_is_noticed_and_the_time_after_it_is_right(journal: Journal, words: lexicon.Lexicon) -> None:
    wall = Wall()
    live, _ = with_clocks(journal, equipment(words), wall)
    threading.Timer(1.0, lambda: setattr(wall, "slept", 3_600.0)).start()
    run_for(live, 4.5)
    kept = journal.record(STOCK).sittings[live.plan.sitting]
    (gap,) = [gap for gap in kept.gaps if gap.why == "asleep"]
    assert (gap.t1 or 0) - gap.t0 == pytest.approx(3_600.0, abs=2.0)
    found = sj.segments(live.plan.folder)
    assert found[-1].start == pytest.approx(3_600.0 + found[0].end, abs=3.0)


def test_the_disk_is_watched(journal: Journal, words: lexicon.Lexicon) -> None:
    wall = Wall()
    wall.left = KEEP_BYTES + 32_000 * 60 * 10
    live, signs = with_clocks(journal, equipment(words), wall)
    threading.Timer(3.0, lambda: setattr(wall, "left", KEEP_BYTES - 1)).start()
    outcome = live.run()
    low = [sign for sign in signs if isinstance(sign, SpaceLow)]
    assert [round(sign.minutes) for sign in low] == [10]
    assert outcome.why == "disk_full"
    assert [sign.why for sign in signs if isinstance(sign, RecordingStopped)] == ["disk_full"]
    kept = journal.record(STOCK).sittings[live.plan.sitting]
    assert kept.closed
    assert not (live.plan.folder / "reserve").exists()


def test_long_silence_is_told(journal: Journal, words: lexicon.Lexicon) -> None:
    kit = equipment(words, (0.2, "oil pan is clean"), manner=Manner(tones=False, silent_seconds=1.0))
    live, _, of = start(journal, kit, PlayedMicrophone(counting))
    run_for(live, 4.0)
    assert len(of(SilentLong)) == 1


def test_a_second_recorder_is_refused(journal: Journal, words: lexicon.Lexicon) -> None:
    live, _, _ = start(journal, equipment(words), PlayedMicrophone(counting))
    with Lock(live.plan.folder), pytest.raises(BenchvoiceError, match="another program"):
        live.run()
    assert Lock.held(live.plan.folder) is False


def test_a_sitting_that_broke_off_goes_on(journal: Journal, words: lexicon.Lexicon) -> None:
    kit = equipment(words, (0.5, "oil pan is clean"), (1.0, "oil pump is scored"))
    live, _, _ = start(journal, kit, PlayedMicrophone(counting))
    threading.Timer(1.6, live.leave).start()
    assert not live.run().heard_all
    (broken,) = opening.unfinished(journal, STOCK)
    assert broken.sitting == live.plan.sitting
    later = equipment(words, (broken.recorded + 0.05, "thermostat is stuck"), (9_999.0, "coolant is clean"))
    signs: list[Sign] = []
    goes_on = opening.taken_up(journal, broken, PlayedMicrophone(counting), later, signs.append)
    assert goes_on.plan.begin >= broken.recorded
    run_for(goes_on, 2.0)
    record = journal.record(STOCK)
    kept = record.sittings[broken.sitting]
    assert kept.closed
    assert [gap.why for gap in kept.gaps] == ["broken_off"]
    numbers = [n for _, n in record.said]
    assert numbers == sorted(set(numbers))
    assert opening.unfinished(journal, STOCK) == []


def test_what_was_not_heard_is_heard_when_it_is_closed(journal: Journal, words: lexicon.Lexicon) -> None:
    live, _, _ = start(journal, equipment(words), PlayedMicrophone(counting))
    threading.Timer(1.5, live.leave).start()
    live.run()
    (broken,) = opening.unfinished(journal, STOCK)
    assert broken.recorded > 0.9
    signs: list[Sign] = []
    kit = equipment(words, (0.3, "oil pan is clean"), (0.6, "oil pump is scored"))
    outcome = opening.taken_up(journal, broken, None, kit, signs.append).run()
    assert outcome.heard_all
    assert outcome.utterances == 2
    assert len([sign for sign in signs if isinstance(sign, Committed)]) == 2
    assert journal.record(STOCK).sittings[broken.sitting].closed


def test_a_device_that_is_not_there_at_the_start_is_waited_for(journal: Journal, words: lexicon.Lexicon) -> None:
    device = PlayedMicrophone(counting)
    device.pull()
    live, _, of = start(journal, equipment(words), device)
    threading.Timer(1.0, device.plug_in).start()
    run_for(live, 4.0)
    gaps = of(Gap)
    assert [(gap.why, gap.t1 is None) for gap in gaps] == [("device_gone", True), ("device_gone", False)]
    assert device.at > 0


def test_a_stock_number_can_hold_anything(journal: Journal, words: lexicon.Lexicon) -> None:
    odd = "a/../b: c"
    journal.append(EngineTakenIn(engine=Engine(stock=odd)), odd)
    live = opening.new_sitting(journal, odd, PlayedMicrophone(counting), equipment(words), lambda sign: None)
    assert live.plan.folder.parent == folder_of("x").parent
    run_for(live, 1.0)
    assert len(journal.record(odd).sittings) == 1


def test_a_terminal_that_is_gone_ends_the_sitting_in_good_order(journal: Journal, words: lexicon.Lexicon) -> None:
    def show(sign: Sign) -> None:
        if isinstance(sign, Committed):
            raise BrokenPipeError

    kit = equipment(words, (0.5, "oil pan is clean"))
    live = opening.new_sitting(journal, STOCK, PlayedMicrophone(counting), kit, show)
    guard = threading.Timer(30.0, live.leave)
    guard.start()
    assert live.run().heard_all
    guard.cancel()
    record = journal.record(STOCK)
    assert record.sittings[live.plan.sitting].closed
    assert [entry.finding.part for entry in record.standing()] == ["oil_pan"]


@pytest.mark.skipif(not playback.can_say(), reason="no speech synthesiser is installed")
def test_the_read_back_is_not_heard_as_a_finding(journal: Journal, words: lexicon.Lexicon) -> None:
    kit = equipment(words, (0.5, "oil pan is clean"), (0.8, "read back"), (1.2, "oil pan is clean"), (9.0, "so"))
    live, _, of = start(journal, kit, PlayedMicrophone(counting))
    run_for(live, 3.0)
    record = journal.record(STOCK)
    assert [sign.aloud for sign in of(ReadBack)] == [True]
    assert len(record.standing()) == 1
    assert [gap.why for gap in record.sittings[live.plan.sitting].gaps] == ["own_voice"]
