"""Labels: which parts get one, what stands on it, and that the code is read by somebody else's reader."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pypdf
import pytest
import segno

from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.errors import BenchvoiceError
from benchvoice.report import Format, Options, build
from benchvoice.report.labelsheet import read_code, render
from benchvoice.report.language import data
from benchvoice.report.write import make
from tests.report.records import FIXED, WHEN, demo, engine, record_of

SHEETS = [name for name, value in data("sheets").items() if isinstance(value, dict)]


def _one(condition: str, part: str = "camshaft", **place: int) -> Finding:
    return Finding(kind=Kind.CONDITION, part=part, place=Place(**place), condition=condition)


def test_a_lost_part_gets_no_label_and_a_usable_one_does() -> None:
    spoken = [
        ("", [_one("good", "oil_pump"), _one("wiped", "rod_bearing", cylinder=3), _one("good", "main_cap", journal=2)])
    ]
    report = build(record_of(spoken), engine(), None, options=FIXED)
    assert [(label.part, label.position) for label in report.labels] == [("Oil pump", ""), ("Main cap", "Journal 2")]


def test_what_is_said_of_both_heads_is_on_the_label_of_each() -> None:
    clean = Finding(kind=Kind.CONDITION, part="cylinder_head", condition="cracked", present=False)
    left, right = (Finding(kind=Kind.CONDITION, part="cylinder_head", place=Place(bank=bank), condition="worn")
                   for bank in ("left", "right"))  # fmt: skip
    labels = build(record_of([("no cracks either head", [clean, left, right])]), engine(), None, options=FIXED).labels
    assert [(label.position, label.condition) for label in labels] == [
        ("On the left bank", "Worn, no cracks seen"), ("On the right bank", "Worn, no cracks seen"),
    ]  # fmt: skip


def test_what_is_said_of_the_rest_is_not_on_the_label_of_the_one() -> None:
    spoken = [("", [_one("worn", "pushrod", cylinder=4)]), ("the rest are good", [_one("good", "pushrod")])]
    labels = build(record_of(spoken), engine(), None, options=FIXED).labels
    assert [(label.position, label.condition) for label in labels] == [("Cylinder 4", "Worn")]


def test_a_label_says_what_a_shelf_needs() -> None:
    label = next(item for item in build(demo(), engine(), None, options=FIXED).labels if item.part == "Connecting rod")
    assert label.stock == "QF-114"
    assert label.position == "Cylinder 1"
    assert label.condition == "Good?"
    assert label.size == "Side clearance 0.012 in"
    assert label.revision == "1"


def test_the_code_holds_the_stock_number_and_the_hash() -> None:
    for label in build(demo(), engine(stock="A:B 1%"), None, options=FIXED).labels:
        held = read_code(label.code)
        assert held["stock"] == "A:B 1%"
        assert held["revision"] == "1"
        assert held["sha256"] == "ab" * 8


@pytest.mark.parametrize("code", ["", "x", "https://x.example", "benchvoice:2:a:b:c:1:d", "benchvoice:1:a"])
def test_other_codes_are_refused(code: str) -> None:
    with pytest.raises(BenchvoiceError):
        read_code(code)


@pytest.mark.parametrize("sheet", SHEETS)
def test_all_labels_lie_on_their_sheets(sheet: str) -> None:
    size = data("sheets")[sheet]
    assert (
        size["left"] + size["columns"] * size["label_width"] + (size["columns"] - 1) * size["gap"]
        <= size["width"] + 1e-6
    )
    assert size["top"] + size["rows"] * size["label_height"] <= size["height"] + 1e-6
    report = build(demo(), engine(), None, options=Options(made_at=WHEN, label_sheet=sheet))
    many = replace(report, labels=report.labels * 4)
    reader = pypdf.PdfReader(io.BytesIO(render(many)))
    each = size["columns"] * size["rows"]
    assert len(reader.pages) == -(-len(many.labels) // each)
    box = reader.pages[0].mediabox
    assert float(box.width) * 25.4 / 72 == pytest.approx(size["width"], abs=0.1)
    text = " ".join(page.extract_text() for page in reader.pages)
    assert text.count("USED · QF-114") == len(many.labels)


def test_an_unknown_sheet_is_refused() -> None:
    report = build(demo(), engine(), None, options=Options(made_at=WHEN, label_sheet="never_shelved"))
    with pytest.raises(BenchvoiceError, match="There are: a4, letter"):
        make(report, [Format.LABELS])


def test_the_code_is_read_by_another_reader() -> None:
    zxingcpp = pytest.importorskip("zxingcpp")
    for label in build(demo(), engine(), None, options=FIXED).labels:
        matrix = np.array([list(row) for row in segno.make(label.code, error="m", micro=False).matrix], dtype=np.uint8)
        image = np.kron(np.pad(1 - matrix, 4, constant_values=1) * 255, np.ones((6, 6), dtype=np.uint8))
        assert zxingcpp.read_barcodes(image.astype(np.uint8))[0].text == label.code


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_printed_codes_are_read_by_another_reader(sheet: str, tmp_path) -> None:  # type: ignore[no-untyped-def]
    """The sheet as it would come out of a printer at 200 dots an inch: every code on it can be read."""
    import shutil
    import subprocess

    zxingcpp = pytest.importorskip("zxingcpp")
    image = pytest.importorskip("PIL.Image")
    if shutil.which("pdftoppm") is None:
        pytest.skip("pdftoppm is not installed")
    report = build(demo(), engine(), None, options=Options(made_at=WHEN, label_sheet=sheet))
    (tmp_path / "l.pdf").write_bytes(render(report))
    subprocess.run(["pdftoppm", "-r", "200", "-gray", "-png", "l.pdf", "l"], cwd=tmp_path, check=True)
    found = [code.text for path in sorted(tmp_path.glob("l*.png")) for code in zxingcpp.read_barcodes(image.open(path))]
    assert sorted(found) == sorted(label.code for label in report.labels)
