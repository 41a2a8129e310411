"""Why something in the log deserves a second look, gathered from the finding's flags and from the record round it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from enum import StrEnum

from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Finding, Flag
from benchvoice.domain.record import Entry, Said, Status


class Doubt(StrEnum):
    """A reason to look again, the gravest first: the order in which doubtful rows are shown."""

    CONTRADICTION = "contradiction"
    """Another standing finding says the opposite of the same part and place."""
    NOT_ON_ENGINE = "not_on_engine"
    """The engine has no such cylinder, journal or bank."""
    IMPLAUSIBLE = "implausible"
    """The value lies outside what this quantity can be."""
    TWO_READINGS = "two_readings"
    """The number can be read in another way too."""
    LOW_CONFIDENCE = "low_confidence"
    """The recogniser was not sure of the words."""
    FOCUS_FAR = "focus_far"
    """The part or the place was carried over from far back."""
    REPAIRED = "repaired"
    """A sounding-alike word was put in."""
    NOTHING_READ = "nothing_read"
    """Talk about the engine from which no finding was read, although words were left over or are unsure."""

    @property
    def rank(self) -> int:
        """0 for the gravest."""
        return _RANK[self]


UNSURE = 0.5
"""A word with less confidence than this may be another word."""

_RANK = {doubt: rank for rank, doubt in enumerate(Doubt)}

_FLAGS = {
    Flag.LOW_CONFIDENCE: Doubt.LOW_CONFIDENCE,
    Flag.TWO_READINGS: Doubt.TWO_READINGS,
    Flag.IMPLAUSIBLE: Doubt.IMPLAUSIBLE,
    Flag.NOT_ON_ENGINE: Doubt.NOT_ON_ENGINE,
    Flag.FOCUS_FAR: Doubt.FOCUS_FAR,
    Flag.REPAIRED: Doubt.REPAIRED,
    Flag.CONTRADICTION: Doubt.CONTRADICTION,
}


def doubts_of_finding(finding: Finding, engine: Engine | None) -> tuple[Doubt, ...]:
    """What is doubtful about one finding by itself, gravest first.

    That the engine lacks the place is looked up afresh, because the intake may have been put right since.
    """
    # The record says better than a flag set at hearing time which contradictions still stand.
    found = {_FLAGS[flag] for flag in finding.flags if flag not in (Flag.NOT_ON_ENGINE, Flag.CONTRADICTION)}
    place = finding.place
    if engine is None:
        found |= {Doubt.NOT_ON_ENGINE} if Flag.NOT_ON_ENGINE in finding.flags else set()
    elif not engine.has(cylinder=place.cylinder, journal=place.journal, bank=place.bank):
        found.add(Doubt.NOT_ON_ENGINE)
    return tuple(sorted(found, key=_RANK.__getitem__))


def doubts_of_entry(entry: Entry, engine: Engine | None, contradicted: Collection[str]) -> tuple[Doubt, ...]:
    """What still is doubtful about an entry: nothing but a contradiction once the person has decided about it."""
    against = (Doubt.CONTRADICTION,) if entry.counts and entry.id in contradicted else ()
    if entry.status is not Status.PROPOSED:
        return against
    return (*against, *doubts_of_finding(entry.finding, engine))


def doubts_of_said(
    said: Said | None, entries: Iterable[Entry], engine: Engine | None, contradicted: Collection[str]
) -> tuple[Doubt, ...]:
    """All reasons to look at an utterance again, gravest first, each once."""
    found = {doubt for entry in entries for doubt in doubts_of_entry(entry, engine, contradicted)}
    if said is not None and not found and _unread(said):
        found.add(Doubt.NOTHING_READ)
    return tuple(sorted(found, key=_RANK.__getitem__))


def _unread(said: Said) -> bool:
    """Engine talk with no finding and no command, and with a word that no rule used or that may be another one.

    Words that a person typed or confirmed count as looked at.
    """
    reading = said.reading
    return (
        reading.domain
        and not said.withdrawn
        and not said.blanked
        and not said.entries
        and reading.command is None
        and not reading.withdraws
        and (bool(reading.rest) or any(word.confidence < UNSURE for word in reading.utterance.words))
        and said.reading.utterance is said.heard.utterance
    )
