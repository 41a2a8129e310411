"""Two programs that write to one journal and one that reads it, at the same time, for minutes."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

from benchvoice.journal.journal import Journal
from tests.faults.books import SITTING, STOCK, opened
from tests.faults.table import Row

WRITER = """
import random, sys, time
from pathlib import Path
from benchvoice.domain.events import FindingsAccepted, UtteranceHeard
from benchvoice.domain.words import typed
from benchvoice.journal.journal import Journal
from tests.faults.books import SITTING, STOCK, RuleBook
path, until, base = Path(sys.argv[1]), time.time() + float(sys.argv[2]), int(sys.argv[3])
rng, n, worst = random.Random(base), 0, 0.0
with Journal.open(path) as journal:
    book = RuleBook(journal)
    while time.time() < until:
        begun = time.monotonic()
        book.hear(typed(base + n, "compression on number one is one sixty"))
        if n % 5 == 4:
            journal.append(FindingsAccepted(finding_ids=(f"{SITTING}.{base + n}.0",)), STOCK)
        worst = max(worst, time.monotonic() - begun)
        n += 1
        time.sleep(rng.uniform(0.0, 0.15))
print(n, worst)
"""

READER = """
import sys, time
from pathlib import Path
from benchvoice.journal.journal import Journal
from tests.faults.books import STOCK
path, until = Path(sys.argv[1]), time.time() + float(sys.argv[2])
reads, last, worst = 0, 0, 0.0
with Journal.open(path) as journal:
    while time.time() < until:
        begun = time.monotonic()
        if journal.changed():
            seen = len(journal.record(STOCK).entries)
            assert seen >= last, (seen, last)
            last = seen
        worst = max(worst, time.monotonic() - begun)
        reads += 1
        time.sleep(0.1)
print(reads, worst)
"""


def run(minutes: float, work: Path) -> Row:
    work.mkdir(parents=True, exist_ok=True)
    path = work / "shared.db"
    with Journal.open(path) as journal:
        opened(journal)
    seconds = str(minutes * 60)
    programs = [(WRITER, "0"), (WRITER, "500000"), (READER, "0")]
    began = time.monotonic()
    running = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(path), seconds, base],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for code, base in programs
    ]
    said = [process.communicate() for process in running]
    wrong = [error.strip().splitlines()[-1] for (_, error), p in zip(said, running, strict=True) if p.returncode]
    if wrong:
        return Row(fault="two writers and a reader", runs=1, good=0, figures="", wrong=tuple(wrong))
    counts = [(int(float(out.split()[0])), float(out.split()[1])) for out, _ in said]
    with Journal.open(path) as journal:
        record = journal.record(STOCK)
        wrong += journal.check()
        there = sum(1 for name, _ in record.said if name == SITTING)
    if there != counts[0][0] + counts[1][0]:
        wrong.append(f"{there} utterances in the journal of {counts[0][0] + counts[1][0]} written")
    return Row(
        fault="two writers and a reader",
        runs=1,
        good=int(not wrong),
        figures=f"{(time.monotonic() - began) / 60:.1f} min, {there} utterances, {counts[2][0]} looks; longest wait of "
        f"a writer {max(counts[0][1], counts[1][1]):.2f} s, of the reader {counts[2][1]:.2f} s; no lock "
        f"reached a person",
        wrong=tuple(wrong),
    )
