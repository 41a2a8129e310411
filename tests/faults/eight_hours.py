"""Eight hours of sound through the real recording, sound journal, recogniser and journal, as fast as they go.

Most of a working day is not talk: here a minute of narration in an hour of shop hum, so that the day takes minutes. The
denoiser, which takes four hundredths of a second a second of sound even in silence, is off. Memory of both processes
is read after a settling time and at the end.
"""

from __future__ import annotations

import contextlib
import os
import threading
import time
from pathlib import Path

import numpy as np
import soundfile

from benchvoice import resources
from benchvoice.app.live import plan as plans
from benchvoice.app.live.ear import EarMaker
from benchvoice.app.live.recording import Clocks
from benchvoice.app.live.signs import EarDied, Sign
from benchvoice.app.live.sitting import LiveSitting, Manner
from benchvoice.journal.journal import Journal
from demo_audio import noises
from tests.faults.books import SITTING, opened
from tests.faults.devices import PlayedMicrophone
from tests.faults.table import Row

RATE = 16_000
HOUR = 3_600
MOST_GROWTH = 20.0
AHEAD = 300.0
"""The recording may be this many seconds ahead of the recogniser, so that both go through the day together."""
STUCK_SECONDS = 180.0
"""Of the wall's clock: if neither recording nor recogniser has come any further for so long, the day is given up."""


class Day:
    """Sound of a working day by sample number; every hour begins with a minute of the narration."""

    def __init__(self) -> None:
        with soundfile.SoundFile(str(resources.folder("demo_audio") / "orchard-truck-six.flac")) as sound:
            self._talk = sound.read(dtype="float32")
        self._hum = noises.compressor_hum(60 * RATE, np.random.default_rng(2)) * np.float32(10 ** (-52 / 20))

    def __call__(self, at: int, count: int) -> bytes:
        index = np.arange(at, at + count)
        sound = self._hum[index % self._hum.size].copy()
        within = index % (HOUR * RATE)
        talking = within < 60 * RATE
        minute = index // (HOUR * RATE)
        sound[talking] += self._talk[(minute * 60 * RATE + within)[talking] % self._talk.size]
        return np.round(np.clip(sound, -1, 1) * 32_767).astype("<i2").tobytes()


def megabytes(pid: int) -> float:
    """Memory that the process holds for itself: resident, without what it shares with files."""
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("RssAnon:"):
            return int(line.split()[1]) / 1024
    return 0.0


def run(hours: float, work: Path, *, maker: EarMaker | None = None) -> Row:
    home = work / "day"
    home.mkdir(parents=True)
    day = Day()
    total = round(hours * 3600 * RATE)
    deaths: list[Sign] = []
    stuck: list[str] = []
    began = time.monotonic()
    samples: list[tuple[float, float, float]] = []

    with Journal.open(home / "journal.db") as journal:
        book = opened(journal)
        plan = plans.fresh(SITTING, maker or EarMaker(given={"denoiser": False}), base=home / "sound")

        def source(at: int, count: int) -> bytes:
            if at >= total or at / RATE > live.hearing.at + AHEAD:
                return b""
            return day(at, min(count * 20, total - at))

        device = PlayedMicrophone(source, speed=1e9)
        # The sitting's clocks go as fast as the sound does, and stand still when it does.
        clocks = Clocks(still=lambda: device.at / RATE, going=lambda: device.at / RATE)

        def show(sign: Sign) -> None:
            if isinstance(sign, EarDied):
                deaths.append(sign)

        live = LiveSitting(plan, book, device, show, manner=Manner(tones=False), clocks=clocks)

        def watch() -> None:
            place, moved = (-1, -1.0), time.monotonic()
            while device.at < total or live.hearing.at < total / RATE - 60:
                if place != (device.at, live.hearing.at):
                    place, moved = (device.at, live.hearing.at), time.monotonic()
                elif time.monotonic() - moved > STUCK_SECONDS:
                    stuck.append(f"stuck at {device.at / RATE:.0f} s of sound, {live.hearing.at:.0f} s heard")
                    live.leave()
                    return
                pid = live.hearing.pid
                if pid is not None:
                    with contextlib.suppress(OSError):
                        samples.append((live.hearing.at, megabytes(os.getpid()), megabytes(pid)))
                time.sleep(1.0)
            live.stop()

        watcher = threading.Thread(target=watch)
        watcher.start()
        out = live.run()
        watcher.join()
        wrong = journal.check() + stuck
    settled = [row for row in samples if row[0] >= 0.15 * total / RATE]
    tail = settled[-max(1, len(settled) // 10) :]
    grown = [max(row[k] for row in tail) - settled[0][k] for k in (1, 2)] if settled else [0.0, 0.0]
    took = time.monotonic() - began
    if max(grown) > MOST_GROWTH or not out.utterances or deaths:
        wrong.append(f"grew by {grown} MB, {out.utterances} utterances, {len(deaths)} deaths")
    return Row(
        fault=f"{hours:g} hours of sound",
        runs=1,
        good=int(not wrong),
        figures=f"{out.seconds / 3600:.2f} h in {took / 60:.1f} min ({out.seconds / took:.0f} times as fast), "
        f"{out.utterances} utterances; memory grew by {grown[0]:+.1f} MB (recording) and "
        f"{grown[1]:+.1f} MB (recogniser)",
        wrong=tuple(wrong),
    )
