"""How likely each part that nobody opened is bad: alike parts first, then what its mates and neighbours say.

base: beta-binomial over the alike parts that were looked at. The rules of checks.toml then change the odds, each once
however many finds call for it. The factors stay beside the chance as reasons.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from benchvoice.domain.coverage import CoverageCell, State
from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Kind, Place
from benchvoice.domain.judgement import Reason
from benchvoice.domain.record import Entry
from benchvoice.judge.places import meant, numbers
from benchvoice.lexicon.judging import JudgingTables
from benchvoice.lexicon.judging_types import CheckRow

_MOST, _LEAST = 0.97, 0.002


@dataclass(frozen=True, slots=True)
class Trigger:
    """Something found that may change the odds of other parts."""

    part: str
    place: Place
    bad: bool
    good: bool
    conditions: frozenset[str]
    evidence: tuple[str, ...] = ()
    members: tuple[Place, ...] = ()
    """The places that may be meant, where a group was spoken of without numbers."""


@dataclass(slots=True)
class Belief:
    """odds: the factor of all rules together."""

    chance: float
    odds: float = 1.0
    reasons: list[Reason] = field(default_factory=list)


def triggers(
    cells: Iterable[CoverageCell], entries: Iterable[Entry], engine: Engine, tables: JudgingTables
) -> list[Trigger]:
    """Everything on record that a rule may start from: cells, groups that were said to be bad, and parts that are never
    asked about (oil).
    """
    out = [
        Trigger(
            part=cell.part,
            place=cell.place,
            bad=cell.state in (State.IMPAIRED, State.SPOILED),
            good=cell.looked.backs_a_claim and cell.state is State.SOUND,
            conditions=_telling(cell, tables),
            evidence=cell.evidence,
        )
        for cell in cells
        if cell.state is not State.UNKNOWN
    ]
    for entry in entries:
        out += _spoken_of(entry, engine, tables)
    return out


def _spoken_of(entry: Entry, engine: Engine, tables: JudgingTables) -> list[Trigger]:
    """What is no cell: a group without numbers, said to be bad or good, and parts that are never asked about."""
    finding = entry.finding
    row = tables.parts.get(finding.part)
    if row is None or finding.kind is not Kind.CONDITION:
        return []
    members = meant(row, finding.place, engine) if row.per != "none" else ()
    bad = finding.present and finding.condition in tables.conditions.bad
    good = finding.condition in (tables.conditions.fine if finding.present else tables.conditions.bad)
    if not (bad or good) or (row.per != "none" and len(members) < 2) or (good and not members):
        return []
    named = frozenset([finding.condition] if bad and finding.condition else [])
    return [Trigger(finding.part, finding.place, bad, good, named, (entry.id,), members)]


def _telling(cell: CoverageCell, tables: JudgingTables) -> frozenset[str]:
    """The conditions that a rule may start from: light marks on a sound part are none, dirt in it is."""
    named = frozenset(cell.conditions)
    return named & tables.parts[cell.part].harmless if cell.state is State.SOUND else named


class Chances:
    """The rules laid out for one engine's cells, so that they can be asked many times."""

    def __init__(self, cells: Sequence[CoverageCell], engine: Engine, tables: JudgingTables) -> None:
        self.engine, self.tables = engine, tables
        self._by_part: dict[str, list[Place]] = {}
        for cell in cells:
            self._by_part.setdefault(cell.part, []).append(cell.place)
        self._by_trigger: dict[str, list[CheckRow]] = {}
        for check in tables.checks:
            for part in check.after_parts:
                self._by_trigger.setdefault(part, []).append(check)
        self._targets: dict[tuple[str, str, Place], list[tuple[str, Place]]] = {}

    def factors(self, found: Sequence[Trigger]) -> dict[tuple[str, Place], dict[str, tuple[CheckRow, Trigger | None]]]:
        """For each cell, the rules that apply to it and the first find that calls for each."""
        out: dict[tuple[str, Place], dict[str, tuple[CheckRow, Trigger | None]]] = {}
        for check in self.tables.checks:
            if check.where == "far_end" and not check.after_parts:
                for target in self._far_end(check):
                    out.setdefault(target, {})[check.id] = (check, None)
        for check in self.tables.checks:
            for target, trigger in self._by_group(check, found):
                out.setdefault(target, {}).setdefault(check.id, (check, trigger))
        for trigger in found:
            for check in self._by_trigger.get(trigger.part, ()):
                if _calls(check, trigger):
                    for target in self._reached(check, trigger):
                        out.setdefault(target, {}).setdefault(check.id, (check, trigger))
        return out

    def _by_group(self, check: CheckRow, found: Sequence[Trigger]) -> Iterator[tuple[tuple[str, Place], Trigger]]:
        """Members of groups that were spoken of, and those that lie open beside spoken ones and were not named."""
        for trigger in found:
            here: Sequence[Place] = ()
            if check.where == ("members" if trigger.bad else "members_good"):
                here = trigger.members
            elif check.where == "unnamed" and not trigger.members and not self._opens_singly(trigger.part):
                here = self._by_part.get(trigger.part, ())
            for place in here:
                yield (trigger.part, place), trigger

    def _opens_singly(self, part: str) -> bool:
        return self.tables.parts[part].one_by_one

    def _reached(self, check: CheckRow, trigger: Trigger) -> list[tuple[str, Place]]:
        key = (check.id, trigger.part, trigger.place)
        if key not in self._targets:
            self._targets[key] = [
                (part, place)
                for part in check.look
                for place in self._by_part.get(part, ())
                if (part, place) != (trigger.part, trigger.place)
                and related(check.where, trigger.place, place, self.engine)
            ]
        return self._targets[key]

    def _far_end(self, check: CheckRow) -> list[tuple[str, Place]]:
        journal = self.engine.journals_far_first()[0]
        cylinders = self.engine.cylinders_far_first()[: 2 if self.engine.banks else 1]
        return [
            (part, place)
            for part in check.look
            for place in self._by_part.get(part, ())
            if place.journal == journal or (place.cylinder is not None and place.cylinder in cylinders)
        ]


