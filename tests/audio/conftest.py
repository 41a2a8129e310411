"""The demo's narration as sound."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from benchvoice.audio.blocks import RATE, Samples

DEMO = Path(__file__).resolve().parents[2] / "demo_audio"
NAME = "ferry-four"


@pytest.fixture(scope="session")
def narration() -> tuple[Samples, list[tuple[float, float]]]:
    sound, rate = soundfile.read(DEMO / f"{NAME}.flac", dtype="float32")
    assert rate == RATE
    told = json.loads((DEMO / f"{NAME}.times.json").read_text(encoding="utf-8"))
    rows = told if isinstance(told, list) else told.get("spans", told.get("utterances"))
    times = [(row["t0"], row["t1"]) if isinstance(row, dict) else (row[0], row[1]) for row in rows]
    return np.asarray(sound, dtype=np.float32), times
