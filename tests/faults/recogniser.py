"""The recogniser's process killed at random: recording goes on, everything is heard once, what kills it is marked."""

from __future__ import annotations

import os
import random
import signal
import threading
import time
from contextlib import suppress
from pathlib import Path

from benchvoice.app.live.signs import EarDied, Sign
from benchvoice.domain.record import Record
from benchvoice.journal.journal import Journal
from tests.faults.books import SITTING, STOCK, opened
from tests.faults.devices import PlayedMicrophone, counting
from tests.faults.stage import EVERY, is_counting, metronome, on_disk, sitting, ticks
from tests.faults.table import Row

KILLER = (2.1, 4.7)
"""Times of stretches that kill the process each time they are heard."""


def run(times: int, work: Path, *, seed: int = 7) -> Row:
    """One sitting in which the recogniser is killed `times` times from outside, and by two stretches from inside."""
    home = work / "recogniser"
    home.mkdir(parents=True)
    rng = random.Random(seed)
    deaths: list[float] = []
    device = PlayedMicrophone(counting, speed=1.0)
    done = threading.Event()

    def show(sign: Sign) -> None:
        if isinstance(sign, EarDied):
            deaths.append(time.monotonic())

    wrong: list[str] = []
    with Journal.open(home / "journal.db") as journal:
        # A beat takes 50 ms to hear, so that kills fall into the hearing of one as well as between them.
        ear = metronome(dies_at=KILLER, slow=0.05)
        live = sitting(home, opened(journal), device, maker=ear, show=show)

        def shoot() -> None:
            killed = 0
            while killed < times and not done.is_set():
                time.sleep(rng.uniform(0.05, 1.2))
                pid = live.hearing.pid
                if pid is not None:
                    with suppress(ProcessLookupError):
                        os.kill(pid, signal.SIGKILL)
                        killed += 1
            while device.at < 16_000 * (KILLER[-1] + 1.0) and not done.is_set():
                time.sleep(0.05)
            live.stop()

        gunman = threading.Thread(target=shoot)
        gunman.start()
        try:
            out = live.run()
        finally:
            done.set()
            gunman.join()
        record = journal.record(STOCK)
        wrong += journal.check()
    wrong += _left_behind(home, record, device, out.seconds)
    sitting_record = record.sittings[SITTING]
    marked = sum(gap.why == "recogniser_failed" for gap in sitting_record.gaps)
    return Row(
        fault="recogniser killed",
        runs=times,
        good=times if not wrong else 0,
        figures=f"{len(deaths)} deaths seen, {out.seconds:.0f} s recorded without a gap, {len(ticks(record))} beats "
        f"heard once each, {marked} stretches marked",
        wrong=tuple(wrong),
    )


def _left_behind(home: Path, record: Record, device: PlayedMicrophone, seconds: float) -> list[str]:
    wrong = []
    segments = on_disk(home)
    if len(segments) != 1 or not is_counting(home, segments[0], 0) or segments[0].samples != device.at:
        wrong.append("sound is missing")
    gaps = [(gap.t0, gap.t1) for gap in record.sittings[SITTING].gaps if gap.why == "recogniser_failed"]
    heard = ticks(record)
    marked = {round(t1 / EVERY) for _, t1 in gaps if t1 is not None}
    expected = [k for k in range(1, int(seconds / EVERY + 1e-6) + 1) if k not in marked]
    if heard != expected:
        twice = sorted({k for k in heard if heard.count(k) > 1})
        wrong.append(f"missing {sorted(set(expected) - set(heard))[:5]}, twice {twice[:5]}")
    for at in KILLER:
        if not any(t0 <= at < (t1 or t0) for t0, t1 in gaps):
            wrong.append(f"the stretch at {at} s that kills the recogniser is not marked")
    return wrong
