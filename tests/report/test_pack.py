"""The evidence pack: what is in it, that every change is noticed, and that a forged one does no harm."""

from __future__ import annotations

import hashlib
import io
import json
import os
import shutil
import subprocess
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile
from click.testing import CliRunner

from benchvoice.cli.verify import verify as verify_command
from benchvoice.domain.events import StretchBlanked
from benchvoice.domain.record import Record
from benchvoice.errors import BenchvoiceError
from benchvoice.report import Report, build
from benchvoice.report.clips import Clip, cut
from benchvoice.report.pack import write_pack
from benchvoice.report.verify import verify
from tests.report.records import FIXED, demo, engine

RATE = 16000


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with the sitting's sound: a tone whose pitch tells the second."""
    folder = tmp_path_factory.mktemp("data")
    sound = next(iter(demo().sittings.values())).sounds[0]
    path = folder / sound.path
    path.parent.mkdir(parents=True)
    t = np.arange(int(sound.seconds * RATE)) / RATE
    soundfile.write(path, 0.2 * np.sin(2 * np.pi * (200 + np.floor(t)) * t), RATE, subtype="PCM_16")
    return folder


@pytest.fixture(scope="module")
def report() -> Report:
    return build(demo(), engine(), None, options=FIXED)


@pytest.fixture(scope="module")
def clips(report: Report, root: Path) -> tuple[Clip, ...]:
    return cut(report.evidence, demo(), root)


@pytest.fixture
def packed(report: Report, clips: tuple[Clip, ...], tmp_path: Path) -> Path:
    return write_pack(report, tmp_path, clips=clips, as_zip=True)


@pytest.fixture
def folder(report: Report, clips: tuple[Clip, ...], tmp_path: Path) -> Path:
    return write_pack(report, tmp_path, clips=clips, as_zip=False)


def test_every_finding_with_sound_has_a_clip_of_its_words(report: Report, clips: tuple[Clip, ...]) -> None:
    assert {entry for clip in clips for entry in clip.entries} == {item.id for item in report.evidence}
    for clip in clips:
        item = next(item for item in report.evidence if item.id == clip.entries[0])
        samples, rate = soundfile.read(io.BytesIO(clip.data))
        assert rate == RATE
        assert item.t0 is not None
        assert item.t1 is not None
        assert clip.t0 <= item.t0 < item.t1 <= clip.t1
        assert len(samples) / rate == pytest.approx(clip.t1 - clip.t0, abs=0.001)
        assert clip.t1 - clip.t0 <= item.t1 - item.t0 + 0.5 + 1e-9
        assert soundfile.info(io.BytesIO(clip.data)).format == "FLAC"


def test_a_clip_holds_no_other_words_and_no_blanked_sound(root: Path) -> None:
    record: Record = demo()
    first = next(said for said in record.said.values() if said.reading.findings)
    start = first.reading.utterance.t0
    assert start is not None
    near = StretchBlanked(sitting="s1", t0=start - 1.0, t1=start - 0.1)
    inside = next(said for said in list(record.said.values())[30:] if said.reading.findings).reading.utterance
    assert inside.t0 is not None
    gone = StretchBlanked(sitting="s1", t0=inside.t0 + 0.5, t1=inside.t0 + 1.0)
    home = replace(record.sittings["s1"], blanked=(near, gone))
    changed = replace(record, sittings={"s1": home})
    report = build(changed, engine(), None, options=FIXED)
    cuts = cut(report.evidence, changed, root)
    assert cuts[0].t0 == pytest.approx(start - 0.1)
    withheld = {item.id for item in report.evidence if item.withheld == "blanked"}
    assert withheld
    assert not withheld & {entry for clip in cuts for entry in clip.entries}


def test_sound_outside_the_data_folder_is_never_read(report: Report, tmp_path: Path) -> None:
    record = demo()
    outside = tmp_path / "secret.wav"
    soundfile.write(outside, np.zeros(RATE * 500), RATE)
    data = tmp_path / "data"
    data.mkdir()
    for path in (str(outside), "../secret.wav"):
        sounds = (replace(record.sittings["s1"].sounds[0], path=path),)
        changed = replace(record, sittings={"s1": replace(record.sittings["s1"], sounds=sounds)})
        assert cut(report.evidence, changed, data) == ()


