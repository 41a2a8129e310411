"""Captions against the W3C's WebVTT specification (https://www.w3.org/TR/webvtt1/) and the usual form of SubRip.

The times are those of the sample file in the specification's introduction, an interview captioned in twelve cues; the
words are ours. The sample's later times are from memory.
"""

from __future__ import annotations

import re

import pytest
import srt
import webvtt

from benchvoice.report.model import Chapter, Cue, Track
from benchvoice.report.timed import chapters_vtt, stamp, to_srt, to_vtt

SAMPLE = (
    (11.0, 13.0), (13.0, 16.0), (16.0, 18.0), (18.0, 20.0), (20.0, 22.0), (22.0, 24.0), (24.0, 26.0), (26.0, 27.0),
    (27.0, 30.0), (30.0, 32.5), (32.5, 33.5), (33.5, 38.0),
)  # fmt: skip
WRITTEN = """WEBVTT

00:11.000 --> 00:13.000
cue 0

00:13.000 --> 00:16.000
cue 1

00:16.000 --> 00:18.000
cue 2

00:18.000 --> 00:20.000
cue 3

00:20.000 --> 00:22.000
cue 4

00:22.000 --> 00:24.000
cue 5

00:24.000 --> 00:26.000
cue 6

00:26.000 --> 00:27.000
cue 7

00:27.000 --> 00:30.000
cue 8

00:30.000 --> 00:32.500
cue 9

00:32.500 --> 00:33.500
cue 10

00:33.500 --> 00:38.000
cue 11
"""


def _track(texts: list[str] | None = None) -> Track:
    cues = tuple(
        Cue(track="t", start=start, end=end, text=texts[n % len(texts)] if texts else f"cue {n}")
        for n, (start, end) in enumerate(SAMPLE)
    )
    chapters = tuple(Chapter(track="t", start=cue.start, end=cue.end, title=cue.text) for cue in cues)
    return Track(name="t", title="t", aligned=True, cues=cues, chapters=chapters)


def check_syntax(text: str) -> list[tuple[float, float, str]]:
    """The rules of section 4 of the specification, written down once more: signature, blank line, cues with times of
    two digits an hour at least, minutes and seconds below 60, end after start, starts in order, no "-->", no bare "&"
    or "<" in the text, no blank line inside a cue.
    """
    head, _, body = text.partition("\n\n")
    assert re.fullmatch(r"\ufeff?WEBVTT([ \t][^\n]*)?", head)
    out: list[tuple[float, float, str]] = []
    time = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
    for block in body.strip("\n").split("\n\n"):
        first, _, payload = block.partition("\n")
        found = re.fullmatch(rf"{time}[ \t]+-->[ \t]+{time}", first)
        assert found, first
        parts = [int(part or 0) for part in found.groups()]
        start, end = (parts[k] * 3600 + parts[k + 1] * 60 + parts[k + 2] + parts[k + 3] / 1000 for k in (0, 4))
        assert end > start
        assert not out or start >= out[-1][0]
        assert payload
        assert "-->" not in payload
        assert not re.search(r"&(?!(amp|lt|gt|lrm|rlm|nbsp|quot|#\d+|#x[0-9a-f]+);)|<", payload)
        out.append((start, end, payload))
    return out


def test_the_specifications_sample_comes_back_with_its_times() -> None:
    ours = check_syntax(to_vtt(_track()))
    theirs = check_syntax(WRITTEN)
    assert ours == theirs
    assert [(start, end) for start, end, _ in ours] == list(SAMPLE)


def test_another_reader_reads_the_sample_and_ours_alike() -> None:
    ours = [(cue.start, cue.end, cue.text) for cue in webvtt.from_string(to_vtt(_track()))]
    theirs = [(cue.start, cue.end, cue.text) for cue in webvtt.from_string(WRITTEN)]
    assert ours == theirs


def test_chapters_follow_the_same_syntax() -> None:
    assert [(start, end) for start, end, _ in check_syntax(chapters_vtt(_track()))] == list(SAMPLE)


@pytest.mark.parametrize(
    ("seconds", "written"),
    [(0.0, "00:00:00.000"), (59.9996, "00:01:00.000"), (3599.9994, "00:59:59.999"), (3661.5, "01:01:01.500"),
     (359999.0, "99:59:59.000"), (360000.0, "100:00:00.000"), (1.0005, "00:00:01.000")],
)  # fmt: skip
def test_time_stamps(seconds: float, written: str) -> None:
    assert stamp(seconds) == written


@pytest.mark.parametrize("text", ["a < b & c > d", "--> x", "<v Bob>hi</v>", "&lt;", "&nbsp;", "AT&T", "a --> b"])
def test_what_must_be_escaped_is_and_comes_back(text: str) -> None:
    import html

    written = to_vtt(_track([text]))
    payloads = [payload for _, _, payload in check_syntax(written)]
    assert [html.unescape(payload) for payload in payloads] == [text] * len(SAMPLE)


def test_subrip_is_read_by_another_reader() -> None:
    """Numbers from 1, a comma before the thousandths, a blank line between: the usual form; there is no standard."""
    items = list(srt.parse(to_srt(_track())))
    assert [item.index for item in items] == list(range(1, len(SAMPLE) + 1))
    assert [(item.start.total_seconds(), item.end.total_seconds()) for item in items] == list(SAMPLE)
    assert [item.content for item in items] == [f"cue {n}" for n in range(len(SAMPLE))]
