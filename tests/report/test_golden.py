"""The demo's report word for word: a change of wording is seen, and made on purpose."""

from __future__ import annotations

import os

import pytest

from benchvoice import lexicon
from benchvoice.report import Format, Options, Units, build
from benchvoice.report.write import make
from tests.report.records import ROOT, WHEN, demo, engine

FOLDER = ROOT / "tests" / "golden" / "report"
FORMATS = (Format.MARKDOWN, Format.BLURB, Format.CSV, Format.CHAPTERS)


@pytest.mark.parametrize(
    "name", ["QF-114-report.md", "QF-114-listing.txt", "QF-114-findings.csv", "QF-114-chapters.txt"]
)
def test_the_report_is_as_it_was(name: str) -> None:
    options = Options(made_at=WHEN, units=Units.BOTH, seller="Quillfork Salvage, an invented shop")
    data = make(build(demo(), engine(), lexicon.load(), options=options), FORMATS)[name]
    path = FOLDER / name
    if os.environ.get("UPDATE_GOLDEN"):
        path.write_bytes(data)
    assert data.decode("utf-8-sig") == path.read_bytes().decode("utf-8-sig")
