"""The same recogniser once more in a process of its own, so that a sound file is heard on two cores.

Decoding keeps Python's lock, so threads don't help. The process is started afresh (`python -m`), gets spans through its
standard input and answers on its standard output, and ends when its input does. If it can't start or dies, everything
is heard by the first one alone: slower, and nothing lost.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from collections import deque
from collections.abc import Iterable, Iterator
from itertools import islice
from threading import Condition, Thread
from typing import IO

from benchvoice.audio.spans import Span
from benchvoice.recognise import open_recogniser
from benchvoice.recognise.base import Heard, Recogniser

AHEAD = 8
"""Spans that are found before the first of them is given out. With fewer in all, the second one isn't started: it would
take longer to load its models than to help.
"""


def both_hear(spans: Iterable[Span], recogniser: Recogniser) -> Iterator[tuple[Span, Heard]]:
    """Each span with what was heard in it, in order."""
    if (os.cpu_count() or 1) < 2:
        yield from ((span, recogniser.hear(span.pcm, start=span.t0, snr=span.snr)) for span in spans)
        return
    queue = _Queue()
    second = Thread(target=_second, args=(queue, recogniser.name), name="other core", daemon=True)
    try:
        yield from _in_order(iter(spans), queue, recogniser, second)
    finally:
        queue.close()


def _in_order(
    spans: Iterator[Span], queue: _Queue, recogniser: Recogniser, second: Thread
) -> Iterator[tuple[Span, Heard]]:
    waiting: deque[tuple[int, Span]] = deque()
    fed = 0
    while True:
        for span in islice(spans, AHEAD - len(waiting)):
            queue.put(fed, span)
            waiting.append((fed, span))
            fed += 1
        if not waiting:
            return
        if fed == AHEAD and second.ident is None:
            second.start()
        number, span = waiting.popleft()
        while (heard := queue.result(number)) is None:
            mine = queue.take()
            if mine is None:
                queue.wait(number)
            else:
                queue.done(mine[0], recogniser.hear(mine[1].pcm, start=mine[1].t0, snr=mine[1].snr))
        yield span, heard


class _Queue:
    """Spans to hear and what was heard, shared by two threads."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._todo: deque[tuple[int, Span]] = deque()
        self._done: dict[int, Heard] = {}
        self._closed = False

    def put(self, number: int, span: Span) -> None:
        with self._changed:
            self._todo.append((number, span))
            self._changed.notify_all()

    def put_back(self, number: int, span: Span) -> None:
        with self._changed:
            self._todo.appendleft((number, span))
            self._changed.notify_all()

    def take(self, *, wait: bool = False) -> tuple[int, Span] | None:
        """The next span to hear; None if there is none, or with `wait` once the queue is closed."""
        with self._changed:
            if wait:
                self._changed.wait_for(lambda: self._closed or bool(self._todo))
            return self._todo.popleft() if self._todo and not self._closed else None

    def done(self, number: int, heard: Heard) -> None:
        with self._changed:
            self._done[number] = heard
            self._changed.notify_all()

    def result(self, number: int) -> Heard | None:
        with self._changed:
            return self._done.pop(number, None)

    def wait(self, number: int) -> None:
        """Until this one was heard, or there is a span to hear here after all."""
        with self._changed:
            self._changed.wait_for(lambda: number in self._done or bool(self._todo))

    def close(self) -> None:
        with self._changed:
            self._closed = True
            self._changed.notify_all()


def _second(queue: _Queue, name: str) -> None:
    """Runs in a thread: hands spans to the other process until the queue is closed or the process fails."""
    try:
        process = subprocess.Popen(
            [sys.executable, "-m", __name__, name],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
    except OSError:
        return
    assert process.stdin is not None
    assert process.stdout is not None
    with process:
        while (job := queue.take(wait=True)) is not None:
            number, span = job
            try:
                _send(process.stdin, (span.pcm, span.t0, span.snr))
                heard = pickle.load(process.stdout)
            except (OSError, EOFError, pickle.UnpicklingError):
                queue.put_back(number, span)
                process.kill()
                return
            queue.done(number, heard)
        process.stdin.close()


def _send(stream: IO[bytes], message: object) -> None:
    pickle.dump(message, stream, protocol=pickle.HIGHEST_PROTOCOL)
    stream.flush()


def main() -> None:
    """The other process: spans from standard input, what was heard to standard output, until the input ends."""
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(2, 1)  # what a library prints must not get between the answers
    recogniser = open_recogniser(sys.argv[1])
    while True:
        try:
            pcm, start, snr = pickle.load(sys.stdin.buffer)
        except EOFError:
            return
        _send(answers, recogniser.hear(pcm, start=start, snr=snr))


if __name__ == "__main__":
    main()
