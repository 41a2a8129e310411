"""A book that reads by rule, so that the fault tests know which findings must be in the journal."""

from __future__ import annotations

from decimal import Decimal

from benchvoice.domain.engine import Engine
from benchvoice.domain.events import (
    EngineTakenIn,
    GapNoted,
    Marked,
    SittingClosed,
    SittingOpened,
    SoundKept,
    UtteranceHeard,
)
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.readings import Command, Order, Reading
from benchvoice.domain.words import Utterance
from benchvoice.journal.journal import Journal

STOCK = "F-1"
SITTING = "F-1-s1"
_ORDERS = {"hold": Order.HOLD, "carry on": Order.CARRY_ON, "read back": Order.READ_BACK, "mark": Order.MARK}


class RuleBook:
    """One finding an utterance, its compression being 100 psi and the utterance's number."""

    def __init__(self, journal: Journal, *, next_n: int = 0) -> None:
        self._journal = journal
        self.next_n = next_n

    def peek(self, utterance: Utterance) -> Reading:
        order = _ORDERS.get(utterance.text)
        if order is not None:
            return Reading(utterance=utterance, command=Command(order=order))
        finding = Finding(
            kind=Kind.MEASUREMENT,
            part="cylinder_bore",
            place=Place(cylinder=1),
            quantity="compression",
            value=Decimal(100 + utterance.n),
            unit="psi",
            text=utterance.text,
        )
        return Reading(utterance=utterance, findings=(finding,))

    def hear(self, utterance: Utterance) -> Reading:
        reading = self.peek(utterance)
        self._journal.append(UtteranceHeard(sitting=SITTING, reading=reading), STOCK)
        self.next_n = utterance.n + 1
        return reading

    def note(self, event: Marked | GapNoted | SoundKept) -> None:
        self._journal.append(event, STOCK)

    def close(self, seconds: float | None = None, why: str = "done") -> None:
        self._journal.append(SittingClosed(sitting=SITTING, seconds=seconds, why=why), STOCK)


def opened(journal: Journal) -> RuleBook:
    """An engine with a sitting that has just begun."""
    journal.append(EngineTakenIn(engine=Engine(stock=STOCK)), STOCK)
    journal.append(SittingOpened(sitting=SITTING, source="microphone"), STOCK)
    return RuleBook(journal)


def taken_up(journal: Journal) -> RuleBook:
    record = journal.record(STOCK)
    return RuleBook(journal, next_n=max((n for _, n in record.said), default=-1) + 1)
