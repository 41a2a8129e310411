"""Prints how fast the reader is: `python -m tests.interpret.bench`."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

from benchvoice.domain.words import typed
from benchvoice.interpret import Reader
from benchvoice.lexicon import load
from tests.interpret.scoring import engine_of, narrations

TUNED = Path(__file__).parent.parent / "narrations" / "tuned"
ROUNDS = 5
COLD = "import benchvoice.interpret as i, benchvoice.lexicon as l; i.Reader(l.load())"


def main() -> None:
    lexicon = load()
    times: list[float] = []
    for story in narrations(TUNED):
        reader = Reader(lexicon, engine_of(story))
        for _ in range(ROUNDS):
            context = reader.start()
            for n, item in enumerate(story["utterances"]):
                utterance = typed(n, item["say"])
                start = time.perf_counter()
                _, context = reader.read(utterance, context)
                times.append(time.perf_counter() - start)
    cold = []
    for _ in range(3):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", COLD], check=True)
        cold.append(time.perf_counter() - start)
    times.sort()
    print(f"cores {os.cpu_count()}, one used; {len(times)} readings")
    print("| measure | value |\n| --- | --- |")
    print(f"| utterances a second | {len(times) / sum(times):.0f} |")
    print(f"| median, ms | {statistics.median(times) * 1000:.2f} |")
    print(f"| 99th percentile, ms | {times[int(len(times) * 0.99)] * 1000:.2f} |")
    print(f"| slowest, ms | {times[-1] * 1000:.2f} |")
    print(f"| a loaded reader from a cold start, s | {min(cold):.2f} |")


if __name__ == "__main__":
    main()
