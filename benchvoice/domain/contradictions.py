"""Findings that can't both be true: each such pair needs a decision before filing.

Two findings are compared only where they speak of the same cylinder or journal of the same part: "bearings good" and
"bearing three wiped" is a rule and its exception, as people talk. Within one position, a claim about the whole ("bore
four: no scoring") is broken by one about a spot of it ("bore four, top: scored"), and not the other way round.
Which conditions exclude each other is the grammars' knowledge and is passed in.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Entry, Record

Opposites = Mapping[str, Collection[str]]
"""For a condition, the ones that can't be there where it holds ("good": worn, wiped, ...)."""


class Why(StrEnum):
    ABSENT = "absent"
    """The same condition, once there and once not."""
    OPPOSITE = "opposite"
    """Two conditions that exclude each other."""
    UNSEEN = "unseen"
    """Said not to have been looked at, after something was seen there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contradiction:
    """Two standing claims, each by the entry that said it last, the one said earlier in front."""

    first: Entry
    second: Entry
    why: Why
    also_first: tuple[str, ...] = ()
    """Ids of the other entries that claim the same as `first`."""
    also_second: tuple[str, ...] = ()


def contradictions(record: Record, opposites: Opposites) -> list[Contradiction]:
    """All standing claims that can't both be true and that the person hasn't decided about."""
    return undecided(record, contradictions_among(record.standing(), opposites))


def undecided(record: Record, found: Iterable[Contradiction]) -> list[Contradiction]:
    """Those of the contradictions that the person hasn't decided about. A decision about two findings holds for
    everything that claims the same.
    """
    decided = {
        frozenset(record.entries[name].finding.claim() for name in (item.first, item.second))
        for item in record.settled
        if item.first in record.entries and item.second in record.entries
    }
    return [
        item for item in found if frozenset((item.first.finding.claim(), item.second.finding.claim())) not in decided
    ]


def contradictions_among(entries: Iterable[Entry], opposites: Opposites) -> list[Contradiction]:
    """The same over any entries, in their order, decided or not."""
    order: dict[str, int] = {}
    here: dict[tuple[object, ...], dict[tuple[object, ...], list[Entry]]] = {}
    for entry in entries:
        finding = entry.finding
        order[entry.id] = len(order)
        position = (finding.part, finding.place.cylinder, finding.place.journal)
        here.setdefault(position, {}).setdefault(finding.claim(), []).append(entry)
    out: list[Contradiction] = []
    for claims in here.values():
        for pair in _comparable(claims.values()):
            earlier, later = sorted(pair, key=lambda said: order[said[-1].id])
            why = conflict(earlier[-1].finding, later[-1].finding, opposites)
            if why is not None:
                out.append(_contradiction(earlier, later, why))
    return sorted(out, key=lambda found: (order[found.first.id], order[found.second.id]))


def _comparable(claims: Iterable[list[Entry]]) -> Iterator[tuple[list[Entry], list[Entry]]]:
    """Pairs worth a look: measurements, of which there may be thousands, contradict no other measurement."""
    by_kind: dict[Kind, list[list[Entry]]] = {kind: [] for kind in Kind}
    for said in claims:
        by_kind[said[-1].finding.kind].append(said)
    yield from combinations(by_kind[Kind.CONDITION], 2)
    for unseen in by_kind[Kind.UNSEEN]:
        for kind in (Kind.CONDITION, Kind.MEASUREMENT):
            yield from ((unseen, seen) for seen in by_kind[kind])


def _contradiction(earlier: list[Entry], later: list[Entry], why: Why) -> Contradiction:
    return Contradiction(
        first=earlier[-1],
        second=later[-1],
        why=why,
        also_first=tuple(entry.id for entry in earlier[:-1]),
        also_second=tuple(entry.id for entry in later[:-1]),
    )


def conflict(first: Finding, second: Finding, opposites: Opposites) -> Why | None:
    """Why two findings, the earlier one first, can't both be true; None if they can."""
    if first.part != second.part or not _meet(first.place, second.place):
        return None
    if Kind.UNSEEN in (first.kind, second.kind):
        return _unseen(first, second)
    if first.kind is not Kind.CONDITION or second.kind is not Kind.CONDITION:
        return None
    return _conditions(first, second, opposites)


def _meet(first: Place, second: Place) -> bool:
    same_position = (first.cylinder, first.journal) == (second.cylinder, second.journal)
    return same_position and (first.covers(second) or second.covers(first))


def _unseen(first: Finding, second: Finding) -> Why | None:
    """Not looked at and later seen is how a teardown goes; seen and later not looked at isn't."""
    seen_before = second.kind is Kind.UNSEEN and first.kind in (Kind.CONDITION, Kind.MEASUREMENT)
    return Why.UNSEEN if seen_before and second.place.covers(first.place) else None


def _conditions(first: Finding, second: Finding, opposites: Opposites) -> Why | None:
    for broad, narrow in ((first, second), (second, first)):
        if not broad.place.covers(narrow.place):
            continue
        if broad.condition == narrow.condition:
            if not broad.present and narrow.present:
                return Why.ABSENT
            continue
        if broad.present and narrow.present and _excludes(broad, narrow, opposites):
            return Why.OPPOSITE
    return None


def _excludes(broad: Finding, narrow: Finding, opposites: Opposites) -> bool:
    """Of two opposites the one that excludes more speaks of the whole: a good bore has no scored spot, while a scored
    bore may well have a good one.
    """
    excluded = opposites.get(broad.condition or "", ())
    if narrow.condition not in excluded:
        return False
    return broad.place == narrow.place or len(excluded) > len(opposites.get(narrow.condition or "", ()))
