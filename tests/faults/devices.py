"""Stand-ins for a microphone, behind the interface that the real one has."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from queue import SimpleQueue

import numpy as np

from benchvoice.audio.microphone import BLOCK_SECONDS, Delivery
from benchvoice.errors import SoundError

RATE = 16_000


class PlayedMicrophone:
    """Delivers given sound block by block as a driver does, `speed` times as fast as it happened.

    It can be pulled out and plugged in again, from any thread. `pulled_silently`: the driver says nothing and simply
    delivers no more, as many do.
    """

    def __init__(
        self,
        sound: bytes | Callable[[int, int], bytes],
        *,
        rate: int = RATE,
        speed: float = 1.0,
        overflow_at: frozenset[int] = frozenset(),
    ) -> None:
        self._sound = sound if callable(sound) else _from(sound)
        self.rate = rate
        self.name = "played microphone"
        self._speed = speed
        self._overflow_at = overflow_at
        self._thread: threading.Thread | None = None
        self._halt = threading.Event()
        self._plugged = threading.Event()
        self._plugged.set()
        self.silent_pull = False
        self.at = 0
        """Samples delivered so far."""
        self.blocks = 0
        self.starts = 0
        self.on_block: Callable[[int], None] | None = None

    @property
    def alive(self) -> bool:
        return self.silent_pull or (self._thread is not None and self._thread.is_alive())

    def pull(self, *, silently: bool = False) -> None:
        self.silent_pull = silently
        self._plugged.clear()

    def plug_in(self) -> None:
        self._plugged.set()

    def start(self, deliver: SimpleQueue[Delivery]) -> None:
        if not self._plugged.is_set():
            raise SoundError("The played microphone is not plugged in.")
        self.stop()
        self.silent_pull = False
        self.starts += 1
        self._halt = threading.Event()
        self._thread = threading.Thread(target=self._run, args=(deliver, self._halt), daemon=True)
        self._thread.start()

    def stop(self) -> None:
        self._halt.set()
        if self._thread is not None and self._thread is not threading.current_thread():
            self._thread.join(timeout=2.0)

    def _run(self, deliver: SimpleQueue[Delivery], halt: threading.Event) -> None:
        size = round(self.rate * BLOCK_SECONDS)
        due = time.monotonic()
        while not halt.is_set() and self._plugged.is_set():
            pcm = self._sound(self.at, size)
            if not pcm:
                halt.wait(0.01)
                continue
            due += len(pcm) / 2 / self.rate / self._speed
            wait = due - time.monotonic()
            if wait > 0:
                time.sleep(wait)
            if halt.is_set() or not self._plugged.is_set():
                break
            deliver.put(Delivery(pcm=pcm, overflow=self.blocks in self._overflow_at))
            self.at += len(pcm) // 2
            self.blocks += 1
            if self.on_block is not None:
                self.on_block(self.at)


def counting(first: int, count: int) -> bytes:
    """Sound in which every pair of samples tells its place: low and high part of a count, both kept off zero."""
    at = np.arange(first, first + count, dtype=np.int64)
    low, high = at % 4096, (at // 4096) % 4096
    return np.where(at % 2 == 0, low + 1, -(high + 1)).astype("<i2").tobytes()


def _from(pcm: bytes) -> Callable[[int, int], bytes]:
    return lambda at, count: pcm[2 * at : 2 * (at + count)]
