"""How long a report takes and how much memory: `python -m tests.report.speed [UTTERANCES]`. Prints a table."""

from __future__ import annotations

import os
import random
import resource
import sys
import time
from collections.abc import Callable
from typing import Any

from benchvoice import lexicon
from benchvoice.domain.engine import Engine, Layout
from benchvoice.domain.record import Record
from benchvoice.report import Format, Options, Units, build
from benchvoice.report.write import make
from tests.report.records import WHEN, engine, random_finding, record_of

UTTERANCES = 5000


def long_record(utterances: int) -> tuple[Record, Engine]:
    """A record of many sittings' worth of talk about one engine: one finding an utterance, much of it said twice."""
    dice = random.Random(5)
    of = engine(layout=Layout.VEE, cylinders=8, mains=5)
    spoken = []
    for n in range(utterances):
        found = random_finding(dice, of)
        spoken.append((f"utterance {n} says something about the {found.part.replace('_', ' ')} at the bench", [found]))
    return record_of(spoken, of=of), of


def main() -> None:
    utterances = int(sys.argv[1]) if len(sys.argv) > 1 else UTTERANCES
    record, of = long_record(utterances)
    words = lexicon.load()
    before = _memory()
    rows: list[tuple[str, float, int]] = []
    options = Options(made_at=WHEN, units=Units.BOTH)
    seconds, report = _timed(lambda: build(record, of, words, options=options))
    rows.append(("build", seconds, 0))
    for form in Format:
        seconds, files = _timed(lambda form=form: make(report, [form]))  # type: ignore[misc]
        rows.append((form.value, seconds, sum(len(data) for data in files.values())))
    print(f"{utterances} utterances, {len(report.evidence)} findings; {os.cpu_count()} cores, Python {sys.version[:6]}")
    print(f"{'step':<10}{'seconds':>9}{'ms/utt.':>9}{'kB':>9}")
    for name, seconds, size in rows:
        print(f"{name:<10}{seconds:>9.2f}{seconds / utterances * 1000:>9.3f}{size / 1000:>9.0f}")
    print(f"{'all':<10}{sum(row[1] for row in rows):>9.2f}")
    print(f"peak memory {_memory():.0f} MB, of which {before:.0f} MB before the report was built")


def _timed(call: Callable[[], Any]) -> tuple[float, Any]:
    start = time.perf_counter()
    out = call()
    return time.perf_counter() - start, out


def _memory() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    main()
