"""The recogniser's own process: follows the sound journal on disk and tells what it hears.

It shares nothing with the recording but the files, so that it can fall behind, crash and be started again. Before it
hears a stretch it says which, so that a stretch that kills it is known. Messages are plain tuples through a pipe:

    ("ready", name, since)      ("begin", t0, t1)       about to hear this stretch
    ("heard", utterance)        ("through", until)      everything before this is done with
    ("at", until)               how far it has listened, with nothing said
    ("broken", text)            it can't work, and why; it ends
    ("done", until)             all sound up to the end that it was told has been gone through

and to it: ("end", until): no more sound will come after this.
"""

from __future__ import annotations

import contextlib
import gc
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

from benchvoice.app.live.ear import Ear, EarMaker
from benchvoice.audio.follow import Follower
from benchvoice.audio.spans import AGAIN_SECONDS
from benchvoice.domain.words import Utterance
from benchvoice.errors import BenchvoiceError

POLL_SECONDS = 0.05
THROUGH_SECONDS = 1.0
"""How often it tells how far it is while nothing is said."""
LOG = "recogniser.log"
"""In the sitting's folder: what the process said before it failed."""
FLAT = {"MALLOC_MMAP_THRESHOLD_": "262144", "MALLOC_TRIM_THRESHOLD_": "1048576"}
"""Settings of glibc (mallopt(3)) under which large pieces of memory go back as soon as they are free: recognisers take
such for every span, each of another size, and a heap full of holes would grow all day. Elsewhere they mean nothing.
"""
CARE_SECONDS = AGAIN_SECONDS + 2.0
"""In silence, what lies further back than this is done with: a word's beginning may still become speech, and a soft
voice is heard once more.
"""


def mostly_within(t0: float, t1: float, stretch: tuple[float, float]) -> bool:
    """True if more than half of t0..t1 lies in the stretch: the same one, cut a little differently after a restart."""
    return min(t1, stretch[1]) - max(t0, stretch[0]) > 0.5 * (t1 - t0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What a worker is started with. Stretches that lie for the greater part within one of `skip` are not heard."""

    folder: Path
    since: float
    maker: EarMaker
    skip: tuple[tuple[float, float], ...] = ()
    nice: int = 5


def start(task: Task) -> tuple[subprocess.Popen[bytes], Connection, Connection]:
    """A worker's process, the end to read its messages from, and the end to send it orders through.

    A plain `python -m` rather than a fork: it shares no thread, lock or open file with a program that is recording.
    Raises OSError if the system can't start one.
    """
    read_out, write_out = os.pipe()
    read_orders, write_orders = os.pipe()
    log = os.open(task.folder / LOG, os.O_WRONLY | os.O_CREAT | os.O_APPEND | os.O_CLOEXEC, 0o600)
    try:
        process = subprocess.Popen(
            [sys.executable, "-m", "benchvoice.app.live.worker", str(read_orders), str(write_out)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=log,
            pass_fds=(read_orders, write_out),
            env=os.environ | {"PYTHONPATH": os.pathsep.join(path for path in sys.path if path)} | FLAT,
        )
    except OSError:
        os.close(read_out)
        os.close(write_orders)
        raise
    finally:
        os.close(write_out)
        os.close(read_orders)
        os.close(log)
    out, orders = Connection(read_out, writable=False), Connection(write_orders, readable=False)
    with contextlib.suppress(BrokenPipeError):
        orders.send(task)
    return process, out, orders


def main(read_orders: int, write_out: int) -> None:
    """Entry point of the process. Ends when all is heard, or when the other side is gone."""
    # A Ctrl-C in the terminal reaches every process of the group; who ends this one is the sitting alone.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    orders, out = Connection(read_orders, writable=False), Connection(write_out, readable=False)
    with contextlib.suppress(BrokenPipeError, EOFError):
        task: Task = orders.recv()
        os.nice(task.nice)
        try:
            _Worker(task, out, orders).run()
        except BenchvoiceError as error:
            out.send(("broken", str(error)))


class _Worker:
    def __init__(self, task: Task, out: Connection, orders: Connection) -> None:
        self._task = task
        self._out = out
        self._orders = orders
        self._end: float | None = None
        self._told = -THROUGH_SECONDS

    def run(self) -> None:
        ear = self._task.maker(self._announce)
        gc.freeze()
        self._out.send(("ready", ear.name, self._task.since))
        follower = Follower(self._task.folder, since=self._task.since)
        at, begun = self._task.since, False
        while True:
            self._look_for_orders()
            piece = follower.read()
            if piece is None:
                if self._end is not None:
                    break
                time.sleep(POLL_SECONDS)
                continue
            if piece.breaks:
                if begun:
                    self._pass_on(ear.finish())
                ear.begin(piece.start)
                begun = True
            self._pass_on(ear.feed(piece.samples))
            at = piece.end
            self._tell_place(ear, at)
        if begun:
            self._pass_on(ear.finish())
        self._out.send(("done", at))

    def _look_for_orders(self) -> None:
        while self._orders.poll():
            order = self._orders.recv()
            if order[0] == "end":
                self._end = order[1]

    def _announce(self, t0: float, t1: float) -> bool:
        if any(mostly_within(t0, t1, stretch) for stretch in self._task.skip):
            return False
        self._out.send(("begin", t0, t1))
        return True

    def _pass_on(self, utterances: Iterable[Utterance]) -> None:
        for utterance in utterances:
            self._out.send(("heard", utterance))

    def _tell_place(self, ear: Ear, at: float) -> None:
        if at - self._told < THROUGH_SECONDS:
            return
        self._told = at
        self._out.send(("at", at))
        if ear.open_since is None and at - CARE_SECONDS > self._task.since:
            self._out.send(("through", at - CARE_SECONDS))


if __name__ == "__main__":
    from benchvoice.app.live import worker

    # By its real name, so that the task that comes through the pipe is of the class that is expected.
    worker.main(int(sys.argv[1]), int(sys.argv[2]))
