"""Takes words out of the journal for good, at the person's wish. That something was removed stays on record.

What the fold hides for a blanked stretch is taken out of the stored events, their tables, the search index and
the write-ahead log. Copies of the file that were made before are not ours to change.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from benchvoice.domain.blanks import blank, blank_mark, within
from benchvoice.domain.events import (
    Body,
    Event,
    FindingAdded,
    FindingCorrected,
    Marked,
    ReadAgain,
    StretchBlanked,
    UtteranceHeard,
    UtterancesMerged,
    UtteranceSplit,
    WordsCorrected,
)
from benchvoice.domain.findings import Finding, Kind
from benchvoice.domain.readings import Reading
from benchvoice.domain.record import Record

_NOTHING = Finding(kind=Kind.UNSEEN, part="")


def scrubbed(events: Iterable[Event], stretch: StretchBlanked, record: Record) -> list[tuple[int, Body]]:
    """The events that say something of the stretch, by id, with bodies that no longer do; undone ones too.

    record: the fold of the events, the blanking among them. Whoever holds an older fold must make it anew.
    """
    kept = [event for event in events if _sitting(event.body) == stretch.sitting]
    scrub = _Scrub(kept, stretch, record)
    return [(event.id, body) for event in kept if (body := scrub(event.body)) != event.body]


class _Scrub:
    """gone: utterances that are blanked now. touched: those that had words of the stretch at any time, for instance
    while they were merged with one that is gone; their own words stay.
    """

    def __init__(self, events: Iterable[Event], stretch: StretchBlanked, record: Record) -> None:
        self._stretch = stretch
        self._gone = {n for (sitting, n), said in record.said.items() if sitting == stretch.sitting and said.blanked}
        self._touched: set[int] = set()
        for event in events:
            body = event.body
            if isinstance(body, UtterancesMerged) and body.n in self._gone:
                self._touched.add(body.other)
            self._touched.update(reading.utterance.n for reading in _readings(body) if self._within(reading))

    def __call__(self, body: Body) -> Body:
        if isinstance(body, Marked):
            return blank_mark(body, self._stretch.t0, self._stretch.t1)
        if isinstance(body, FindingCorrected):
            n = _number(body.finding_id)
            return replace(body, before=self._finding(body.before, n), after=self._finding(body.after, n))
        if isinstance(body, FindingAdded):
            return replace(body, finding=self._finding(body.finding, body.n))
        if isinstance(body, UtteranceHeard | ReadAgain):
            return replace(body, reading=self._reading(body.reading))
        if isinstance(body, WordsCorrected):
            after = self._reading(body.after)
            return body if after is body.after else replace(body, before="", after=after)
        if isinstance(body, UtterancesMerged):
            return replace(body, after=self._reading(body.after))
        if isinstance(body, UtteranceSplit):
            return replace(body, first=self._reading(body.first), second=self._reading(body.second))
        return body

    def _within(self, reading: Reading) -> bool:
        return within(reading, self._stretch.t0, self._stretch.t1)

    def _reading(self, reading: Reading) -> Reading:
        return blank(reading) if reading.utterance.n in self._gone or self._within(reading) else reading

    def _finding(self, finding: Finding, n: int | None) -> Finding:
        if n in self._gone:
            return _NOTHING
        return replace(finding, text="", why=()) if n in self._touched else finding


def _sitting(body: Body) -> str | None:
    if isinstance(body, FindingCorrected):
        return body.finding_id.split(".", 1)[0]
    return getattr(body, "sitting", None)


def _number(finding_id: str) -> int | None:
    n = finding_id.split(".")[1:2]
    return int(n[0]) if n and n[0].isdigit() else None


def _readings(body: Body) -> tuple[Reading, ...]:
    if isinstance(body, UtteranceHeard | ReadAgain):
        return (body.reading,)
    if isinstance(body, WordsCorrected | UtterancesMerged):
        return (body.after,)
    return (body.first, body.second) if isinstance(body, UtteranceSplit) else ()