@pytest.mark.parametrize("form", ["packed", "folder"])
def test_an_untouched_pack_is_sound(form: str, request: pytest.FixtureRequest, clips: tuple[Clip, ...]) -> None:
    pack: Path = request.getfixturevalue(form)
    found = verify(pack)
    assert found.ok, found.problems
    assert found.stock == "QF-114"
    assert found.revision == 1
    assert found.clips == len(clips) > 20


def test_both_forms_have_the_same_fingerprint_and_the_same_report_the_same_bytes(
    packed: Path, folder: Path, report: Report, clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    assert verify(packed).fingerprint == verify(folder).fingerprint
    again = write_pack(report, tmp_path / "again", clips=clips)
    assert again.read_bytes() == packed.read_bytes()


def test_the_page_in_the_pack_links_to_its_clips(folder: Path) -> None:
    import re

    text = (folder / "QF-114-report.html").read_text()
    linked = re.findall(r'<audio[^>]* src="([^"]+)"', text)
    assert linked
    assert all((folder / name).is_file() for name in linked)


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum is not installed")
def test_the_sums_are_checked_by_another_program(folder: Path) -> None:
    subprocess.run(["sha256sum", "--check", "--strict", "--quiet", "SHA256SUMS"], cwd=folder, check=True)


def _change(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)


def _forge(folder: Path) -> None:
    """Change a file and write its new hash into the manifest, but not into the sums."""
    path = folder / "QF-114-report.md"
    path.write_text(path.read_text().replace("wiped", "good"))
    manifest = json.loads((folder / "manifest.json").read_text())
    for item in manifest["files"]:
        if item["path"] == path.name:
            item |= {"bytes": path.stat().st_size, "sha256": hashlib.sha256(path.read_bytes()).hexdigest()}
    (folder / "manifest.json").write_text(json.dumps(manifest))


DAMAGES: dict[str, Callable[[Path], object]] = {
    "a changed clip": lambda at: _change(next((at / "clips").iterdir())),
    "a changed report": lambda at: _change(at / "QF-114-report.html"),
    "a missing clip": lambda at: next((at / "clips").iterdir()).unlink(),
    "a missing report": lambda at: (at / "QF-114-report.pdf").unlink(),
    "a file too many": lambda at: (at / "extra.txt").write_text("x"),
    "a longer file": lambda at: (at / "QF-114-listing.txt").open("a").write("more"),
    "a shorter file": lambda at: (at / "QF-114-listing.txt").write_text(""),
    "swapped clips": lambda at: os.replace(*sorted((at / "clips").iterdir())[:2]),
    "no list of sums": lambda at: (at / "SHA256SUMS").unlink(),
    "other sums": lambda at: (at / "SHA256SUMS").write_text("x"),
    "a forged manifest": _forge,
}


@pytest.mark.parametrize("damage", list(DAMAGES))
def test_every_change_is_noticed(folder: Path, damage: str) -> None:
    before = verify(folder).fingerprint
    DAMAGES[damage](folder)
    found = verify(folder)
    assert not found.ok
    assert found.problems
    if damage == "a forged manifest":
        assert found.fingerprint != before


def _repacked(packed: Path, change: Callable[[zipfile.ZipFile, list[tuple[str, bytes]]], None]) -> Path:
    with zipfile.ZipFile(packed) as old:
        files = [(name, old.read(name)) for name in old.namelist()]
    out = packed.with_name("changed.zip")
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        change(new, files)
    return out


@pytest.mark.parametrize("name", ["../evil.txt", "/etc/evil", "a/../../evil", "C:\\evil", "a\\b", "./x"])
def test_names_that_lead_out_are_noticed_and_nothing_is_unpacked(packed: Path, name: str, tmp_path: Path) -> None:
    def change(new: zipfile.ZipFile, files: list[tuple[str, bytes]]) -> None:
        for item, data in files:
            new.writestr(item, data)
        new.writestr(name, b"x")

    before = set(tmp_path.rglob("*"))
    path = _repacked(packed, change)
    found = verify(path)
    assert not found.ok
    assert set(tmp_path.rglob("*")) == before | {path}


def test_a_file_that_is_there_twice_is_noticed(packed: Path) -> None:
    def change(new: zipfile.ZipFile, files: list[tuple[str, bytes]]) -> None:
        for item, data in [*files, ("QF-114-listing.txt", b"forged")]:
            new.writestr(item, data)

    with pytest.warns(UserWarning, match="Duplicate"):
        path = _repacked(packed, change)
    assert any("twice" in problem for problem in verify(path).problems)


def test_a_packed_bomb_is_read_no_further_than_the_manifest_allows(packed: Path) -> None:
    def change(new: zipfile.ZipFile, files: list[tuple[str, bytes]]) -> None:
        for item, data in files:
            new.writestr(item, b"\0" * 300_000_000 if item == "QF-114-listing.txt" else data)

    path = _repacked(packed, change)
    assert any("longer" in problem for problem in verify(path).problems)


@pytest.mark.parametrize(
    "manifest",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'{"format": "other"}',
        b'{"format": "benchvoice-pack", "version": "9.0"}',
        b"\xff",
        b"[" * 100000,
    ],
)
def test_what_is_no_pack_is_refused_in_one_line(tmp_path: Path, manifest: bytes) -> None:
    (tmp_path / "manifest.json").write_bytes(manifest)
    with pytest.raises(BenchvoiceError) as caught:
        verify(tmp_path)
    assert "\n" not in str(caught.value)


