"""Figures and judgements in the report: real ones, computed and weighed from the demo's record."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from benchvoice import lexicon
from benchvoice.app.figures import work
from benchvoice.app.judging import judge
from benchvoice.domain.figures import Figure, Verdict
from benchvoice.domain.judgement import Claim, Judgement, Overruling
from benchvoice.domain.record import Record
from benchvoice.report import Format, Report, build
from benchvoice.report.model import Chart, Says
from benchvoice.report.write import make
from tests.report.records import FIXED, ROOT, demo, engine

SHEET = ROOT / "demo_audio" / "spec.toml"


@cache
def _record() -> Record:
    return replace(demo(), engine=engine())


@cache
def _figures() -> tuple[Figure, ...]:
    return work(_record(), sheet=SHEET, filed=True).figures


@cache
def _judgement() -> Judgement:
    return judge(_record(), sheet=SHEET, filed=True)


@cache
def _report() -> Report:
    return build(_record(), engine(), lexicon.load(), figures=_figures(), judgement=_judgement(), options=FIXED)


def _sentences(key: str) -> list[str]:
    section = next(section for section in _report().sections if section.key == key)
    out = []
    for block in section.blocks:
        out += [sentence.text for sentence in getattr(block, "sentences", ())]
        out += [sentence.text for item in getattr(block, "items", ()) for sentence in item.sentences]
    return out


def test_every_verdict_is_told_with_value_limit_and_source() -> None:
    texts = _sentences("numbers")
    beyond = [figure for figure in _figures() if figure.verdict is Verdict.BEYOND]
    close = [figure for figure in _figures() if figure.verdict is Verdict.CANT_TELL]
    assert beyond
    assert len([text for text in texts if "beyond the limit" in text]) == len(beyond)
    assert len([text for text in texts if "too close to the limit" in text]) == len(close)
    kinds = ["beyond" in text for text in texts if "the limit of" in text]
    assert kinds == sorted(kinds, reverse=True)
    for figure in beyond:
        assert figure.limit is not None
        assert any(figure.shown() in text and figure.limit.basis.source in text for text in texts), figure.name
    within = [figure for figure in _figures() if figure.verdict is Verdict.WITHIN]
    assert any(text.startswith(f"{len(within)} figures lie within their limits") for text in texts)


def test_a_figure_from_a_guarded_reading_is_guarded() -> None:
    figures = tuple(replace(figure, hedged=True) for figure in _figures())
    report = build(_record(), engine(), None, figures=figures, options=FIXED)
    told = [sentence.text for sentence in report.sentences() if "the limit of" in sentence.text]
    assert told
    assert all(text.endswith("A reading behind it was guarded.") for text in told)
    assert all(reading.verdict.endswith("(?)") for reading in report.figures if reading.verdict)


def test_a_rule_of_thumb_is_never_a_verdict() -> None:
    for figure, reading in zip(_figures(), _report().figures, strict=True):
        if figure.limit is None or not figure.limit.basis.mark.decides:
            assert reading.verdict in ("", "no limit"), figure.name


def test_figures_stand_on_filed_entries_only() -> None:
    known = {item.id for item in _report().evidence}
    for reading in _report().figures:
        assert set(reading.evidence) <= known
    figure = _figures()[0]
    stray = replace(figure, inputs=(*figure.inputs, "s9.9.9"))
    report = build(_record(), engine(), None, figures=(stray,), options=FIXED)
    assert report.figures == ()


def test_charts_show_values_and_the_sheets_limit() -> None:
    charts = [block for section in _report().sections for block in section.blocks if isinstance(block, Chart)]
    compression = next(chart for chart in charts if "Compression" in chart.title)
    assert [point.value for point in compression.points] == [162, 158, 160, 164, 118, 112]
    assert ("Limit 120 psi", 120.0) in compression.limits
    assert "Cylinder 6: 112 psi" in compression.alt
    assert "<svg" in make(_report(), [Format.HTML])["QF-114-report.html"].decode()


def test_causes_are_hypotheses_with_both_sides() -> None:
    texts = _sentences("cause")
    assert texts[0].startswith("These are hypotheses")
    assert any(text.lower().startswith("consistent with") for text in texts)
    assert any(text.startswith("For it:") for text in texts)
    assert not any(re.search(r"\b(was caused by|the cause was|proves?)\b", text) for text in texts)


def test_an_overruled_cause_says_so() -> None:
    first, *rest = _judgement().causes
    overruled = replace(first, overruled=Overruling(verdict="not so", reason="saw it run"))
    judgement = replace(_judgement(), causes=(overruled, *rest))
    report = build(_record(), engine(), None, judgement=judgement, options=FIXED)
    assert any("overruled this: not so (saw it run)" in sentence.text for sentence in report.sentences())


def test_lots_say_what_is_supported_and_nothing_else() -> None:
    texts = " ".join(_sentences("lots"))
    for claim in _judgement().claims:
        if not claim.supported and claim.text:
            assert claim.text not in texts
    assert "no cracks" not in texts.lower()


@pytest.mark.parametrize("text", ["The block is rebuilt", "Like new"])
def test_a_claim_with_a_refused_word_is_not_told(text: str) -> None:
    entry = next(iter(_record().entries))
    claim = Claim(lot="x", id="y", text=text, supported=True, evidence=(entry,))
    report = build(_record(), engine(), None, judgement=replace(_judgement(), claims=(claim,)), options=FIXED)
    assert not any(text in sentence.text for sentence in report.sentences())


def test_what_lots_are_worth_stays_in_the_shop() -> None:
    worth = _judgement().worth
    told = " ".join(sentence.text for sentence in _report().sentences())
    assert not any(sign in told for sign in "$€£")
    if worth is not None:
        for lot in worth.lots:
            if lot.price_high >= 10:
                assert not re.search(rf"(?<!\d){lot.price_high:.0f}(?!\d)", " ".join(_sentences("lots"))), lot.id


def test_coverage_of_the_judgement_is_used() -> None:
    table = next(table for table in _report().tables() if table.title == "Extent of inspection")
    rows = {row.cells[0]: row.cells for row in table.rows}
    assert rows["Main bearings"][1:3] == ("4", "4")
    assert rows["Pushrods"][1] == "0"
    assert any("nothing is on record for" in sentence.text for sentence in _report().sentences())


def test_without_figures_and_judgement_the_report_stands() -> None:
    report = build(_record(), engine(), None, options=FIXED)
    keys = [section.key for section in report.sections]
    assert "cause" not in keys
    assert "lots" not in keys
    assert {"summary", "found", "unseen", "disclosure", "method"} <= set(keys)
    assert all(sentence.says is not Says.WORTH for sentence in report.sentences())
