"""How fast the journal is: `python -m tests.journal.benchmark [UTTERANCES]` prints a table."""

from __future__ import annotations

import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from benchvoice.domain.engine import Engine
from benchvoice.domain.events import EngineTakenIn, FindingsAccepted, SittingOpened, Undone, UtteranceHeard
from benchvoice.domain.findings import Because, Finding, Kind, Place
from benchvoice.domain.readings import Reading
from benchvoice.domain.words import Utterance, Word
from benchvoice.journal import Journal

STOCK, SITTING = "E-0417", "E-0417-s1"


def reading(n: int) -> Reading:
    """An utterance of eight words with one finding, as long as real ones are."""
    texts = ["number", "three", "rod", "bearing", "is", "wiped", "copper", "showing"]
    t0 = 3.0 * n
    words = tuple(
        Word(text=text, t0=t0 + 0.3 * i, t1=t0 + 0.3 * i + 0.25, confidence=0.87) for i, text in enumerate(texts)
    )
    utterance = Utterance(
        n=n,
        words=words,
        t0=t0,
        t1=t0 + 2.4,
        confidence=0.86,
        recogniser="benchmark",
        alternatives=(" ".join(texts),) * 2,
    )
    why = tuple(
        Because(field=field, value="3", rule="parts", words=(1, 3)) for field in ("part", "cylinder", "condition")
    )
    finding = Finding(
        kind=Kind.CONDITION, part="rod_bearing", place=Place(cylinder=n % 8 + 1), condition="wiped",
        t0=t0, t1=t0 + 2.4, text=utterance.text, confidence=0.85, why=why,
    )  # fmt: skip
    return Reading(utterance=utterance, findings=(finding, replace(finding, condition="scored")))


def timed(call: Callable[[], object], times: int = 1) -> float:
    """Median milliseconds of a call."""
    out = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        out.append((time.perf_counter() - start) * 1e3)
    return statistics.median(out)


def main(count: int = 5000) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "journal.db"
        rows = measure(path, count)
        size = path.stat().st_size / 1e6
    print(f"{count} utterances, {2 * count} findings, {size:.1f} MB on disk, {os.cpu_count()} cores")
    for name, milliseconds in rows:
        print(f"{name:<48} {milliseconds:>9.2f} ms")
    print(f"{'peak memory of the process':<48} {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3:>9.0f} MB")


def measure(path: Path, count: int) -> list[tuple[str, float]]:
    rows: list[tuple[str, float]] = []
    with Journal.open(path) as journal:
        journal.append(EngineTakenIn(engine=Engine(stock=STOCK, cylinders=8)), STOCK)
        journal.append(SittingOpened(sitting=SITTING, source="text"), STOCK)
        numbers = iter(range(count))
        start = time.perf_counter()
        for n in numbers:
            journal.append(UtteranceHeard(sitting=SITTING, reading=reading(n)), STOCK)
        rows.append(("committing an utterance, each", (time.perf_counter() - start) * 1e3 / count))
    with Journal.open(path) as journal:
        rows.append(("opening: all events read and folded", timed(lambda: journal.record(STOCK))))
        rows.append(("asking again, nothing new", timed(lambda: journal.record(STOCK), 50)))
        names = iter(f"{SITTING}.{n}.0" for n in range(count))
        rows.append(
            (
                "accepting a finding, with its record",
                timed(
                    lambda: (
                        journal.append(FindingsAccepted(finding_ids=(next(names),)), STOCK),
                        journal.record(STOCK),
                    ),
                    30,
                ),
            )
        )
        rows.append(
            (
                "undoing a step, with its record",
                timed(
                    lambda: (
                        journal.append(Undone(event=journal.record(STOCK).undoable[-1]), STOCK),
                        journal.record(STOCK),
                    ),
                    20,
                ),
            )
        )
        rows.append(("search for two words", timed(lambda: journal.search(STOCK, "copper rod", limit=200), 20)))
        rows.append(("the list of engines with their counts", timed(journal.engines, 5)))
        rows.append(("making all tables anew", timed(journal.rebuild)))
    return rows


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)
