"""Twenty sound files that are none, or are broken: one line that says what to do, and nothing lost."""

from __future__ import annotations

import io
import os
import struct
from collections.abc import Callable
from pathlib import Path

import numpy as np
import soundfile
from click.testing import CliRunner

from tests.faults.table import Row

RATE = 16_000


def wav(seconds: float = 1.0, *, subtype: str = "PCM_16", kind: str = "WAV", rate: int = RATE) -> bytes:
    tone = 0.1 * np.sin(2 * np.pi * 300 * np.arange(round(seconds * rate)) / rate)
    buffer = io.BytesIO()
    soundfile.write(buffer, tone, rate, format=kind, subtype=subtype)
    return buffer.getvalue()


def header(
    *, channels: int = 1, rate: int = RATE, bits: int = 16, kind: int = 1, size: int = 0, body: bytes = b""
) -> bytes:
    block = channels * bits // 8
    form = (kind, channels, rate, rate * block & 0xFFFFFFFF, block, bits)
    riff = struct.pack("<4sI4s4sI", b"RIFF", 36 + size, b"WAVE", b"fmt ", 16)
    return riff + struct.pack("<HHIIHH", *form) + struct.pack("<4sI", b"data", size) + body


def noise(count: int) -> bytes:
    return np.random.default_rng(3).integers(0, 256, count, dtype=np.uint8).tobytes()


FILES: dict[str, Callable[[], bytes]] = {
    "empty.wav": lambda: b"",
    "one-byte.wav": lambda: b"R",
    "half-header.wav": lambda: wav()[:20],
    "header-only.wav": header,
    "no-data-chunk.wav": lambda: wav()[:36],
    "cut-off.wav": lambda: wav(2.0)[: 44 + RATE],
    "claims-too-much.wav": lambda: header(size=0x7FFFFFFF, body=wav()[44:]),
    "no-channels.wav": lambda: header(channels=0, size=1000, body=b"\0" * 1000),
    "no-rate.wav": lambda: header(rate=0, size=1000, body=b"\0" * 1000),
    "seven-bits.wav": lambda: header(bits=7, size=1000, body=b"\0" * 1000),
    "unknown-coding.wav": lambda: header(kind=0x4242, size=1000, body=b"\0" * 1000),
    "only-not-numbers.wav": lambda: wav(0.1, subtype="FLOAT")[:60] + np.full(16_000, np.nan, "<f4").tobytes(),
    "infinite.wav": lambda: wav(0.1, subtype="FLOAT")[:60] + np.full(16_000, np.inf, "<f4").tobytes(),
    "silence.wav": lambda: header(size=64_000, body=b"\0" * 64_000),
    "noise-for-a-name.flac": lambda: noise(5_000),
    "flac-cut-off.flac": lambda: wav(3.0, kind="FLAC")[:2_000],
    "flac-scrambled.flac": lambda: wav(2.0, kind="FLAC")[:200] + noise(4_000),
    "ogg-cut-off.ogg": lambda: wav(3.0, kind="OGG", subtype="VORBIS")[:1_000],
    "text.wav": lambda: b"number three rod bearing is wiped\n" * 40,
    "picture.flac": lambda: b"\x89PNG\r\n\x1a\n" + noise(3_000),
}


def run(work: Path) -> Row:
    """Each goes to `benchvoice hear FILE --engine STOCK`: none may touch the record or end in a traceback."""
    from benchvoice.cli.main import run as command
    from benchvoice.domain.engine import Engine
    from benchvoice.domain.events import EngineTakenIn
    from benchvoice.journal import Journal

    work.mkdir(parents=True, exist_ok=True)
    before, os.environ["BENCHVOICE_HOME"] = os.environ.get("BENCHVOICE_HOME"), str(work / "home")
    wrong = []
    try:
        with Journal.open() as journal:
            journal.append(EngineTakenIn(engine=Engine(stock="M-1")), "M-1")
        for name, content in FILES.items():
            path = work / name
            path.write_bytes(content())
            with CliRunner().isolation() as (_, error, _both):
                status = command(["hear", str(path), "--engine", "M-1"])
                said = error.getvalue().decode()
            lines = [line for line in said.splitlines() if line.strip()]
            if status != 1 or not lines or not lines[-1].startswith("benchvoice: ") or "fault in benchvoice" in said:
                wrong.append(f"{name}: status {status}, {said[-200:]!r}")
        with Journal.open() as journal:
            left = journal.sittings("M-1")
            wrong += [f"sittings were left behind: {left}"] if left else []
            wrong += journal.check()
    finally:
        if before is None:
            del os.environ["BENCHVOICE_HOME"]
        else:
            os.environ["BENCHVOICE_HOME"] = before
    return Row(
        fault="malformed sound files",
        runs=len(FILES),
        good=len(FILES) - len(wrong),
        figures="each refused with one line and exit status 1; the record untouched",
        wrong=tuple(wrong),
    )
