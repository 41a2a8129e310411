"""Foreign text stays text in every format: nothing of it becomes markup, a link, a formula, a cue or a path."""

from __future__ import annotations

import csv
import io
import json
import re
import unicodedata
from functools import cache

import html5lib
import jsonschema
import openpyxl
import pypdf
import pytest
import srt
import webvtt
from markdown_it import MarkdownIt

from benchvoice import lexicon
from benchvoice.report import Format, Options, Report, build
from benchvoice.report.clean import clean, name_for_file
from benchvoice.report.write import make
from tests.report.hostile import CASES, batches, dressed
from tests.report.records import FIXED, WHEN, demo, engine
from tests.report.schemas import report_schema

TAGS = {
    *("html", "head", "meta", "title", "link", "style", "body", "main", "header", "h1", "h2", "h3", "p", "span", "dl"),
    *(
        "dt",
        "dd",
        "bdi",
        "ul",
        "li",
        "ol",
        "a",
        "div",
        "table",
        "caption",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "figure",
    ),
    *("figcaption", "svg", "line", "circle", "text", "q", "footer"),
}
OPEN = Options(made_at=WHEN, origin=True, price_paid=True, notes=True)


@cache
def _made(batch: int) -> tuple[Report, dict[str, bytes]]:
    record, of = dressed(batches()[batch])
    report = build(record, of, lexicon.load(), options=OPEN)
    return report, make(report, list(Format))


def _one(files: dict[str, bytes], end: str) -> str:
    return next(data for name, data in files.items() if name.endswith(end)).decode("utf-8-sig")


def test_there_are_at_least_two_hundred_cases() -> None:
    assert len(CASES) >= 200


every = pytest.mark.parametrize("batch", range(len(batches())))


@every
def test_html_has_only_our_elements_and_no_address(batch: int) -> None:
    _, files = _made(batch)
    tree = html5lib.parse(_one(files, "report.html"), namespaceHTMLElements=False)
    for element in tree.iter():
        if not isinstance(element.tag, str):
            raise AssertionError("a comment got in")
        name = re.sub(r"^\{.*\}", "", element.tag)
        assert name in TAGS, name
        for key, value in element.attrib.items():
            assert not str(key).lower().startswith("on"), key
            if key in ("href", "src", "action", "data"):
                assert value == "data:," or re.fullmatch(r"#e\d+", value), value


@every
def test_markdown_has_no_link_image_html_or_new_heading(batch: int) -> None:
    report, files = _made(batch)
    parser = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    tokens = parser.parse(_one(files, "report.md"))
    kinds = {token.type for token in tokens}
    assert not kinds & {"html_block", "code_block", "fence", "blockquote_open", "hr"}
    inline = {child.type for token in tokens for child in token.children or ()}
    assert inline <= {"text", "strong_open", "strong_close", "em_open", "em_close", "softbreak", "text_special"}
    headings = sum(token.type == "heading_open" for token in tokens)
    assert headings == len(report.sections) + 2


@every
def test_no_cell_of_the_csv_is_a_formula(batch: int) -> None:
    report, files = _made(batch)
    rows = list(csv.reader(io.StringIO(_one(files, "findings.csv"), newline="")))
    assert len(rows) == len(report.evidence) + 1
    sheet = openpyxl.Workbook().active
    for row in rows:
        assert len(row) == len(rows[0])
        sheet.append(row)
    for cells in sheet.iter_rows():
        for cell in cells:
            assert cell.data_type != "f", cell.value
            text = str(cell.value or "")
            numeric = re.fullmatch(r"-?\d+(\.\d+)?", text)
            assert numeric or not re.match(r"\s*[=+\-@＝＋－＠|%\t\r]", text), text


@every
def test_json_is_valid_and_holds_no_control_sign(batch: int) -> None:
    _, files = _made(batch)
    document = json.loads(_one(files, "report.json"))
    jsonschema.Draft202012Validator(report_schema()).validate(document)


@every
def test_pdf_opens_and_does_nothing(batch: int) -> None:
    _, files = _made(batch)
    for name, data in files.items():
        if name.endswith(".pdf"):
            reader = pypdf.PdfReader(io.BytesIO(data))
            assert len(reader.pages) >= 1
            for word in (b"/JavaScript", b"/JS", b"/Launch", b"/URI", b"/SubmitForm", b"/EmbeddedFile"):
                assert word not in data, (name, word)


@every
def test_captions_hold_the_cues_that_were_spoken_and_no_tag(batch: int) -> None:
    report, files = _made(batch)
    for name, data in files.items():
        text = "" if name.endswith(".pdf") else data.decode("utf-8-sig")
        if name.endswith("captions.vtt"):
            cues = list(webvtt.from_string(text))
            assert len(cues) == sum(len(track.cues) for track in report.tracks)
            assert all("<" not in cue.raw_text and "-->" not in cue.raw_text for cue in cues)
        elif name.endswith("captions.srt"):
            subtitles = list(srt.parse(text))
            assert len(subtitles) == sum(len(track.cues) for track in report.tracks)
            assert all(not set("<>{}\\") & set(item.content) for item in subtitles)


@every
def test_no_output_holds_control_or_direction_signs(batch: int) -> None:
    _, files = _made(batch)
    for name, data in files.items():
        if not name.endswith(".pdf"):
            bad = {sign for sign in data.decode("utf-8-sig") if unicodedata.category(sign) in ("Cc", "Cf", "Cs")}
            assert bad <= {"\n", "\r", "\t", "\u200d", "\u200c"}, (name, bad)


@every
def test_file_names_are_safe_everywhere(batch: int) -> None:
    _, files = _made(batch)
    for name in files:
        assert re.fullmatch(r"[A-Za-z0-9_][A-Za-z0-9_-]*\.(md|html|pdf|csv|json|txt|vtt|srt)", name), name
        assert len(name) < 160
        assert not re.match(r"(?i)(con|prn|aux|nul|com\d|lpt\d)\.", name)


@pytest.mark.parametrize("raw", CASES)
def test_clean_text_is_one_line_and_stays_clean(raw: str) -> None:
    once = clean(raw)
    assert clean(once) == once
    assert "\n" not in once
    once.encode("utf-8")
    assert re.fullmatch(r"[A-Za-z0-9_][A-Za-z0-9_-]*", name_for_file(raw))


def test_ordinary_words_are_left_as_they_are() -> None:
    for text in (
        "Rod bearing 3 was wiped.",
        "3.542 in (89.97 mm)",
        "±0.0005 in",
        "“two thou”",
        "½ plugged",
        "Jörg & Søn",
    ):
        assert clean(text) == text
    assert name_for_file("E-0417") == "E-0417"
    report = build(demo(), engine(), None, options=FIXED)
    assert "\\" not in _one(make(report, [Format.MARKDOWN]), ".md").replace("\\_", "")
