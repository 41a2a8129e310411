# ruff: noqa: E501
# fmt: off
"""Two hundred texts that try to be more than text, and records that carry them wherever a person could put them."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

from benchvoice.domain.engine import Engine
from benchvoice.domain.events import CameraAligned
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Record
from tests.report.records import engine, record_of

HTML = (
    "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "<svg/onload=alert(1)>", "</title><script>x()</script>",
    "</style><script>x()</script>", "</textarea><b>", "<a href='javascript:x()'>go</a>", "<iframe src=//x.example>",
    '" onmouseover="x()', "' onfocus='x()' autofocus='", "<!-- open", "--><script>x()</script>", "<![CDATA[x]]>",
    "<base href=//x.example/>", "<meta http-equiv=refresh content='0;url=//x.example'>", "<link rel=stylesheet href=//x>",
    "<object data=x>", "<embed src=x>", "<form action=//x><input>", "<style>*{display:none}</style>", "&lt;script&gt;",
    "&#60;script&#62;", "&#x3c;img src=x&#x3e;", "<math><mtext></mtext><mglyph><style><img src=x onerror=x()>",
    "<details open ontoggle=x()>", "<video><source onerror=x()>", "<body onload=x()>", "<q>unclosed", "</main></body></html>",
    "<noscript><p title='</noscript><img src=x onerror=x()>'>", "{{ 7*7 }}", "{% include '/etc/passwd' %}", "{{ config }}",
    "${7*7}", "#{7*7}", "<%= 7*7 %>", "{{''.__class__.__mro__}}", "{#", "<b>bold</b>", "<plaintext>",
)
MARKDOWN = (
    "# heading", "## heading", "- item", "1. item", "2) item", "> quote", "```", "~~~", "    code", "***bold***", "__bold__",
    "[go](javascript:x)", "[go](http://x.example)", "![x](http://x.example/p.png)", "[ref]: http://x.example",
    "[go][ref]", "<http://x.example>", "http://x.example/go", "https://x.example", "www.x.example", "mailto:a@x.example",
    "| a | b |", "|---|---|", "---", "===", "***", "`code`", "~~gone~~", "==mark==", "$x^2$", "$$x$$", "\\", "\\# x",
    "&copy;", "[^1]", "[^1]: note", "[x] done", "+ item", "* item", "\\[x](y)", "!\\[x](http://x.example)",
    "[a\\](b)", "text  \nbreak", "text\n\n# heading", "text\r\n- item", "<details>", "[[wiki]]", ":::warning", "%%x%%",
    "Setext\n======",
)
CSV = (
    "=1+1", "=cmd|' /C calc'!A0", "+1+1", "-1+1", "@SUM(1)", "\t=1+1", "\r=1+1", "\n=1+1", " =1+1", "'=1+1", '"=1+1',
    "=HYPERLINK(\"http://x.example\",\"go\")", "=IMPORTXML(\"http://x.example\",\"//a\")", "=DDE(\"cmd\",\"/C calc\")",
    "-2+3+cmd|' /C calc'!D2", "＝1+1", "＋1+1", "－1+1", "＠SUM(1)", "%0A=1+1", "|calc", ";=1+1", ",=1+1", '","=1+1',
    '""=1+1', "=\"a\"&\"b\"", "=1;2", "+A1", "-A1", "@A1", "=-1", "=+1", "==1", "\u200b=1+1", "\ufeff=1+1", "\u00a0=1+1",
    "\u202e=1+1", "=1\x00+1", "\x0b=1+1", "\x0c=1+1",
)
SIGNS = (
    "\u202eevil\u202c", "a\u202db", "\u2066x\u2069", "\u2067x\u2069", "\u200fx", "\u200ex", "\u061cx", "a\u200bb",
    "a\ufeffb", "a\u2060b", "\x00", "a\x07b", "\x1b[31mred\x1b[0m", "\x1b]0;title\x07", "\x9b31m", "a\x08\x08b", "\x7f",
    "a\u2028b", "a\u2029b", "a\x85b", "\ud800", "\udfff", "\uffff", "\U000e0001x", "e\u0301" * 40, "Z\u0351" * 60, "𝕏", "🔧" * 30,
    "\u05d0\u05d1\u05d2 123", "مرحبا", "ffi\ufb03", "\u1680x", "x" * 5000, "word " * 900, "\ue000", "a\tb", "   ", "",
)
PATHS = (
    "../../etc/passwd", "..\\..\\windows", "/etc/passwd", "C:\\x", "CON", "nul", "com1.txt", "a/b/c", "a\x00b", ".", "..",
    ".hidden", "~root", "$(x)", "`x`", "x;y", "x|y", "x\ny", "file:///x", "a" * 300, "NUL.html", "x?.md", "x*", "x:y",
    "trailing. ", "<1>", "-rf", "--help", "\u202egnp.exe",
)
CUES = (
    "00:00:01.000 --> 00:00:02.000", "a --> b", "<v Bob>hi", "<c.red>x</c>", "<00:00:01.000>x", "NOTE x", "STYLE",
    "{\\an8}x", "{\\fs99}x", "\n\n00:00:01.000 --> 00:00:09.000\nforged", "WEBVTT", "X-TIMESTAMP-MAP=x", "<i>x",
)
CASES: tuple[str, ...] = tuple(islice((*HTML, *MARKDOWN, *CSV, *SIGNS, *PATHS, *CUES), None))
BATCH = 10


def batches() -> list[tuple[str, ...]]:
    return [CASES[start : start + BATCH] for start in range(0, len(CASES), BATCH)]


def dressed(texts: tuple[str, ...]) -> tuple[Record, Engine]:
    """An engine and a record that carry the texts in every free field and name that there is."""
    take = (*texts, *texts)
    of = engine(
        stock=take[0] or "x", maker=take[1], family=take[2], displacement=take[3], claimed=texts, verified=texts,
        source=take[4], vin_note=take[5], currency=take[6],
    )
    spoken = []
    for n, text in enumerate(texts):
        named = Finding(kind=Kind.CONDITION, part=text or "x", place=Place(cylinder=n % 6 + 1), condition="worn")
        odd = Finding(kind=Kind.CONDITION, part="piston", place=Place(cylinder=n % 6 + 1), condition=text or "x")
        gone = Finding(kind=Kind.UNSEEN, part="wrist_pin", place=Place(level=text), text=text)
        spoken.append((text, [named, odd, gone]))
    record = record_of(spoken, of=of)
    film = CameraAligned(sitting="s1", film=take[7], offset=1.5, drift=0.0, score=0.9)
    home = replace(record.sittings["s1"], cameras=(film,), opened=replace(record.sittings["s1"].opened, title=take[8]))
    revision = record.revisions[0]
    filed = replace(revision, filed=replace(revision.filed, by=take[9]))
    return replace(record, sittings={"s1": home}, revisions=(filed,)), of
