"""Writing: nothing is written over, nothing half; safety notes; languages."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.errors import BenchvoiceError
from benchvoice.report import EVERYDAY, Format, Options, build, write
from benchvoice.report.frame import cautions
from benchvoice.report.language import data, languages, load
from benchvoice.report.model import Says
from tests.report.records import FIXED, WHEN, demo, engine


def test_the_everyday_files(tmp_path: Path) -> None:
    paths = write(build(demo(), engine(), None, options=FIXED), tmp_path / "new" / "folder")
    assert [path.name for path in paths] == [
        "QF-114-report.md", "QF-114-report.html", "QF-114-findings.csv", "QF-114-report.json",
    ]  # fmt: skip
    assert all(path.stat().st_size for path in paths)
    assert len(EVERYDAY) == 4


def test_an_existing_file_is_never_written_over_silently_nor_anything_beside_it(tmp_path: Path) -> None:
    report = build(demo(), engine(), None, options=FIXED)
    (tmp_path / "QF-114-report.json").write_text("mine")
    with pytest.raises(BenchvoiceError, match=r"QF-114-report\.json is already in"):
        write(report, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["QF-114-report.json"]
    assert (tmp_path / "QF-114-report.json").read_text() == "mine"
    write(report, tmp_path, overwrite=True)
    assert (tmp_path / "QF-114-report.json").read_text() != "mine"


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    target = tmp_path / "precious"
    target.write_text("mine")
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "QF-114-report.md").symlink_to(target)
    report = build(demo(), engine(), None, options=FIXED)
    with pytest.raises(BenchvoiceError):
        write(report, folder)
    write(report, folder, overwrite=True)
    assert target.read_text() == "mine"


def test_a_folder_that_cant_be_made_or_a_format_that_nobody_knows(tmp_path: Path) -> None:
    report = build(demo(), engine(), None, options=FIXED)
    (tmp_path / "file").write_text("x")
    with pytest.raises(BenchvoiceError, match="can't be written"):
        write(report, tmp_path / "file" / "folder")
    with pytest.raises(BenchvoiceError, match="no report format"):
        write(report, tmp_path, ["docx"])


def test_a_failing_write_leaves_no_half_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    report = build(demo(), engine(), None, options=FIXED)
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BenchvoiceError, match="No space left"):
        write(report, tmp_path)
    assert list(tmp_path.iterdir()) == []


def _cond(part: str, condition: str, *, present: bool = True) -> Finding:
    return Finding(kind=Kind.CONDITION, part=part, place=Place(), condition=condition, present=present)


@pytest.mark.parametrize(
    ("finding", "year", "expected"),
    [
        (_cond("wiring_harness", "melted"), None, {"burnt_seals", "dust"}),
        (_cond("wiring_harness", "melted", present=False), None, set()),
        (_cond("head_gasket", "blown"), None, {"old_gaskets"}),
        (_cond("head_gasket", "blown"), 1988, {"old_gaskets"}),
        (_cond("head_gasket", "blown"), 2009, set()),
        (_cond("valve_spring", "broken"), None, {"springs"}),
        (_cond("oil_pan", "sludged"), None, {"used_oil"}),
        (_cond("crankshaft", "scored"), None, {"lifting"}),
        (_cond("pushrod", "bent"), None, set()),
    ],
)
def test_cautions_are_given_where_findings_call_for_them(
    finding: Finding, year: int | None, expected: set[str]
) -> None:
    assert set(cautions([finding, finding], year)) == expected


def test_each_caution_is_given_once_with_its_publisher_and_local_rules_first() -> None:
    report = build(demo(), engine(), None, options=FIXED)
    section = next(section for section in report.sections if section.key == "safety")
    leads = [getattr(block, "lead", "") for block in section.blocks]
    assert len(leads) == len(set(leads))
    texts = [sentence.text for sentence in report.sentences() if sentence.says is Says.SAFETY]
    assert "Local rules and qualified people come first" in texts[0]
    for rule in data("safety")["caution"]:
        entry = load().table("safety")[rule["name"]]
        assert entry["publisher"]
        assert entry["title"]


def test_both_views_on_burnt_seals_are_shown() -> None:
    text = load().table("safety")["burnt_seals"]["text"]
    assert "no confirmed injury" in text
    assert "acid all the same" in text


def test_another_language_is_another_folder() -> None:
    assert languages() == ["en", "es"]
    report = build(demo(), engine(), None, options=Options(made_at=WHEN, language="es"))
    titles = [section.title for section in report.sections]
    assert "Lo que se encontró" in titles
    assert "Bloque y cilindros" in titles
    assert report.title == "Inspección del motor QF-114"
    assert report.words["date"] == "14 de marzo de 2026"
    assert any(chapter.title == "Sistema de aceite" for chapter in report.tracks[0].chapters)
    english = build(demo(), engine(), None, options=FIXED)
    assert len(report.sections) == len(english.sections)
    with pytest.raises(BenchvoiceError, match="There is: en, es"):
        build(demo(), engine(), None, options=Options(made_at=WHEN, language="xx"))


def test_the_page_names_the_language_of_its_sentences() -> None:
    from benchvoice.report import webpage

    page = webpage.render(build(demo(), engine(), None, options=Options(made_at=WHEN, language="es")))
    assert '<html lang="es"' in page
    assert '<p lang="en">' in page
    assert 'lang="en"' not in webpage.render(build(demo(), engine(), None, options=FIXED)).replace(
        '<html lang="en"', ""
    )


def test_a_second_language_has_no_key_that_english_lacks() -> None:
    def keys(table: dict[str, object], prefix: str = "") -> set[str]:
        out: set[str] = set()
        for key, value in table.items():
            out |= keys(value, f"{prefix}{key}.") if isinstance(value, dict) else {f"{prefix}{key}"}
        return out

    english, other = load("en"), load("es")
    for name in other.own:
        assert keys(other.table(name)) == keys(english.table(name)), name
    assert {"headings", "regions", "language"} <= set(other.own)


def test_a_draft_is_called_a_draft() -> None:
    report = build(replace(demo(), revisions=()), engine(), None, options=FIXED)
    assert report.revision is None
    assert any("This is a draft" in sentence.text for sentence in report.sentences())
    assert all(label.revision == "Draft, not filed" for label in report.labels)
    assert Format.PDF.value == "pdf"
