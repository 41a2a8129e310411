"""Keeps the recogniser's process running: starts it, starts it again where it was, steps over what kills it.

A stretch gets two tries. After the second death on the same one it is skipped: its sound stays, and a sign says so. A
process that dies without having reached a stretch is started again after a growing pause; recording never waits for it.
"""

from __future__ import annotations

import pickle
import subprocess
import threading
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path

from benchvoice.app.live.ear import EarMaker
from benchvoice.app.live.signs import (
    AllHeard,
    EarDied,
    EarReady,
    HeardUpTo,
    Sign,
    StretchSkipped,
    UtteranceCame,
)
from benchvoice.app.live.worker import Task, mostly_within, start
from benchvoice.domain.words import Utterance

TRIES = 2
LONGEST_PAUSE = 30.0


class Supervisor(threading.Thread):
    """Runs the recogniser over `folder` from `since` on, until `end` was called and all is heard, or `abandon`."""

    def __init__(self, folder: Path, maker: EarMaker, tell: Callable[[Sign], None], *, since: float = 0.0) -> None:
        super().__init__(name="hearing", daemon=True)
        self._folder = folder
        self._maker = maker
        self._tell = tell
        self._through = since
        self._at = since
        self._stretch: tuple[float, float] | None = None
        self._deaths: dict[tuple[float, float], int] = {}
        self._idle_deaths = 0
        self._skip: list[tuple[float, float]] = []
        self._end: float | None = None
        self._end_sent = False
        self._abandoned = threading.Event()
        self._process: subprocess.Popen[bytes] | None = None
        self._orders: Connection | None = None
        self._done = False
        self._said = ""

    @property
    def at(self) -> float:
        """How far the recogniser has come."""
        return self._at

    @property
    def pid(self) -> int | None:
        process = self._process
        return process.pid if process is not None else None

    def end(self, until: float) -> None:
        """No more sound comes after this; hear what is left."""
        self._end = until

    def abandon(self) -> None:
        """Stop at once; what is not heard yet stays on disk for later."""
        self._abandoned.set()

    def run(self) -> None:
        while not self._done and not self._abandoned.is_set():
            detail = self._one_life()
            if self._done or self._abandoned.is_set():
                break
            self._mourn(detail)
        if self._done:
            self._tell(AllHeard(until=self._at))

    def _one_life(self) -> str:
        """Start a process and pass on what it says until it ends; gives how it ended."""
        self._end_sent = False
        task = Task(folder=self._folder, since=self._through, maker=self._maker, skip=tuple(self._skip))
        try:
            self._process, ours, self._orders = start(task)
        except OSError as error:
            return f"not started: {error.strerror or error}"
        process = self._process
        try:
            self._listen(ours)
        finally:
            if self._abandoned.is_set():
                process.terminate()
            try:
                process.wait(timeout=10.0)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
            ours.close()
            self._orders.close()
            self._process = None
        said, self._said = self._said, ""
        return said or f"exit status {process.returncode}"

    def _listen(self, ours: Connection) -> None:
        while not self._abandoned.is_set():
            self._send_end()
            try:
                if not ours.poll(0.1):
                    continue
                message = ours.recv()
            except (EOFError, OSError, pickle.UnpicklingError):
                return
            self._take(message)
            if self._done:
                return

    def _take(self, message: tuple[object, ...]) -> None:
        match message:
            case ("ready", str(name), float(since)):
                self._tell(EarReady(recogniser=name, since=since))
            case ("begin", float(t0), float(t1)):
                self._stretch = (t0, t1)
            case ("heard", Utterance() as utterance):
                # From here on it is not heard again, even if the process dies before its next word.
                self._through = max(self._through, utterance.t1 or 0.0)
                self._at = max(self._at, self._through)
                self._stretch, self._idle_deaths = None, 0
                self._tell(UtteranceCame(utterance=utterance))
                self._tell(HeardUpTo(until=self._through))
            case ("through", float(until)):
                self._through = max(self._through, until)
                self._at = max(self._at, until)
                self._stretch, self._idle_deaths = None, 0
                self._tell(HeardUpTo(until=self._through))
            case ("at", float(until)):
                self._at = max(self._at, until)
            case ("broken", str(text)):
                self._said = text
            case ("done", float(until)):
                self._at = max(self._at, until)
                self._done = True

    def _send_end(self) -> None:
        if self._end is not None and not self._end_sent and self._orders is not None:
            self._end_sent = True
            try:
                self._orders.send(("end", self._end))
            except (BrokenPipeError, OSError):
                self._end_sent = False

    def _mourn(self, detail: str) -> None:
        """The process died. Decide what the next one does."""
        stretch, self._stretch = self._stretch, None
        self._at = self._through
        if stretch is None:
            self._idle_deaths += 1
            self._tell(EarDied(since=self._through, deaths=self._idle_deaths, detail=detail))
            self._wait(min(LONGEST_PAUSE, 0.25 * 2**self._idle_deaths) if self._idle_deaths > 1 else 0.0)
            return
        known = next((other for other in self._deaths if mostly_within(*stretch, other)), stretch)
        deaths = self._deaths[known] = self._deaths.get(known, 0) + 1
        self._tell(EarDied(since=self._through, deaths=deaths, detail=detail))
        if deaths >= TRIES:
            self._skip.append(stretch)
            self._tell(StretchSkipped(t0=stretch[0], t1=stretch[1]))

    def _wait(self, seconds: float) -> None:
        until = time.monotonic() + seconds
        while time.monotonic() < until and not self._abandoned.is_set():
            time.sleep(0.05)
