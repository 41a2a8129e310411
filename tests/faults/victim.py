"""A sitting in a process of its own, to be killed. Usage: python -m tests.faults.victim HOME RATE

It bears witness on standard output, unbuffered: "d SAMPLES" after the device delivered, "c N" after utterance N was
committed, "ready" once the recogniser listens.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from benchvoice.app.live.signs import Committed, EarReady, Sign
from benchvoice.journal.journal import Journal
from tests.faults.books import opened
from tests.faults.devices import PlayedMicrophone, counting
from tests.faults.stage import sitting


def witness(line: str) -> None:
    os.write(1, (line + "\n").encode())


def main() -> None:
    home, rate = Path(sys.argv[1]), int(sys.argv[2])
    device = PlayedMicrophone(counting, rate=rate)
    device.on_block = lambda samples: witness(f"d {samples}")

    def show(sign: Sign) -> None:
        if isinstance(sign, Committed):
            witness(f"c {sign.reading.utterance.n}")
        elif isinstance(sign, EarReady):
            witness("ready")

    with Journal.open(home / "journal.db") as journal:
        sitting(home, opened(journal), device, show=show).run()


if __name__ == "__main__":
    main()
