"""Intake on a terminal: it asks for what wasn't given, checks the VIN while the plate is in reach, draws the engine."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import subprocess
import sys
import termios
import time

from benchvoice.journal import Journal


def _as_for_people() -> None:
    """A controlling terminal of its own, and a Ctrl+C that counts although tests in the background inherit none."""
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    signal.signal(signal.SIGINT, signal.SIG_DFL)


class Terminal:
    """A program on a terminal of its own, and somebody who answers it."""

    def __init__(self, *arguments: str) -> None:
        self._ours, theirs = pty.openpty()
        self._program = subprocess.Popen(
            [sys.executable, "-m", "benchvoice", *arguments],
            stdin=theirs, stdout=theirs, stderr=theirs, env={**os.environ, "TERM": "xterm"}, start_new_session=True,
            preexec_fn=_as_for_people,  # noqa: PLW1509 no threads here
        )  # fmt: skip
        os.close(theirs)
        self.seen = ""

    def wait_for(self, text: str, seconds: float = 60.0) -> None:
        start, deadline = len(self.seen), time.monotonic() + seconds
        while text not in self.seen[start:]:
            ready, _, _ = select.select([self._ours], [], [], 0.2)
            if ready:
                self.seen += os.read(self._ours, 65_536).decode(errors="replace")
            assert time.monotonic() < deadline, f"{text!r} didn't come; seen: {self.seen[-800:]}"

    def answer(self, question: str, text: str) -> None:
        self.wait_for(question)
        os.write(self._ours, f"{text}\n".encode())

    def close(self) -> int:
        status = self._program.wait(timeout=60)
        os.close(self._ours)
        return status


def test_it_asks_draws_and_takes_the_engine_in() -> None:
    terminal = Terminal("intake", "E-0417", "--maker", "Vennbrook")
    terminal.answer("Family", "Plover")
    terminal.answer("Displacement", "3.4 L")
    terminal.answer("Layout", "vee")
    terminal.answer("Cylinders", "6")
    terminal.answer("Valve gear", "")
    terminal.answer("Fuel", "")
    terminal.answer("VIN", "1M8GDM9A0KP042788")
    terminal.answer("as it is on the plate", "1M8GDM9AXKP042788")
    terminal.answer("came from", "an invented auction")
    terminal.answer("cost", "420.00")
    terminal.answer("Currency", "USD")
    terminal.answer("claimed", "ran when pulled")
    terminal.answer("verified", "")
    terminal.answer("how its cylinders are numbered", "n")
    terminal.answer("Cylinder one is at the", "flywheel")
    terminal.answer("Numbers run", "by_bank")
    terminal.answer("Cylinder one's bank", "right")
    terminal.answer("how its cylinders are numbered", "y")
    terminal.wait_for("is taken in")
    assert terminal.close() == 0
    assert "should be X" in terminal.seen
    with Journal.open() as journal:
        engine = journal.record("E-0417").engine
    assert engine is not None
    assert (engine.maker, engine.family, engine.cylinders, str(engine.cost)) == ("Vennbrook", "Plover", 6, "420.00")
    assert (engine.vin, engine.claimed, engine.verified) == ("1M8GDM9AXKP042788", ("ran when pulled",), ())
    numbering = engine.numbering
    assert (numbering.numbered_from, numbering.bank_order, numbering.first_bank, numbering.confirmed) == (
        "flywheel", "by_bank", "right", True,
    )  # fmt: skip


def test_what_is_given_isnt_asked_for() -> None:
    terminal = Terminal("intake", "E-2", "--layout", "inline", "--cylinders", "4")
    terminal.wait_for("is taken in")
    assert terminal.close() == 0
    assert "Maker" not in terminal.seen


def test_stopping_half_way_leaves_nothing() -> None:
    terminal = Terminal("intake")
    terminal.answer("Stock number", "E-3")
    terminal.answer("Maker", "\x03")
    assert terminal.close() == 130
    assert "Traceback" not in terminal.seen
    with Journal.open() as journal:
        assert journal.engines() == []
