"""A full disk at random levels: the sitting is closed properly, the journal is sound, and what was recorded is there.

The disk is a small tmpfs, which takes root to mount (or a user namespace); where it can't be mounted the row says so.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from benchvoice.app.live.recording import KEEP_BYTES, RESERVE_BYTES
from benchvoice.app.live.signs import RecordingStopped, Sign
from benchvoice.errors import BenchvoiceError
from benchvoice.journal.journal import Journal
from tests.faults.books import SITTING, STOCK, opened
from tests.faults.devices import PlayedMicrophone, counting
from tests.faults.stage import is_counting, on_disk, sitting
from tests.faults.table import Row

DISK_BYTES = 24_000_000
SPEED = 40.0


@contextmanager
def small_disk(folder: Path) -> Iterator[Path | None]:
    """A disk of DISK_BYTES at `folder`, None where there can't be one."""
    folder.mkdir(parents=True, exist_ok=True)
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={DISK_BYTES}", "tmpfs", str(folder)], capture_output=True, check=False
    )
    if mounted.returncode:
        yield None
        return
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=False, capture_output=True)


def run(times: int, work: Path, *, seed: int = 6) -> Row:
    rng = random.Random(seed)
    wrong: list[str] = []
    good = refused = 0
    recorded = 0.0
    with small_disk(work / "disk") as disk:
        if disk is None:
            return Row(fault="disk full", runs=0, good=0, figures="no small disk can be mounted here (it takes root)")
        for _ in range(times):
            # From "no room to begin" to "room for some seconds more"; a third of the time the last byte is taken.
            left = 0 if rng.random() < 1 / 3 else rng.randrange(0, RESERVE_BYTES + 3 * KEEP_BYTES)
            before = rng.random() < 1 / 4
            problems, seconds = one(disk, left, fill_first=before, wait=rng.uniform(0.0, 0.6))
            wrong += [f"{left} bytes left, {'before' if before else 'during'}: {text}" for text in problems]
            good += not problems
            refused += seconds == 0.0
            recorded += seconds
            for path in disk.iterdir():
                shutil.rmtree(path) if path.is_dir() else path.unlink()
    return Row(
        fault="disk full",
        runs=times,
        good=good,
        figures=f"{recorded:.0f} s recorded in all, {refused} refused at the start; integrity_check ok each time",
        wrong=tuple(wrong),
    )


def one(disk: Path, left: int, *, fill_first: bool, wait: float) -> tuple[list[str], float]:
    """One sitting on a disk that others fill to `left` bytes. Gives what was wrong, and the seconds recorded."""
    problems: list[str] = []
    stopped: list[RecordingStopped] = []
    device = PlayedMicrophone(counting, speed=SPEED)

    def show(sign: Sign) -> None:
        if isinstance(sign, RecordingStopped):
            stopped.append(sign)

    with Journal.open(disk / "journal.db") as journal:
        book = opened(journal)
        if fill_first:
            _fill(disk, left)
        live = sitting(disk, book, device, show=show)
        timer = threading.Timer(wait, lambda: _fill(disk, left))
        if not fill_first:
            timer.start()
        guard = threading.Timer(30.0, live.stop)
        guard.start()
        try:
            live.run()
        except BenchvoiceError as error:
            # With the last bytes gone before anything began, not even that can be written. It must be said plainly.
            if "disk is full" not in str(error).lower():
                problems.append(f"said {error}")
        timer.cancel()
        guard.cancel()
        problems += journal.check()
    if stopped and stopped[0].why != "disk_full":
        problems.append(f"ended for another reason: {stopped[0]}")
    # Only a recording that found room to begin has set some aside, with which the sitting can be closed.
    return problems + _left_behind(disk, began=device.starts > 0), device.at / 16_000 if stopped else 0.0


def _left_behind(disk: Path, *, began: bool) -> list[str]:
    problems = []
    (disk / "ballast").unlink(missing_ok=True)
    with Journal.open(disk / "journal.db") as journal:
        kept = journal.record(STOCK).sittings[SITTING]
        if not kept.closed and began:
            problems.append("the sitting was not closed")
        if kept.closed and len(kept.sounds) != len(on_disk(disk)):
            problems.append("the journal and the disk disagree about the sound files")
        problems += journal.check()
    at = 0
    for segment in on_disk(disk):
        if not is_counting(disk, segment, at):
            problems.append(f"{segment.path.name} does not hold what was delivered")
        at += segment.samples
    return problems


def _fill(disk: Path, left: int) -> None:
    """Take all but `left` bytes, as another program would."""
    file = os.open(disk / "ballast", os.O_WRONLY | os.O_CREAT, 0o600)
    try:
        size = max(0, shutil.disk_usage(disk).free - left)
        at = 0
        while at < size:
            try:
                at += os.write(file, b"\0" * min(262_144, size - at))
            except OSError:
                if left:
                    break
                # To the last byte, however the other side frees and takes some meanwhile.
                time.sleep(0.01)
                break
    finally:
        os.close(file)
