"""The faults by name, and bringing one about in a process of a pool."""

from __future__ import annotations

import faulthandler
import sys
import time
from collections.abc import Callable
from pathlib import Path

from tests.faults import (
    alignment,
    eight_hours,
    full_disk,
    kills,
    malformed,
    microphones,
    network,
    portaudio,
    recogniser,
    writers,
)
from tests.faults.table import Row

CASES: dict[str, Callable[[float, Path], Row]] = {
    # The two long ones first: the others run beside them.
    "writers": lambda share, work: writers.run(10 * share, work),
    "eight-hours": lambda share, work: eight_hours.run(8 * share, work),
    "kills": lambda share, work: kills.run(_count(200, share), work),
    "full-disk": lambda share, work: full_disk.run(_count(50, share), work),
    "recogniser": lambda share, work: recogniser.run(_count(50, share), work),
    "microphones": lambda share, work: microphones.run(_count(20, share), work),
    "portaudio": lambda share, work: portaudio.run(_count(10, share), work),
    "malformed": lambda share, work: malformed.run(work),
    "alignment": lambda share, work: alignment.run(1, work),
    "network": lambda share, work: network.run(max(3.0, 20 * share), work),
}


LONGEST_SECONDS = 1_500.0
"""A fault that takes longer hangs: its process says where, and ends."""


def _count(whole: int, share: float) -> int:
    return max(1, round(whole * share))


def do(name: str, share: float, work: Path) -> tuple[Row, float]:
    began = time.monotonic()
    faulthandler.dump_traceback_later(LONGEST_SECONDS, exit=True, file=sys.stderr)
    folder = work / name
    folder.mkdir(parents=True)
    try:
        row = CASES[name](share, folder)
    except Exception as error:
        row = Row(fault=name, runs=1, good=0, figures="", wrong=(f"{type(error).__name__}: {error}",))
    faulthandler.cancel_dump_traceback_later()
    return row, time.monotonic() - began
