"""Captions and chapters: what was said, in the film's time where a sitting is aligned with one."""

from __future__ import annotations

from benchvoice.domain.readings import Order
from benchvoice.domain.record import Record, Said, Sitting
from benchvoice.report.clean import clean
from benchvoice.report.compose import Desk
from benchvoice.report.evidence import film_time
from benchvoice.report.model import Chapter, Cue, Track
from benchvoice.report.phrases import region_of
from benchvoice.report.redact import is_blanked

SHORTEST = 0.5
"""Seconds that a cue stays at least, if the next one leaves it that long."""
_PRIVATE = (Order.NOTE, Order.QUESTION)


def tracks(desk: Desk) -> tuple[Track, ...]:
    """One track for every sitting that has times; cues in order, never overlapping, none before the film begins."""
    out: list[Track] = []
    by_sitting: dict[str, list[Said]] = {}
    for said in desk.record.said.values():
        by_sitting.setdefault(said.sitting, []).append(said)
    for name, saids in by_sitting.items():
        sitting = desk.record.sittings.get(name)
        cues = _cues(desk, name, sitting, saids)
        if cues:
            aligned = sitting is not None and bool(sitting.cameras)
            title = _title(desk, name, sitting)
            chapters = _chapters(desk, name, sitting, saids)
            out.append(Track(name=name, title=title, aligned=aligned, cues=cues, chapters=chapters))
    return tuple(out)


def _title(desk: Desk, name: str, sitting: Sitting | None) -> str:
    if sitting is None:
        return clean(name)
    film = clean(sitting.cameras[-1].film) if sitting.cameras else ""
    return desk.redactor.text(film or sitting.opened.title or name)


def _cues(desk: Desk, name: str, sitting: Sitting | None, saids: list[Said]) -> tuple[Cue, ...]:
    spans: list[tuple[float, float, str]] = []
    for said in saids:
        text = _text(desk, said, desk.record)
        start, end = _times(said, sitting)
        if text and start is not None and end is not None and end > 0:
            spans.append((max(0.0, start), end, text))
    spans.sort()
    out: list[Cue] = []
    for place, (start, end, text) in enumerate(spans):
        following = spans[place + 1][0] if place + 1 < len(spans) else float("inf")
        shown = min(max(end, start + SHORTEST), following)
        if shown > start:
            out.append(Cue(track=name, start=round(start, 3), end=round(shown, 3), text=text))
    return tuple(out)


def _text(desk: Desk, said: Said, record: Record) -> str:
    """The caption, "" if these words are withdrawn, private, blanked, or not about the engine."""
    reading = said.reading
    utterance = reading.utterance
    if said.withdrawn or is_blanked(record, said.sitting, utterance.t0, utterance.t1, said):
        return ""
    private = reading.command is not None and (reading.command.order not in _PRIVATE or not desk.options.notes)
    off_topic = not reading.domain and not desk.options.all_talk
    if (private and not reading.findings) or off_topic:
        return ""
    return desk.redactor.evidence_words(utterance.text) or ""


def _times(said: Said, sitting: Sitting | None) -> tuple[float | None, float | None]:
    utterance = said.reading.utterance
    if sitting is not None and sitting.cameras:
        return film_time(sitting, utterance.t0)[1], film_time(sitting, utterance.t1)[1]
    return utterance.t0, utterance.t1


def _chapters(desk: Desk, name: str, sitting: Sitting | None, saids: list[Said]) -> tuple[Chapter, ...]:
    """A chapter begins where the talk moves to another region of the engine; the first one begins at zero."""
    names = desk.words.table("regions")
    starts: list[tuple[float, str]] = []
    ordered = sorted(saids, key=lambda said: said.reading.utterance.n)
    for said in ordered:
        start, _ = _times(said, sitting)
        regions = [region_of(finding.part) for finding in said.reading.findings]
        if start is None or not regions or said.withdrawn:
            continue
        title = names[regions[0]]
        if not starts or starts[-1][1] != title:
            starts.append((max(0.0, start), title))
    if not starts:
        return ()
    if starts[0][0] > 0:
        starts.insert(0, (0.0, desk.words.heading("chapter_start")))
    ends = [start for start, _ in starts[1:]]
    last = max((end for said in saids if (end := _times(said, sitting)[1]) is not None), default=starts[-1][0])
    ends.append(max(last, starts[-1][0] + SHORTEST))
    return tuple(
        Chapter(track=name, start=round(start, 3), title=title, end=round(end, 3))
        for (start, title), end in zip(starts, ends, strict=True)
        if end > start
    )
