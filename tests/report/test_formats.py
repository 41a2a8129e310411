"""Every format says the same, is valid by somebody else's measure, and can be read back by somebody else's reader."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from decimal import Decimal
from functools import cache
from itertools import pairwise

import html5lib
import jsonschema
import openpyxl
import pandas
import pypdf
import pytest
import srt
import webvtt
from markdown_it import MarkdownIt

from benchvoice import lexicon
from benchvoice.app.judging import judge
from benchvoice.domain.events import CameraAligned
from benchvoice.report import Format, Length, Options, Report, Units, build
from benchvoice.report.common import where
from benchvoice.report.write import make
from tests.report.records import FIXED, WHEN, demo, engine, random_record
from tests.report.schemas import report_schema


@cache
def _report() -> Report:
    return build(demo(), engine(), lexicon.load(), options=FIXED)


@cache
def _files() -> dict[str, bytes]:
    return make(_report(), list(Format))


def _text(end: str) -> str:
    return next(data for name, data in _files().items() if name.endswith(end)).decode("utf-8-sig")


def _squeezed(text: str) -> str:
    return " ".join(text.split())


def _narrative(report: Report) -> list[str]:
    return [sentence.text for sentence in report.sentences()]


def test_the_page_is_valid_html() -> None:
    """html5lib in strict mode raises on any parse error of the HTML standard."""
    html5lib.HTMLParser(strict=True).parse(_text("report.html"))


@pytest.mark.parametrize("seed", range(8))
def test_random_pages_are_valid_html(seed: int) -> None:
    record, of = random_record(seed)
    report = build(record, of, lexicon.load(), options=FIXED)
    html5lib.HTMLParser(strict=True).parse(make(report, [Format.HTML])[f"R-{seed}-report.html"].decode())


def test_the_page_needs_no_script_and_asks_for_nothing_from_outside() -> None:
    text = _text("report.html")
    assert "<script" not in text
    assert "@import" not in text
    assert "url(" not in text
    assert not re.search(r"(?:src|href|action|poster|srcset)\s*=\s*[\"']?(?!#|data:|\"#|\"data:)", text)
    assert not re.search(r"https?://", text)
    assert "default-src 'none'" in text


def test_the_page_has_unique_ids_and_no_dead_link_inside() -> None:
    text = _text("report.html")
    ids = re.findall(r'id="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'href="#([^"]+)"', text)) <= set(ids)


def test_html_tells_the_narrative() -> None:
    tree = html5lib.parse(_text("report.html"), namespaceHTMLElements=False)
    told = re.sub(r"\s*\[[\d, +]+\]", "", _squeezed("".join(tree.find("body").itertext())))
    for sentence in _narrative(_report()):
        assert sentence in told, sentence


def test_markdown_tells_the_narrative() -> None:
    tokens = MarkdownIt("commonmark").enable("table").parse(_text("report.md"))
    assert sum(token.type == "table_open" for token in tokens) == len(_report().tables())
    rows = sum(len(table.rows) + 1 for table in _report().tables())
    assert sum(token.type == "tr_open" for token in tokens) == rows
    told = _squeezed(" ".join(child.content for token in tokens for child in token.children or () if child.content))
    told = re.sub(r" \[\d+(?:, \+?\d+)*\]", "", told)
    for sentence in _narrative(_report()):
        assert sentence in told, sentence


@pytest.mark.parametrize(
    "options", [FIXED, Options(made_at=WHEN, paper="letter"), Options(made_at=WHEN, length=Length.PAGE)]
)
def test_pdf_reads_back_as_the_narrative(options: Options) -> None:
    report = build(demo(), engine(), lexicon.load(), options=options)
    data = make(report, [Format.PDF])["QF-114-report.pdf"]
    reader = pypdf.PdfReader(io.BytesIO(data))
    foot = re.compile(r"Inspection of engine QF-114 · 14 March 2026\s*Page \d+ of \d+")
    told = _squeezed(foot.sub(" ", "\n".join(page.extract_text() for page in reader.pages)))
    told = re.sub(r" ?\[\d+(?:, ?\+?\d+)*\]", "", told)
    for sentence in _narrative(report):
        assert sentence in told, sentence
    for table in report.tables():
        for row in table.rows:
            assert row.cells[0] in told
    assert reader.metadata is not None
    assert reader.metadata.title == report.title
    assert len(reader.outline) >= 3


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("judged", [True, False])
def test_one_page_is_one_page(paper: str, judged: bool) -> None:
    options = Options(made_at=WHEN, length=Length.PAGE, paper=paper, units=Units.BOTH, terms="Our own words. " * 12)
    record = replace(demo(), engine=engine())
    judgement = judge(record, filed=True) if judged else None
    report = build(record, engine(), lexicon.load(), judgement=judgement, options=options)
    reader = pypdf.PdfReader(io.BytesIO(make(report, [Format.PDF])["QF-114-report.pdf"]))
    assert len(reader.pages) == 1


def test_one_page_is_one_page_for_any_record() -> None:
    for seed in range(25):
        record, of = random_record(seed)
        report = build(record, of, None, options=Options(made_at=WHEN, length=Length.PAGE, paper="letter"))
        reader = pypdf.PdfReader(io.BytesIO(make(report, [Format.PDF])[f"R-{seed}-report.pdf"]))
        assert len(reader.pages) == 1, seed


def test_table_headings_stand_on_every_page_of_a_table() -> None:
    reader = pypdf.PdfReader(io.BytesIO(_files()["QF-114-report.pdf"]))
    texts = [page.extract_text() for page in reader.pages]
    first = next(k for k, text in enumerate(texts) if "The words behind each finding" in text)
    assert len(texts) - first >= 3
    for k, text in enumerate(texts[first:], start=first + 1):
        assert re.search(r"No\.\s+Time\s+Words\s+Finding", text), k
        assert f"Page {k} of {len(texts)}" in text


def test_csv_is_read_by_pandas_and_by_a_spreadsheet_library() -> None:
    text = _text("findings.csv")
    frame = pandas.read_csv(io.StringIO(text), dtype=str, keep_default_na=False)
    report = _report()
    assert list(frame["id"]) == [item.id for item in report.evidence]
    for item, value in zip(report.evidence, frame["value"], strict=True):
        assert value == ("" if item.finding.value is None else f"{item.finding.value:f}")
        assert item.finding.value is None or Decimal(value) == item.finding.value
    book = openpyxl.Workbook()
    sheet = book.active
    for row in csv.reader(io.StringIO(text, newline="")):
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    again = openpyxl.load_workbook(out).active
    assert [row[1].value for row in again.iter_rows(min_row=2)] == list(frame["id"])


def test_json_follows_the_published_schema() -> None:
    schema = report_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    document = json.loads(_text("report.json"))
    jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker()).validate(document)
    assert document["filed"]["revision"] == 1
    assert [item["number"] for item in document["findings"]] == list(range(1, len(document["findings"]) + 1))


@pytest.mark.parametrize("damage", ["version", "findings", "made_at"])
def test_the_schema_refuses_what_is_wrong(damage: str) -> None:
    document = json.loads(_text("report.json"))
    document[damage] = {"version": "2.0", "findings": [{"number": 0}], "made_at": 5}[damage]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(report_schema()).validate(document)


@pytest.mark.parametrize("seed", range(20))
def test_random_reports_follow_the_schema(seed: int) -> None:
    record, of = random_record(seed)
    document = json.loads(make(build(record, of, None, options=FIXED), [Format.JSON])[f"R-{seed}-report.json"])
    jsonschema.Draft202012Validator(report_schema()).validate(document)


def test_captions_parse_back_with_their_times() -> None:
    track = _report().tracks[0]
    cues = list(webvtt.from_string(_text("captions.vtt")))
    subtitles = list(srt.parse(_text("captions.srt")))
    assert len(cues) == len(subtitles) == len(track.cues) > 50
    for cue, vtt, sub in zip(track.cues, cues, subtitles, strict=True):
        assert vtt.start_in_seconds + vtt.start_time.milliseconds / 1000 == pytest.approx(cue.start, abs=0.001)
        assert sub.start.total_seconds() == pytest.approx(cue.start, abs=0.001)
        assert sub.end.total_seconds() == pytest.approx(cue.end, abs=0.001)
        assert vtt.text == sub.content == cue.text


def test_captions_are_in_the_films_time() -> None:
    record = demo()
    camera = CameraAligned(sitting="s1", film="bench cam", offset=-40.0, drift=1e-4, score=0.9)
    sittings = {"s1": replace(record.sittings["s1"], cameras=(camera,))}
    report = build(replace(record, sittings=sittings), engine(), None, options=FIXED)
    plain, filmed = _report().tracks[0], report.tracks[0]
    assert filmed.aligned
    assert not plain.aligned
    last = plain.cues[-1].start
    assert filmed.cues[-1].start == pytest.approx(last * 1.0001 - 40.0, abs=0.002)
    assert all(cue.start >= 0 for cue in filmed.cues)
    assert len(filmed.cues) < len(plain.cues)
    item = next(item for item in report.evidence if item.film_t0 is not None and item.film_t0 > 60)
    assert where(item, report.words) == f"{int(item.film_t0) // 60}:{int(item.film_t0) % 60:02}"


def test_chapters_begin_at_zero_and_follow_each_other() -> None:
    chapters = _report().tracks[0].chapters
    assert chapters[0].start == 0
    assert all(a.end == b.start for a, b in pairwise(chapters))
    lines = _text("chapters.txt").splitlines()
    assert lines[0] == "0:00 Start"
    assert len(lines) == len(chapters)
    assert len(list(webvtt.from_string(_text("chapters.vtt")))) == len(chapters)


def test_the_same_record_makes_the_same_bytes() -> None:
    again = make(build(demo(), engine(), lexicon.load(), options=FIXED), list(Format))
    assert again == _files()
