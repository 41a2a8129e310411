"""kill -9 at random moments of a sitting: what was committed is there, and at most half a second of sound is not."""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from benchvoice.audio import segments as sj
from benchvoice.journal.journal import Journal
from tests.faults.books import STOCK, taken_up
from tests.faults.stage import EVERY, is_counting, sitting, ticks, values
from tests.faults.table import Row

MOST_LOST = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Death:
    """What one killed sitting left behind. Seconds of sound that the device had delivered and that is not on disk."""

    committed: int
    lost_findings: int
    lost_sound: float
    wrong: tuple[str, ...]


def run(times: int, work: Path, *, seed: int = 5, at_once: int = 2, take_up_every: int = 8) -> Row:
    rng = random.Random(seed)
    jobs = [(work / f"kill-{k}", rng.uniform(0.0, 2.0), rng.choice((16_000, 48_000, 44_100)), k) for k in range(times)]
    with ThreadPoolExecutor(at_once) as pool:
        deaths = list(pool.map(lambda job: one(job[0], job[1], job[2], take_up=job[3] % take_up_every == 0), jobs))
    worst = max(death.lost_sound for death in deaths)
    wrong = tuple(text for death in deaths for text in death.wrong)
    good = sum(not death.wrong and not death.lost_findings and death.lost_sound <= MOST_LOST for death in deaths)
    mean = sum(death.lost_sound for death in deaths) / len(deaths)
    return Row(
        fault="kill -9 at a random moment",
        runs=times,
        good=good,
        figures=f"{sum(d.committed for d in deaths)} findings committed, {sum(d.lost_findings for d in deaths)} lost; "
        f"sound lost: mean {mean:.3f} s, most {worst:.3f} s",
        wrong=wrong,
    )


def one(home: Path, delay: float, rate: int, *, take_up: bool) -> Death:
    """Start a sitting, kill it `delay` seconds after it is ready, and look at what is there."""
    home.mkdir(parents=True)
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.faults.victim", str(home), str(rate)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    lines: list[str] = []
    ready = threading.Event()

    def listen() -> None:
        assert process.stdout is not None
        for line in process.stdout:
            lines.append(line.strip())
            if line.startswith("ready"):
                ready.set()

    listener = threading.Thread(target=listen)
    listener.start()
    ready.wait(60.0)
    time.sleep(delay)
    process.kill()
    process.wait()
    listener.join()
    errors = process.stderr.read() if process.stderr is not None else ""
    witnessed = [line.split() for line in lines]
    committed = sorted(int(row[1]) for row in witnessed if row[0] == "c")
    delivered = max((int(row[1]) for row in witnessed if row[0] == "d"), default=0) / rate
    wrong = [] if ready.is_set() else [f"did not start: {errors[-300:]}"]
    death = _look(home, committed, delivered, rate, wrong)
    if take_up and not death.wrong:
        death = _take_up(home, death)
    if not death.wrong:
        shutil.rmtree(home)
    return death


def _look(home: Path, committed: list[int], delivered: float, rate: int, wrong: list[str]) -> Death:
    segments = sj.repair(next((home / "sound").iterdir()))
    there = sum(segment.seconds for segment in segments)
    if rate == 16_000 and any(not is_counting(home, segment, 0) for segment in segments[:1]):
        wrong.append("the sound on disk is not what was delivered")
    with Journal.open(home / "journal.db") as journal:
        wrong += journal.check()
        lost = set(committed) - set(values(journal))
    return Death(
        committed=len(committed), lost_findings=len(lost), lost_sound=max(0.0, delivered - there), wrong=tuple(wrong)
    )


def _take_up(home: Path, death: Death) -> Death:
    """Close the sitting at the "next start": everything on disk must be heard, nothing twice."""
    wrong: list[str] = []
    with Journal.open(home / "journal.db") as journal:
        out = sitting(home, taken_up(journal), None, again=journal.record(STOCK)).run()
        record = journal.record(STOCK)
        expected = list(range(1, int(out.seconds / EVERY + 1e-6) + 1))
        if ticks(record) != expected:
            wrong.append(f"heard {ticks(record)} of {expected} after being taken up")
        if any(not kept.closed for kept in record.sittings.values()):
            wrong.append("not closed after being taken up")
    return Death(
        committed=death.committed, lost_findings=death.lost_findings, lost_sound=death.lost_sound, wrong=tuple(wrong)
    )
