"""Captions as WebVTT and SubRip, chapters as WebVTT and as a plain list; one file for each film or sitting."""

from __future__ import annotations

import html
import io
from collections.abc import Callable, Iterable, Mapping

from webvtt import Caption, WebVTT

from benchvoice.report.clean import name_for_file
from benchvoice.report.common import clock
from benchvoice.report.model import Report, Track

_TAMED = str.maketrans({"<": "‹", ">": "›", "{": "(", "}": ")", "\\": "/"})
"""SubRip has no escapes: signs that players take for tags or commands are replaced by ones that look alike."""


def stamp(seconds: float) -> str:
    """ "01:02:03.250": hours as many as it takes, at least two digits."""
    thousandths = round(seconds * 1000)
    whole, rest = divmod(thousandths, 1000)
    return f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}.{rest:03}"


def to_vtt(track: Track) -> str:
    """Captions with escaped text (W3C WebVTT); "-->" can't end a cue early, as its sign is escaped."""
    return _written(
        (Caption(stamp(cue.start), stamp(cue.end), html.escape(cue.text, quote=False)) for cue in track.cues), "vtt"
    )


def to_srt(track: Track) -> str:
    texts = ((cue, cue.text.translate(_TAMED)) for cue in track.cues)
    return _written((Caption(stamp(cue.start), stamp(cue.end), text) for cue, text in texts), "srt")


def chapters_vtt(track: Track) -> str:
    """Chapters as a WebVTT file of kind "chapters"."""
    chapters = [(item, item.end if item.end is not None else item.start + 1) for item in track.chapters]
    return _written(
        (Caption(stamp(item.start), stamp(end), html.escape(item.title, quote=False)) for item, end in chapters), "vtt"
    )


def chapters_text(track: Track) -> str:
    """One chapter a line, "0:00 Start": the form that film descriptions use. All with hours if any needs them."""
    hours = any(item.start >= 3600 for item in track.chapters)
    return "".join(f"{clock(item.start, hours=hours)} {item.title}\n" for item in track.chapters)


def files(report: Report, end: str, make: Callable[[Track], str]) -> Mapping[str, bytes]:
    """One file a track; the track's name is part of the file name where there are several."""
    wanted = make in (chapters_text, chapters_vtt)
    tracks = [track for track in report.tracks if track.chapters or not wanted]
    out: dict[str, bytes] = {}
    for track in tracks:
        middle = f"{name_for_file(track.title, fallback='sitting')}-" if len(tracks) > 1 else ""
        name, turn = f"{middle}{end}", 2
        while name in out:
            name, turn = f"{middle}{turn}-{end}", turn + 1
        out[name] = make(track).encode()
    return out


def _written(captions: Iterable[Caption], form: str) -> str:
    out = io.StringIO()
    WebVTT(captions=list(captions)).write(out, format=form)
    return out.getvalue().rstrip("\n") + "\n"
