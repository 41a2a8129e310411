"""The whole live path, with nothing stood in for but the microphone: journal on disk, recogniser, reader, record."""

from __future__ import annotations

import json
import threading
import time
from pathlib import Path

import numpy as np
import pytest
import soundfile

from benchvoice import lexicon, resources
from benchvoice.app.live import opening
from benchvoice.app.live.ear import EarMaker
from benchvoice.app.live.signs import EarDied, Sign
from benchvoice.app.live.sitting import Manner
from benchvoice.audio.follow import read_stretch
from benchvoice.domain.engine import Engine
from benchvoice.domain.events import EngineTakenIn
from benchvoice.domain.findings import finding_to_contract
from benchvoice.journal import Journal
from tests.faults.devices import PlayedMicrophone
from tests.hearing import scoring

STOCK = "L-2"


@pytest.mark.sound
def test_a_narration_through_a_live_sitting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("BENCHVOICE_HOME", raising=False)
    demo = resources.folder("demo_audio")
    with soundfile.SoundFile(str(demo / "ferry-four.flac")) as sound:
        pcm = sound.read(dtype="int16").astype("<i2").tobytes()
    told = json.loads((demo / "scripts" / "ferry-four.jsonl").read_text())
    device = PlayedMicrophone(pcm, speed=8.0)
    signs: list[Sign] = []
    kit = opening.Equipment(lexicon=lexicon.load(), recogniser="pocketsphinx", manner=Manner(tones=False))
    with Journal.open() as journal:
        journal.append(EngineTakenIn(engine=Engine(stock=STOCK, mains=5)), STOCK)
        live = opening.new_sitting(journal, STOCK, device, kit, signs.append)

        def stop_at_the_end() -> None:
            deadline = time.monotonic() + 120.0
            while 2 * device.at < len(pcm) and time.monotonic() < deadline:
                time.sleep(0.1)
            live.stop()

        threading.Thread(target=stop_at_the_end).start()
        outcome = live.run()
        record = journal.record(STOCK)
    assert outcome.heard_all
    kept = read_stretch(live.plan.folder, 0.0, len(pcm) / 2 / 16_000 + 1.0)
    heard_pcm = np.round(kept * 32_767).astype("<i2").tobytes()
    assert pcm in heard_pcm, "the sound on disk is not what was delivered"
    wanted = [finding for said in told["utterances"] if not said.get("withdrawn") for finding in said["findings"]]
    found = [finding_to_contract(entry.finding) for entry in record.standing()]
    right, missed, wrong = scoring.match(wanted, found)
    assert 2 * right / (2 * right + missed + wrong) >= 0.75
    assert not [sign for sign in signs if isinstance(sign, EarDied)]
    assert not (live.plan.folder / "recogniser.log").exists()


def test_a_recogniser_that_cant_be_opened_is_said_and_the_sound_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path / "home"))
    signs: list[Sign] = []
    kit = opening.Equipment(
        lexicon=lexicon.load(), manner=Manner(tones=False), maker=EarMaker(given={"recogniser": "crystal-ball"})
    )
    device = PlayedMicrophone(lambda at, count: b"\1\0" * count)
    with Journal.open() as journal:
        journal.append(EngineTakenIn(engine=Engine(stock=STOCK)), STOCK)
        live = opening.new_sitting(journal, STOCK, device, kit, signs.append)
        threading.Timer(2.5, live.leave).start()
        outcome = live.run()
    died = [sign for sign in signs if isinstance(sign, EarDied)]
    assert died
    assert "crystal-ball" in died[0].detail
    assert not outcome.heard_all
    assert outcome.seconds == pytest.approx(device.at / 16_000, abs=0.01)
