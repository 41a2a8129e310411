"""The whole job on real sound, as a person runs it: one command, a record, a filed revision, a narrative."""

from __future__ import annotations

import json
import os
import sqlite3
import stat
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from benchvoice import lexicon
from benchvoice.app.filing import seal_holds
from benchvoice.app.reporting import to_report
from benchvoice.app.sound import Hearing, Stretch
from benchvoice.domain.readings import reading_to_contract
from benchvoice.domain.record import Record
from benchvoice.journal import Journal
from benchvoice.report import build
from tests.hearing.scoring import match
from tests.report.readback import claim, read_sentences, stated

ROOT = Path(__file__).resolve().parents[2]
STOCK = "QF-114"
pytestmark = [pytest.mark.sound, pytest.mark.slow]


@dataclass(frozen=True)
class Done:
    said: dict[str, Any]
    err: str
    record: Record
    folder: Path


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Done:
    home = tmp_path_factory.mktemp("home")
    ran = subprocess.run(
        [sys.executable, "-m", "benchvoice", "demo", "--to", str(home / "new"), "--json"],
        env={**os.environ, "BENCHVOICE_HOME": str(home)},
        capture_output=True, text=True, timeout=500, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    with Journal.open(home / "new" / "journal.db") as journal:
        record = journal.record(STOCK)
    return Done(said=json.loads(ran.stdout), err=ran.stderr, record=record, folder=home / "new")


def test_it_leaves_a_sound_database_and_every_file(demo: Done) -> None:
    with sqlite3.connect(demo.folder / "journal.db") as conn:
        assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert conn.execute("SELECT count(*) FROM utterances").fetchone()[0] == demo.said["utterances"]
    assert {Path(name).suffix for name in demo.said["files"]} == {".md", ".html", ".csv", ".json", ".pdf"}
    assert all(Path(name).stat().st_size > 500 for name in demo.said["files"])
    assert stat.S_IMODE((demo.folder / "journal.db").stat().st_mode) == 0o600


def test_it_filed_what_was_accepted_and_left_the_doubtful(demo: Done) -> None:
    (revision,) = demo.record.revisions
    accepted = [entry.id for entry in demo.record.accepted()]
    assert list(revision.filed.finding_ids) == accepted
    assert len(accepted) == demo.said["accepted"] >= 50
    assert len(revision.filed.left_unreviewed) == demo.said["left"]
    assert all(demo.record.entries[name].finding.flags for name in revision.filed.left_unreviewed)
    assert "invented" in revision.filed.by
    with Journal.open(demo.folder / "journal.db") as journal:
        assert seal_holds(journal, STOCK, 1)


def test_every_finding_has_its_words_its_times_and_its_sound(demo: Done) -> None:
    (sitting,) = demo.record.sittings.values()
    (kept,) = sitting.sounds
    assert sitting.closed
    assert kept.seconds >= 180
    hearing = Hearing(demo.folder)
    for entry in list(demo.record.entries.values())[::10]:
        finding = entry.finding
        assert finding.text
        assert finding.t0 is not None
        assert finding.t1 is not None
        assert 0 <= finding.t0 < finding.t1 <= kept.seconds
        sound = hearing.read(Stretch(sitting=entry.sitting, t0=finding.t0, t1=finding.t1, sounds=(kept,)))
        assert abs(sound).max() > 0.01, "speech, not silence"


def test_the_narrative_names_nothing_that_isnt_in_an_accepted_finding(demo: Done) -> None:
    """Each sentence about what was found is read back through the real grammar."""
    with Journal.open(demo.folder / "journal.db") as journal:
        record = to_report(journal, STOCK)
    assert record.engine is not None
    report = build(record, record.engine, lexicon.load())
    sentences = stated(report)
    text = next(Path(name) for name in demo.said["files"] if name.endswith(".md")).read_text(encoding="utf-8")
    plain = " ".join(text.replace("\\", "").split())
    assert all(sentence in plain for sentence in sentences)
    accepted = {claim(entry.finding) for entry in record.accepted()}
    for sentence, claims in read_sentences(sentences, record.engine).items():
        assert set(claims) <= accepted, sentence


def test_what_was_heard_is_what_the_script_says(demo: Done) -> None:
    """Sound in, findings out, against the script that the sound was made from: F1 at least 0.75."""
    script = json.loads((ROOT / "demo_audio/scripts/orchard-truck-six.jsonl").read_text(encoding="utf-8"))
    wanted = [finding for utterance in script["utterances"] for finding in utterance["findings"]]
    found = [
        finding
        for said in demo.record.said.values()
        if not said.withdrawn
        for finding in reading_to_contract(said.heard)["findings"]
    ]
    right, missed, wrong = match(wanted, found)
    f1 = 2 * right / (2 * right + missed + wrong)
    print(f"findings of the demo: right {right}, missed {missed}, wrong {wrong}, F1 {f1:.3f}")
    assert f1 >= 0.75


def test_the_persons_own_record_is_not_touched(demo: Done) -> None:
    assert not (demo.folder.parent / "journal.db").exists()
