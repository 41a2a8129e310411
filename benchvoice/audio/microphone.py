"""Microphones through PortAudio.

The callback only copies: it puts the bytes, the driver's overflow flag and nothing else on a queue. sounddevice is
imported when a microphone is asked for, since a machine without PortAudio must still read files and text.
"""

from __future__ import annotations

import contextlib
import time
from dataclasses import dataclass
from queue import Empty, SimpleQueue
from types import ModuleType
from typing import Any, Protocol

import numpy as np

from benchvoice.audio.blocks import level
from benchvoice.errors import SoundError

BLOCK_SECONDS = 0.05
WANTED_RATE = 48_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A microphone of this machine. `rate` is the rate that its driver prefers, `standard` the system's choice."""

    index: int
    name: str
    host: str
    channels: int
    rate: int
    standard: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What one callback brought: 16-bit mono PCM at the source's rate, and whether the driver lost sound before it."""

    pcm: bytes
    overflow: bool = False


class LiveSource(Protocol):
    """Something that delivers sound as time goes by: a microphone, or a stand-in for one."""

    @property
    def name(self) -> str: ...

    @property
    def rate(self) -> int: ...

    @property
    def alive(self) -> bool:
        """False once the device has stopped by itself."""
        ...

    def start(self, deliver: SimpleQueue[Delivery]) -> None:
        """Begin to put deliveries on the queue. Raises SoundError if the device is not there."""
        ...

    def stop(self) -> None:
        """Stop; nothing is put on the queue after this. Never raises."""
        ...


class Microphone:
    """A microphone by (part of) its name; None takes the system's choice. Each start looks for the device afresh."""

    def __init__(self, name: str | None = None) -> None:
        self._wanted = name
        self._stream: Any = None
        self._device: Device | None = None
        self._ended = False

    @property
    def name(self) -> str:
        return self._device.name if self._device else self._wanted or "the system's microphone"

    @property
    def rate(self) -> int:
        return self._device.rate if self._device else WANTED_RATE

    @property
    def alive(self) -> bool:
        return self._stream is not None and not self._ended and bool(self._stream.active)

    def start(self, deliver: SimpleQueue[Delivery]) -> None:
        sd = _sounddevice()
        self.stop()
        self._device = find(self._wanted)

        def copy(data: Any, frames: int, when: Any, status: Any) -> None:
            deliver.put(Delivery(pcm=bytes(data), overflow=bool(status.input_overflow)))

        def ended() -> None:
            self._ended = True

        self._ended = False
        try:
            self._stream = sd.RawInputStream(
                device=self._device.index,
                samplerate=self._device.rate,
                channels=1,
                dtype="int16",
                blocksize=round(self._device.rate * BLOCK_SECONDS),
                latency="high",
                callback=copy,
                finished_callback=ended,
            )
            self._stream.start()
        except sd.PortAudioError as error:
            self.stop()
            raise SoundError(
                f"The microphone {self._device.name} can't be opened: {_said(error)}.",
                hint="See `benchvoice microphones`, and close other programs that use it.",
            ) from error

    def stop(self) -> None:
        stream, self._stream = self._stream, None
        if stream is not None:
            # Closing a stream whose device was pulled fails in one driver and hangs in none; what it says is no news.
            with contextlib.suppress(Exception):
                stream.abort()
            with contextlib.suppress(Exception):
                stream.close()


def devices(*, fresh: bool = False) -> list[Device]:
    """All microphones. `fresh` starts PortAudio anew, which alone makes it see what was plugged in since.

    Raises SoundError if PortAudio is missing. No stream may be open when `fresh` is asked for.
    """
    sd = _sounddevice()
    if fresh:
        refresh()
    try:
        hosts = sd.query_hostapis()
        standard = sd.default.device[0]
        if standard < 0 and hosts:
            standard = next((host["default_input_device"] for host in hosts), -1)
        return [
            Device(
                index=index,
                name=str(row["name"]),
                host=str(hosts[row["hostapi"]]["name"]),
                channels=int(row["max_input_channels"]),
                rate=int(row["default_samplerate"]),
                standard=index == standard,
            )
            for index, row in enumerate(sd.query_devices())
            if row["max_input_channels"] > 0
        ]
    except sd.PortAudioError as error:
        raise SoundError(
            f"The sound system doesn't answer: {_said(error)}.", hint="Is a sound server running?"
        ) from error


def refresh() -> None:
    """Start PortAudio anew, so that it looks at what is plugged in now. No stream may be open."""
    sd = _sounddevice()
    with contextlib.suppress(sd.PortAudioError):
        sd._terminate()
    try:
        sd._initialize()
    except sd.PortAudioError as error:
        raise SoundError(
            f"The sound system doesn't start: {_said(error)}.", hint="Is a sound server running?"
        ) from error


def find(name: str | None, *, among: list[Device] | None = None) -> Device:
    """The microphone that is meant: an exact name first, then a part of one, capitals aside.

    Raises SoundError if there is none, or if a part of a name fits several.
    """
    there = devices() if among is None else among
    if not there:
        raise SoundError("There is no microphone.", hint="Plug one in, then try again.")
    if name is None:
        return next((device for device in there if device.standard), there[0])
    exact = [device for device in there if device.name == name]
    close = exact or [device for device in there if name.casefold() in device.name.casefold()]
    if not close:
        names = ", ".join(device.name for device in there)
        raise SoundError(f"There is no microphone called {name}.", hint=f"There are: {names}.")
    if len({device.name for device in close}) > 1:
        names = ", ".join(device.name for device in close)
        raise SoundError(f"{name} fits several microphones: {names}.", hint="Give more of the name.")
    return close[0]


def measure(device: Device, *, seconds: float = 0.5, patience: float = 4.0) -> float | None:
    """Level of a microphone over a moment, dB below full scale; None if it can't be opened or says nothing.

    Some sound servers take a second or two until the first sound comes, hence the patience.
    """
    microphone = Microphone(device.name)
    queue: SimpleQueue[Delivery] = SimpleQueue()
    pcm = bytearray()
    deadline = time.monotonic() + patience
    try:
        microphone.start(queue)
        while len(pcm) < seconds * microphone.rate * 2 and (left := deadline - time.monotonic()) > 0:
            with contextlib.suppress(Empty):
                pcm += queue.get(timeout=left).pcm
    except SoundError:
        return None
    finally:
        microphone.stop()
    if not pcm:
        return None
    return level((np.frombuffer(bytes(pcm), dtype="<i2") / np.float32(32768.0)).astype(np.float32))


def _said(error: Exception) -> str:
    return str(error.args[0] if error.args else error).rstrip(".")


def _sounddevice() -> ModuleType:
    try:
        import sounddevice
    except OSError as error:
        raise SoundError(
            "The system library PortAudio is missing, so that no microphone can be used.",
            hint="Debian and Ubuntu: sudo apt install libportaudio2. Sound files and typed text work without it.",
        ) from error
    return sounddevice  # type: ignore[no-any-return]
