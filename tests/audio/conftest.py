"""The demo's narration as sound."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from benchvoice.audio.blocks import RATE, Samples
from demo_audio import noises

DEMO = Path(__file__).resolve().parents[2] / "demo_audio"
NAME = "ferry-four"


OTHER = "orchard-truck-six-heads"


def read(name: str) -> Samples:
    sound, rate = soundfile.read(DEMO / f"{name}.flac", dtype="float32")
    assert rate == RATE
    return np.asarray(sound, dtype=np.float32)


@pytest.fixture(scope="session")
def radio() -> Samples:
    """Somebody talks through a small loudspeaker across the room, as long as the narration."""
    talk = read(OTHER)
    return noises.radio(len(read(NAME)), np.random.default_rng(4), [talk[2 * RATE :]])


@pytest.fixture(scope="session")
def narration() -> tuple[Samples, list[tuple[float, float]]]:
    sound = read(NAME)
    told = json.loads((DEMO / f"{NAME}.times.json").read_text(encoding="utf-8"))
    rows = told if isinstance(told, list) else told.get("spans", told.get("utterances"))
    times = [(row["t0"], row["t1"]) if isinstance(row, dict) else (row[0], row[1]) for row in rows]
    return sound, times
