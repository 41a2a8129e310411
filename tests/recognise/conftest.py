"""The second recogniser for real, and the human speech that its package carries."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest
import soundfile

from benchvoice.audio.blocks import to_pcm
from benchvoice.recognise import moonshine_files
from benchvoice.recognise.moonshine import Moonshine


@pytest.fixture(scope="session")
def second() -> Moonshine:
    return Moonshine(moonshine_files.prepare())


@pytest.fixture(scope="session")
def package_folder() -> Path:
    spec = importlib.util.find_spec(moonshine_files.PACKAGE)
    assert spec is not None
    assert spec.submodule_search_locations
    return Path(spec.submodule_search_locations[0])


@pytest.fixture(scope="session")
def beckett(package_folder: Path) -> Path:
    """Human speech, read, ten seconds, 16 kHz."""
    return package_folder / "test-data" / "beckett.wav"


@pytest.fixture(scope="session")
def beckett_pcm(beckett: Path) -> bytes:
    sound, rate = soundfile.read(beckett, dtype="float32")
    assert rate == 16_000
    return to_pcm(np.asarray(sound, np.float32))
