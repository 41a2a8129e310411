"""What is left of words that the person wants gone: when they were said, and nothing of what was said."""

from __future__ import annotations

from dataclasses import replace

from benchvoice.domain.events import Marked
from benchvoice.domain.readings import Reading


def blank(reading: Reading) -> Reading:
    """What is left of a reading whose words were removed: when it was, and nothing of what was said."""
    utterance = replace(reading.utterance, words=(), alternatives=(), raw=None, confidence=0.0, domain=False)
    return Reading(utterance=utterance, domain=False)


def blank_mark(mark: Marked, t0: float, t1: float) -> Marked:
    """A mark without its words if it was made between two times."""
    return replace(mark, text="") if mark.t is not None and t0 <= mark.t <= t1 else mark


def within(reading: Reading, t0: float, t1: float) -> bool:
    """True if any of the utterance lies between two times of its sitting; typed words lie nowhere."""
    utterance = reading.utterance
    if utterance.t0 is None or utterance.t1 is None:
        return False
    return utterance.t0 < t1 and utterance.t1 > t0
