"""A microphone that goes away and comes back: on hold with a sign, a gap in the record, and the sound goes on."""

from __future__ import annotations

import itertools
import random
import threading
import time
from pathlib import Path

from benchvoice.app.live.signs import Held, Level, Sign
from benchvoice.domain.record import Record
from benchvoice.journal.journal import Journal
from tests.faults.books import SITTING, STOCK, opened
from tests.faults.devices import PlayedMicrophone, counting
from tests.faults.stage import on_disk, sitting
from tests.faults.table import Row


def run(times: int, work: Path, *, seed: int = 8) -> Row:
    """A stand-in behind the microphone's interface is pulled and plugged in again; every other time it says nothing."""
    home = work / "microphone"
    home.mkdir(parents=True)
    rng = random.Random(seed)
    device = PlayedMicrophone(counting)
    signs: list[tuple[float, Held]] = []
    waits: list[float] = []

    def show(sign: Sign) -> None:
        if isinstance(sign, Held):
            signs.append((time.monotonic(), sign))
        elif isinstance(sign, Level):
            flowing.set()

    flowing = threading.Event()
    with Journal.open(home / "journal.db") as journal:
        live = sitting(home, opened(journal), device, show=show)

        def play() -> None:
            for k in range(times):
                flowing.clear()
                flowing.wait(20.0)
                time.sleep(rng.uniform(0.1, 0.5))
                since = time.monotonic()
                device.pull(silently=k % 2 == 1)
                waits.append(_wait_for(signs, True, since))
                time.sleep(rng.uniform(0.0, 0.5))
                since = time.monotonic()
                device.plug_in()
                waits.append(_wait_for(signs, False, since))
            live.stop()

        hand = threading.Thread(target=play)
        hand.start()
        live.run()
        hand.join()
        record = journal.record(STOCK)
        wrong = journal.check()
    wrong += _left_behind(home, record, device, times)
    return Row(
        fault="microphone pulled and back (stand-in device)",
        runs=times,
        good=times if not wrong else 0,
        figures=f"sign after {max(waits[::2], default=0):.1f} s at most, recording again "
        f"{max(waits[1::2], default=0):.1f} s at most after it was back; no delivered sample lost",
        wrong=tuple(wrong),
    )


def _wait_for(signs: list[tuple[float, Held]], on: bool, since: float) -> float:
    """Seconds until the sitting is on hold, or no longer; 20 if that doesn't come."""
    while time.monotonic() < since + 20.0:
        at = next((at for at, sign in signs if at >= since and sign.on is on), None)
        if at is not None:
            return at - since
        time.sleep(0.01)
    return 20.0


def _left_behind(home: Path, record: Record, device: PlayedMicrophone, times: int) -> list[str]:
    wrong = []
    gaps = [gap for gap in record.sittings[SITTING].gaps if gap.why == "device_gone"]
    segments = on_disk(home)
    there = sum(segment.samples for segment in segments)
    if there != device.at:
        wrong.append(f"{device.at - there} samples that were delivered are missing")
    if len(gaps) != times or any(gap.t1 is None or gap.t1 < gap.t0 for gap in gaps):
        wrong.append(f"{len(gaps)} gaps in the record: {gaps[:2]}")
    for before, after in itertools.pairwise(segments):
        if not any(abs(gap.t0 - before.end) < 0.01 and (gap.t1 or 0) >= after.start - 0.3 for gap in gaps):
            wrong.append(f"no gap between {before.end:.2f} and {after.start:.2f}")
    return wrong
