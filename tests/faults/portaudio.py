"""A real PortAudio device that goes away and comes back: a private PulseAudio server that is stopped and started again.

The device is the server's null sink, reached as PortAudio reaches any other on Linux, through ALSA. What is not real is
the hardware below. Runs in a process of its own (`python -m tests.faults.portaudio HOME TIMES`), because ALSA reads its
settings from HOME once.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import subprocess
import sys
import threading
import time
from pathlib import Path

from benchvoice.app.live.signs import Held, Level, Sign
from benchvoice.audio import microphone
from benchvoice.errors import SoundError
from benchvoice.journal.journal import Journal
from tests.faults.books import SITTING, STOCK, opened
from tests.faults.stage import on_disk, sitting
from tests.faults.table import Row

NAME = "microphone pulled and back (real PortAudio, ALSA over PulseAudio)"
DEVICE = "benchtest"


class Server:
    """A PulseAudio of our own, with one null sink whose monitor is the microphone."""

    def __init__(self, home: Path) -> None:
        self._home = home
        self._process: subprocess.Popen[bytes] | None = None
        self.socket = home / "native"
        (home / "server.pa").write_text(
            f"load-module module-native-protocol-unix auth-anonymous=1 socket={self.socket}\n"
            "load-module module-null-sink sink_name=shop rate=48000 channels=1\n"
            "set-default-source shop.monitor\n"
        )
        (home / ".asoundrc").write_text(
            f'pcm.{DEVICE} {{ type pulse server "unix:{self.socket}" device "shop.monitor" '
            'hint { show on description "Bench test" } }\n'
        )

    def start(self) -> None:
        self._process = subprocess.Popen(
            ["pulseaudio", "-n", "-F", str(self._home / "server.pa"), "--exit-idle-time=-1", "--use-pid-file=no",
             "--daemonize=no"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        deadline = time.monotonic() + 10.0
        while not self.socket.exists() and time.monotonic() < deadline:
            time.sleep(0.05)

    def stop(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None
        self.socket.unlink(missing_ok=True)


def run(times: int, work: Path) -> Row:
    if shutil.which("pulseaudio") is None:
        return Row(fault=NAME, runs=0, good=0, figures="no sound server is installed here")
    home = (work / "pulse").resolve()
    home.mkdir(parents=True)
    env = os.environ | {"HOME": str(home), "XDG_RUNTIME_DIR": str(home), "PULSE_RUNTIME_PATH": str(home / "run")}
    child = subprocess.run(
        [sys.executable, "-m", "tests.faults.portaudio", str(home), str(times)],
        env=env,
        capture_output=True,
        text=True,
        timeout=60 + 60 * times,
        check=False,
    )
    if child.returncode == 3:
        return Row(fault=NAME, runs=0, good=0, figures=f"no device could be made: {child.stderr.strip()[-200:]}")
    if child.returncode:
        return Row(fault=NAME, runs=times, good=0, figures="", wrong=(child.stderr[-400:],))
    told = json.loads(child.stdout.splitlines()[-1])
    return Row(
        fault=NAME,
        runs=times,
        good=times if not told["wrong"] else 0,
        figures=f"{told['seconds']:.1f} s recorded through {told['device']}, sign after {told['sign']:.1f} s at most, "
        f"recording again {told['back']:.1f} s at most after it was back",
        wrong=tuple(told["wrong"]),
    )


def child(home: Path, times: int) -> int:
    server = Server(home)
    server.start()
    try:
        try:
            device = microphone.find(DEVICE)
        except SoundError as error:
            print(error, file=sys.stderr)
            return 3
        print(json.dumps(_sitting(home, server, device, times)))
        return 0
    finally:
        server.stop()


def _sitting(home: Path, server: Server, device: microphone.Device, times: int) -> dict[str, object]:
    flowing, signs = threading.Event(), []
    waits: list[float] = []

    def show(sign: Sign) -> None:
        if isinstance(sign, Level):
            flowing.set()
        elif isinstance(sign, Held):
            signs.append((time.monotonic(), sign.on))

    def wait_for(on: bool, since: float) -> None:
        while time.monotonic() < since + 30.0:
            if any(at >= since and held is on for at, held in signs):
                break
            time.sleep(0.02)
        waits.append(time.monotonic() - since)

    with Journal.open(home / "journal.db") as journal:
        live = sitting(home, opened(journal), microphone.Microphone(device.name), show=show, refresh=microphone.refresh)

        def play() -> None:
            for _ in range(times):
                flowing.clear()
                flowing.wait(30.0)
                time.sleep(0.7)
                since = time.monotonic()
                server.stop()
                wait_for(True, since)
                time.sleep(0.5)
                since = time.monotonic()
                server.start()
                wait_for(False, since)
            flowing.clear()
            flowing.wait(30.0)
            time.sleep(0.5)
            live.stop()

        hand = threading.Thread(target=play)
        hand.start()
        live.run()
        hand.join()
        kept = journal.record(STOCK).sittings[SITTING]
        wrong = journal.check()
    gaps = [gap for gap in kept.gaps if gap.why == "device_gone"]
    if len(gaps) != times or any(gap.t1 is None for gap in gaps):
        wrong.append(f"gaps: {gaps}")
    seconds = sum(segment.seconds for segment in on_disk(home))
    if len(on_disk(home)) != times + 1 or seconds < 0.5 * (times + 1):
        wrong.append(f"files: {[(s.start, s.seconds) for s in on_disk(home)]}")
    sign, back = max(waits[::2], default=0.0), max(waits[1::2], default=0.0)
    return {"seconds": seconds, "device": device.name, "sign": sign, "back": back, "wrong": wrong}


if __name__ == "__main__":
    with contextlib.suppress(BrokenPipeError):
        sys.exit(child(Path(sys.argv[1]), int(sys.argv[2])))
