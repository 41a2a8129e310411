"""What is private stays in the shop, in every format, unless it is asked for."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from io import BytesIO

import pypdf
import pytest

from benchvoice.domain.events import Marked, StretchBlanked
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Record
from benchvoice.report import Format, Options, build
from benchvoice.report.write import make
from tests.report.records import FIXED, VIN, WHEN, engine, record_of

SOURCE = "the invented Marshgate auction"
NOTE = "ask the neighbour about the trailer"
PRICE = "paid four twenty for it and the head is cracked"
SECRET = "my doctor rang and the piston is scuffed"


def _finding(part: str, condition: str) -> Finding:
    return Finding(kind=Kind.CONDITION, part=part, place=Place(), condition=condition)


@cache
def _record() -> Record:
    spoken = [
        ("the block is cracked", [_finding("block", "cracked")]),
        (PRICE, [_finding("cylinder_head", "cracked")]),
        (SECRET, [_finding("piston", "scuffed")]),
        ("the number ends in one oh oh one one four", [_finding("deck", "worn")]),
        (f"papers say {VIN} and so does the pad", [_finding("oil_pan", "clean")]),
    ]
    record = record_of(spoken, of=_engine())
    home = record.sittings["s1"]
    blanked = (StretchBlanked(sitting="s1", t0=9.0, t1=11.6, reason="a call"),)
    marks = (Marked(sitting="s1", what="note", text=NOTE, t=3.0), Marked(sitting="s1", what="question", text=NOTE))
    return replace(record, sittings={"s1": replace(home, blanked=blanked, marks=marks)})


def _engine():  # type: ignore[no-untyped-def]
    claims = ("runs well, cost me $420", "never been apart", "rebuilt two years ago", f"number is {VIN[-6:]}")
    return engine(source=SOURCE, claimed=claims)


def _everything(options: Options) -> str:
    """All that goes out, as text."""
    texts: list[str] = []
    for name, data in make(build(_record(), _engine(), None, options=options), list(Format)).items():
        if name.endswith(".pdf"):
            reader = pypdf.PdfReader(BytesIO(data))
            texts.append(" ".join(" ".join(page.extract_text().split()) for page in reader.pages))
        else:
            texts.append(data.decode("utf-8-sig"))
    return "\n".join(texts)


def test_nothing_private_goes_out_by_default() -> None:
    text = _everything(FIXED)
    for private in (
        "420",
        SOURCE,
        "Marshgate",
        NOTE,
        "four twenty",
        "doctor",
        "one one four",
        VIN,
        VIN[-6:],
        "rebuilt two",
    ):
        assert private not in text, private
    assert VIN[:11] in text
    assert "never been apart" in text


def test_the_findings_behind_withheld_words_stay() -> None:
    report = build(_record(), _engine(), None, options=FIXED)
    text = " ".join(sentence.text for sentence in report.sentences())
    assert "The piston was" in text or "The pistons" in text
    assert "cylinder head" in text
    withheld = {item.finding.part: item.withheld for item in report.evidence}
    assert withheld == {"block": "", "cylinder_head": "private", "piston": "blanked", "deck": "private", "oil_pan": ""}


def test_the_report_says_what_was_left_out() -> None:
    report = build(_record(), _engine(), None, options=FIXED)
    told = " ".join(report.left_out)
    for words in (
        "what was paid",
        "where it came from",
        "2 private notes",
        "last six",
        "1 blanked stretch",
        "claim",
        "price",
    ):
        assert words in told, words
    assert any("Left out of this copy" in sentence.text for sentence in report.sentences())


def test_blanked_words_are_in_no_caption() -> None:
    report = build(_record(), _engine(), None, options=FIXED)
    texts = [cue.text for cue in report.tracks[0].cues]
    assert "the block is cracked" in texts
    assert not any("doctor" in text or "paid" in text for text in texts)


@pytest.mark.parametrize(
    ("option", "shown"),
    [
        ({"origin": True}, SOURCE),
        ({"notes": True}, NOTE[1:]),
        ({"price_paid": True}, "420.00 USD"),
        ({"whole_vin": True}, VIN),
    ],
)
def test_each_is_shown_when_asked_for(option: dict[str, bool], shown: str) -> None:
    assert shown in _everything(Options(made_at=WHEN, **option))  # type: ignore[arg-type]


def test_money_in_a_measurement_is_no_money() -> None:
    """A price of 420 must not swallow a reading of 3.420."""
    spoken = [("bore three is three point four two", [_finding("cylinder_bore", "worn")])]
    report = build(record_of(spoken, of=_engine()), _engine(), None, options=FIXED)
    assert report.evidence[0].words
