"""What putting sound on the disk costs: `python -m tests.faults.sync_cost [FOLDER]`.

Writes a minute of sound at each sync interval and prints how long the calls took. A power cut loses what was not yet
synced, so the interval is what a cut may cost; the call's time is how long the writer stands still meanwhile, while the
device's deliveries wait in the queue.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

from benchvoice.audio import segments as sj
from tests.hearing.scoring import percentile

RATE = 16_000
BLOCK_SECONDS = 0.05
SECONDS = 60.0
INTERVALS = (0.05, 0.25, 0.5, 1.0)


def measure(folder: Path, interval: float) -> tuple[list[float], list[float]]:
    """Times of the writes without a sync and of those with one, milliseconds, over a minute of sound."""
    clock = [0.0]
    writer = sj.SegmentWriter(folder, start=0.0, rate=RATE, sync_seconds=interval - 1e-9, clock=lambda: clock[0])
    block = os.urandom(round(RATE * BLOCK_SECONDS) * 2)
    plain, synced = [], []
    since = 0.0
    for _ in range(round(SECONDS / BLOCK_SECONDS)):
        clock[0] += BLOCK_SECONDS
        began = time.perf_counter()
        writer.append(block)
        took = (time.perf_counter() - began) * 1e3
        if clock[0] - since >= interval - 1e-9:
            since = clock[0]
            synced.append(took)
        else:
            plain.append(took)
    writer.close().path.unlink()
    return plain, synced


def main() -> None:
    base = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(tempfile.gettempdir())
    print("| sync every | syncs a minute | write, median | sync, median | sync, 99 % | sync, most | share of time |")
    print("| ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
    with tempfile.TemporaryDirectory(dir=base) as folder:
        for interval in INTERVALS:
            plain, synced = measure(Path(folder), interval)
            share = (sum(plain) + sum(synced)) / 1e3 / SECONDS
            write = percentile(plain, 0.5)
            print(
                f"| {interval:.2f} s | {len(synced)} | {write:.3f} ms | {percentile(synced, 0.5):.2f} ms | "
                f"{percentile(synced, 0.99):.2f} ms | {max(synced):.2f} ms | {share:.3%} |"
            )


if __name__ == "__main__":
    main()
