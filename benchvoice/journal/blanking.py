"""Takes words out of the journal for good, at the person's wish. That something was removed stays on record.

What the fold hides for a blanked stretch is also taken out of the stored events, their tables, the search index and
the write-ahead log. Copies of the file that were made before are not ours to change.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

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
from benchvoice.domain.state import blank, blank_mark, within

_ON_UTTERANCE = (WordsCorrected, ReadAgain, UtteranceSplit, UtterancesMerged, FindingAdded)
_NOTHING = Finding(kind=Kind.UNSEEN, part="")


def scrubbed(events: Iterable[Event], stretch: StretchBlanked) -> list[tuple[int, Body]]:
    """The events that say something of the stretch, by id, with bodies that no longer do. The fold of the events is
    the same as before.
    """
    kept = list(events)
    numbers = _numbers(kept, stretch)
    out = []
    for event in kept:
        body = _scrub(event.body, stretch, numbers)
        if body is not event.body:
            out.append((event.id, body))
    return out


def _numbers(events: Iterable[Event], stretch: StretchBlanked) -> set[int]:
    out: set[int] = set()
    for event in events:
        body = event.body
        if isinstance(body, UtteranceHeard) and body.sitting == stretch.sitting:
            if within(body.reading, stretch.t0, stretch.t1):
                out.add(body.reading.utterance.n)
        elif isinstance(body, UtteranceSplit) and body.sitting == stretch.sitting and body.n in out:
            out.add(body.new_n)
    return out


def _scrub(body: Body, stretch: StretchBlanked, numbers: set[int]) -> Body:
    """The body itself if it says nothing of the stretch."""
    out = body
    if isinstance(body, Marked) and body.sitting == stretch.sitting:
        out = blank_mark(body, stretch.t0, stretch.t1)
    elif isinstance(body, UtteranceHeard) and body.sitting == stretch.sitting:
        if body.reading.utterance.n in numbers:
            out = replace(body, reading=blank(body.reading))
    elif isinstance(body, FindingCorrected):
        if _stands_on(body.finding_id, stretch.sitting, numbers):
            out = replace(body, before=_NOTHING, after=_NOTHING)
    elif isinstance(body, _ON_UTTERANCE) and body.sitting == stretch.sitting and body.n in numbers:
        out = _scrub_correction(body)
    return body if out == body else out


def _scrub_correction(body: WordsCorrected | ReadAgain | UtteranceSplit | UtterancesMerged | FindingAdded) -> Body:
    if isinstance(body, WordsCorrected):
        return replace(body, before="", after=blank(body.after))
    if isinstance(body, ReadAgain):
        return replace(body, reading=blank(body.reading))
    if isinstance(body, UtteranceSplit):
        return replace(body, first=blank(body.first), second=blank(body.second))
    if isinstance(body, UtterancesMerged):
        return replace(body, after=blank(body.after))
    return replace(body, finding=_NOTHING)


def _stands_on(finding: str, sitting: str, numbers: set[int]) -> bool:
    return any(finding.startswith(f"{sitting}.{n}.") for n in numbers)