def _calls(check: CheckRow, trigger: Trigger) -> bool:
    if trigger.members and trigger.good:
        return False
    if check.after_conditions:
        return not trigger.conditions.isdisjoint(check.after_conditions)
    return (check.after_bad and trigger.bad) or (check.after_good and trigger.good)


def related(where: str, there: Place, here: Place, engine: Engine) -> bool:
    """True if `here` stands in the relation `where` to the place `there` of a find."""
    if where == "all":
        return True
    if where == "same_journal":
        return here.journal == there.journal if here.journal is not None else here.cylinder is None
    if where == "next_journal":
        return None not in (here.journal, there.journal) and abs((here.journal or 0) - (there.journal or 0)) == 1
    if where == "rods_beside":
        return here.cylinder is not None and there.journal in engine.mains_beside(here.cylinder)
    if where == "same_bank":
        return _bank(here, engine) in (None, _bank(there, engine)) or _bank(there, engine) is None
    if where == "same_place" and there.journal is not None:
        return here.journal == there.journal
    return there.cylinder is not None and _from_cylinder(where, there, here, engine)


def _from_cylinder(where: str, there: Place, here: Place, engine: Engine) -> bool:
    assert there.cylinder is not None
    if where == "mains_beside":
        return here.journal in engine.mains_beside(there.cylinder)
    if where == "same_pin":
        return here.cylinder in engine.station_mates(there.cylinder)
    if where == "next_in_bank":
        return here.cylinder in engine.neighbours(there.cylinder)
    if where == "same_cylinder" and here.cylinder is None:
        return here.journal is None and _bank(here, engine) in (None, engine.bank_of(there.cylinder))
    same = here.cylinder == there.cylinder
    if where == "same_place":
        return same and (here.valve is None or there.valve is None or here.valve == there.valve)
    return same


def _bank(place: Place, engine: Engine) -> str | None:
    return engine.bank_of(place.cylinder) if place.cylinder is not None else place.bank


def alike(cells: Iterable[CoverageCell], tables: JudgingTables) -> dict[str, tuple[float, float]]:
    """For each part the beta-binomial's weights of bad and good: the prior and what was looked at."""
    out: dict[str, tuple[float, float]] = {}
    for cell in cells:
        row = tables.parts[cell.part]
        bad, good = out.get(cell.part, (row.bad_rate * row.prior_weight, (1 - row.bad_rate) * row.prior_weight))
        if cell.looked.backs_a_claim:
            is_bad = cell.state in (State.IMPAIRED, State.SPOILED)
            bad, good = (bad + 1, good) if is_bad else (bad, good + 1)
        out[cell.part] = (bad, good)
    return out


def beliefs(
    cells: Sequence[CoverageCell], found: Sequence[Trigger], chances: Chances
) -> dict[tuple[str, Place], Belief]:
    """For every cell that a look could settle: the chance that it is bad, and why."""
    factors = chances.factors(found)
    weights = alike(cells, chances.tables)
    out = {}
    for cell in cells:
        if cell.looked.open and cell.state is State.UNKNOWN:
            key = (cell.part, cell.place)
            out[key] = _belief(weights[cell.part], factors.get(key, {}), chances.tables)
    return out


def _belief(
    weights: tuple[float, float],
    factors: Mapping[str, tuple[CheckRow, Trigger | None]],
    tables: JudgingTables,
) -> Belief:
    bad, good = weights
    factor = together([check.odds for check, _ in factors.values()])
    chance = min(_MOST, max(_LEAST, bad * factor / (good + bad * factor)))
    order = sorted(factors.values(), key=lambda item: -abs(math.log(item[0].odds)))
    return Belief(chance, factor, [_reason(check, trigger, tables) for check, trigger in order])


def together(odds: Sequence[float]) -> float:
    """One factor for several rules. They often spring from one cause, so the strongest of each direction counts in
    full and every further one half as much as the one before it (our own damping; common practice, no source).

    >>> round(together([4.0, 4.0]), 3), together([4.0, 0.25])
    (8.0, 1.0)
    """
    total = 0.0
    for sign in (1, -1):
        logs = sorted((abs(math.log(o)) for o in odds if sign * math.log(o) > 0), reverse=True)
        total += sign * sum(log / 2**rank for rank, log in enumerate(logs))
    return math.exp(total)


def _reason(check: CheckRow, trigger: Trigger | None, tables: JudgingTables) -> Reason:
    if trigger is None:
        return Reason(text=check.say, source=check.source, odds=check.odds)
    where = numbers([trigger.place])
    row = tables.parts[trigger.part]
    there = f"{row.say} {where}" if where else row.plural if trigger.members else row.say
    named = sorted(trigger.conditions & set(check.after_conditions or trigger.conditions) & tables.conditions.bad)
    what = " and ".join(name.replace("_", " ") for name in named) or ("bad" if trigger.bad else "sound")
    text = check.say.format(there=there, what=what)
    return Reason(text=text, source=check.source, odds=check.odds, evidence=trigger.evidence)
