"""How fast the review answers, as a table: opening, and the time from a key to the redrawn screen.

    python -m tests.tui.bench [UTTERANCES]

Targets: opening five thousand utterances within 1.0 s, 95 of 100 keys answered within 50 ms. Nothing here is asserted;
a busy machine is slower.
"""

from __future__ import annotations

import asyncio
import os
import platform
import statistics
import sys
import tempfile
import time
from pathlib import Path

from rich.console import RenderableType
from textual.pilot import Pilot
from textual.screen import Screen

from benchvoice.app.desk import Desk
from benchvoice.app.review import Review
from benchvoice.domain.events import UtteranceHeard
from benchvoice.domain.readings import Reading
from benchvoice.domain.words import Utterance
from benchvoice.journal import Journal
from benchvoice.tui.app import ReviewApp
from tests.tui import talk

KEYS: dict[str, tuple[str, int]] = {
    "down": ("down", 60),
    "page down": ("pagedown", 30),
    "end": ("end", 4),
    "home": ("home", 4),
    "accept and go on": ("a", 40),
    "drop": ("x", 20),
    "number": ("3", 20),
    "next doubt": ("n", 40),
    "undo": ("u", 30),
    "redo": ("r", 20),
    "doubtful first": ("d", 6),
    "what waits": ("t", 6),
}


def big_sitting(path: Path, count: int) -> None:
    """A journal of so many utterances: the bench talk over and over, read once, committed in one go."""
    lines = [talk.BENCH[n % len(talk.BENCH)] for n in range(count)]
    journal = talk.sitting(path, [])
    readings = [next(iter(talk.reader().read_all([item]))) for item in talk.utterances(talk.BENCH)]
    bodies = [
        UtteranceHeard(sitting=f"{talk.STOCK}-s1", reading=_again(readings[n % len(readings)], item))
        for n, item in enumerate(talk.utterances(lines))
    ]
    journal.append(bodies, talk.STOCK)
    journal.close()


def _again(reading: Reading, utterance: Utterance) -> Reading:
    return Reading(utterance=utterance, findings=reading.findings, domain=reading.domain, rest=reading.rest)


class Watched(ReviewApp):
    """Notes when something was last drawn, so that the driver's own waiting isn't counted."""

    drawn = 0.0
    worked = 0.0

    def _display(self, screen: Screen[object], renderable: RenderableType | None) -> None:
        super()._display(screen, renderable)
        self.drawn, self.worked = time.perf_counter(), time.process_time()


Took = tuple[float, float]
"""Seconds by the clock, and of the processor: the second doesn't depend on what else the machine does."""


async def answered(app: Watched, pilot: Pilot[None], key: str) -> Took:
    """From a key until the last drawing that it led to; nothing for a key that changed nothing on the screen."""
    start, worked = time.perf_counter(), time.process_time()
    await pilot.press(key)
    return max(0.0, app.drawn - start), max(0.0, app.worked - worked)


async def measure(path: Path) -> dict[str, list[Took]]:
    took: dict[str, list[Took]] = {}
    began, worked = time.perf_counter(), time.process_time()
    with Journal.open(path) as journal:
        app = Watched(Desk(Review(journal, talk.STOCK, talk.words(), talk.reader())))
        async with app.run_test(size=(120, 40)) as pilot:
            await pilot.pause()
            took["opening"] = [(app.drawn - began, app.worked - worked)]
            for name, (key, times) in KEYS.items():
                for _ in range(times):
                    took.setdefault(name, []).append(await answered(app, pilot, key))
            await pilot.press("slash")
            for letter in "rod bearing":
                key = "space" if letter == " " else letter
                took.setdefault("a letter of a search", []).append(await answered(app, pilot, key))
    return took


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    os.environ["TEXTUAL_ANIMATIONS"] = "none"
    with tempfile.TemporaryDirectory() as folder:
        os.environ["BENCHVOICE_HOME"] = folder
        path = Path(folder) / "journal.db"
        big_sitting(path, count)
        took = asyncio.run(measure(path))
    print(
        f"{count} utterances, Python {platform.python_version()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}"
    )
    print(f"{'':<24}{'times':>6}{'median ms':>12}{'p95 ms':>10}{'p95 CPU ms':>14}")
    for name, values in took.items():
        _row(name, values)
    _row("all keys", [value for name, values in took.items() if name != "opening" for value in values])


def _row(name: str, values: list[Took]) -> None:
    clock, work = [value[0] for value in values], [value[1] for value in values]
    median = 1000 * statistics.median(clock)
    print(f"{name:<24}{len(values):>6}{median:>12.1f}{1000 * _p95(clock):>10.1f}{1000 * _p95(work):>14.1f}")


def _p95(values: list[float]) -> float:
    return sorted(values)[min(len(values) - 1, int(0.95 * len(values)))]


if __name__ == "__main__":
    main()
