"""The fault table: `python -m tests.faults`. Brings about every fault and prints, with counts, what was left behind.

Within fifteen minutes on two cores. --share 0.1 takes a tenth of everything; --only names some of the faults.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from pathlib import Path

from tests.faults.cases import CASES, do
from tests.faults.table import HEAD, Row


def main(argv: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("--only", nargs="+", choices=list(CASES), default=list(CASES))
    parser.add_argument("--share", type=float, default=1.0, help="how much of the full counts (default 1)")
    given = parser.parse_args(argv)
    began, failed = time.monotonic(), 0
    print(f"{os.cpu_count()} cores.\n\n{HEAD}", flush=True)
    context = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory(prefix="faults-") as folder, ProcessPoolExecutor(3, mp_context=context) as pool:
        jobs: list[Future[tuple[Row, float]]] = [
            pool.submit(do, name, given.share, Path(folder)) for name in CASES if name in given.only
        ]
        for job in as_completed(jobs):
            row, _ = job.result()
            print(row, flush=True)
            for text in row.wrong:
                print(f"  {text}", flush=True)
            failed += bool(row.runs and not row.passed)
    print(f"\n{failed} of {len(jobs)} rows failed. {(time.monotonic() - began) / 60:.1f} min in all.")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