def test_odd_entries_of_the_manifest_are_named(folder: Path) -> None:
    manifest = json.loads((folder / "manifest.json").read_text())
    manifest["files"] += [{"path": 5}, "x", {"path": "a", "bytes": -1, "sha256": "0"}]
    (folder / "manifest.json").write_text(json.dumps(manifest))
    assert sum("makes no sense" in problem for problem in verify(folder).problems) == 3


def test_links_in_a_folder_are_refused(folder: Path) -> None:
    (folder / "clips" / "link.flac").symlink_to("/etc/hostname")
    with pytest.raises(BenchvoiceError, match="no links"):
        verify(folder)


def test_no_pack_no_zip_and_a_cut_one(packed: Path, tmp_path: Path) -> None:
    with pytest.raises(BenchvoiceError, match="no pack"):
        verify(tmp_path / "nothing")
    (tmp_path / "text.zip").write_text("hello")
    with pytest.raises(BenchvoiceError, match="sound ZIP"):
        verify(tmp_path / "text.zip")
    data = packed.read_bytes()
    (tmp_path / "cut.zip").write_bytes(data[: len(data) // 2])
    with pytest.raises(BenchvoiceError):
        verify(tmp_path / "cut.zip")


def test_a_pack_is_not_written_over(report: Report, tmp_path: Path) -> None:
    write_pack(report, tmp_path)
    with pytest.raises(BenchvoiceError, match="already"):
        write_pack(report, tmp_path)
    assert write_pack(report, tmp_path, overwrite=True).is_file()
    write_pack(report, tmp_path, as_zip=False)
    with pytest.raises(BenchvoiceError, match="already"):
        write_pack(report, tmp_path, as_zip=False, overwrite=True)


def test_the_command_says_it_and_leaves_with_the_right_status(packed: Path, folder: Path) -> None:
    good = CliRunner().invoke(verify_command, [str(packed)])
    assert good.exit_code == 0
    assert "Every file is as it was packed." in good.output
    (folder / "QF-114-report.pdf").unlink()
    bad = CliRunner().invoke(verify_command, [str(folder), "--json"])
    assert bad.exit_code == 1
    assert json.loads(bad.output)["problems"] == ["QF-114-report.pdf: missing."]
