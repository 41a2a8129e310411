"""No network socket in a whole sitting, in either process, seen from inside and from outside.

Inside, an audit hook of the interpreter notes every socket that Python makes. From outside, the sockets that the
processes hold are looked up in the kernel's tables of TCP, UDP and raw sockets, which also shows those that libraries
open.
"""

from __future__ import annotations

import sys
import threading
import time
from pathlib import Path

from benchvoice.journal.journal import Journal
from tests.faults.books import STOCK, opened
from tests.faults.devices import PlayedMicrophone, counting
from tests.faults.stage import sitting, ticks
from tests.faults.table import Row

TABLES = ("tcp", "tcp6", "udp", "udp6", "raw", "raw6", "icmp", "icmp6")


def open_sockets(pid: int) -> list[str]:
    """The network sockets that a process holds, as "tcp inode"."""
    held = set()
    try:
        for link in Path(f"/proc/{pid}/fd").iterdir():
            target = link.readlink().as_posix()
            if target.startswith("socket:["):
                held.add(target[8:-1])
    except OSError:
        pass
    found = []
    for table in TABLES:
        path = Path(f"/proc/{pid}/net/{table}")
        try:
            rows = path.read_text().splitlines()[1:]
        except OSError:
            continue
        found += [f"{table} {row.split()[9]}" for row in rows if len(row.split()) > 9 and row.split()[9] in held]
    return found


def run(seconds: float, work: Path) -> Row:
    made: list[str] = []
    watching = True

    def hook(event: str, given: tuple[object, ...]) -> None:
        if watching and event in ("socket.__new__", "socket.connect", "socket.bind", "socket.getaddrinfo"):
            made.append(f"{event} {given}")

    sys.addaudithook(hook)
    home = work / "network"
    home.mkdir(parents=True)
    seen: list[str] = []
    looks = 0
    done = threading.Event()
    with Journal.open(home / "journal.db") as journal:
        live = sitting(home, opened(journal), PlayedMicrophone(counting))

        def look() -> None:
            nonlocal looks
            import os

            while not done.is_set():
                for pid in filter(None, (os.getpid(), live.hearing.pid)):
                    seen.extend(open_sockets(pid))
                looks += 1
                time.sleep(0.02)

        watcher = threading.Thread(target=look)
        watcher.start()
        threading.Timer(seconds, live.stop).start()
        live.run()
        done.set()
        watcher.join()
        heard = len(ticks(journal.record(STOCK)))
    watching = False
    wrong = [*made, *seen] + ([] if heard else ["nothing was heard"])
    return Row(
        fault="no network socket in a sitting",
        runs=1,
        good=int(not wrong),
        figures=f"{looks} looks at both processes in {seconds:g} s, {len(made)} made, {len(seen)} seen",
        wrong=tuple(wrong[:5]),
    )
