"""The recording thread by itself, with a device and clocks that do what a busy machine makes them do."""

from __future__ import annotations

import time
from pathlib import Path
from queue import SimpleQueue

from benchvoice.app.live.recording import GONE_SECONDS, RATE, Clocks, Recording
from benchvoice.app.live.signs import Gap, RecordingStopped, Sign
from benchvoice.audio.microphone import Delivery
from tests.faults.devices import counting


class Latecomer:
    """A device whose sound comes just when somebody looks at the clock after a long wait, as on a machine that was
    held up.
    """

    rate = RATE
    name = "latecomer"
    alive = True

    def __init__(self, times: int) -> None:
        self._left = times
        self._at = 0
        self._put = time.monotonic()
        self._queue: SimpleQueue[Delivery] | None = None
        self.recording: Recording | None = None

    def start(self, deliver: SimpleQueue[Delivery]) -> None:
        self._queue = deliver

    def stop(self) -> None:
        self._queue = None

    def still(self) -> float:
        waited = time.monotonic() - self._put > 0.05
        if self._queue is not None and waited and self._left:
            count = round((GONE_SECONDS + 0.5) * RATE)
            self._queue.put(Delivery(pcm=counting(self._at, count), overflow=False))
            self._at += count
            self._left -= 1
            self._put = time.monotonic()
        elif waited and not self._left and self.recording is not None:
            self.recording.stop()
        return self._at / RATE


def test_a_device_is_not_gone_because_the_program_was_held_up(tmp_path: Path) -> None:
    signs: list[Sign] = []
    device = Latecomer(20)
    clocks = Clocks(still=device.still, going=lambda: device._at / RATE)
    device.recording = Recording(device, tmp_path, signs.append, clocks=clocks)
    device.recording.start()
    device.recording.join(timeout=20.0)
    assert not device.recording.is_alive()
    assert [sign for sign in signs if isinstance(sign, Gap)] == []
    assert [round(sign.until, 3) for sign in signs if isinstance(sign, RecordingStopped)] == [20 * (GONE_SECONDS + 0.5)]
