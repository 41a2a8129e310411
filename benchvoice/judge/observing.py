"""Observations: what of the causes table is so on this engine, what is not so, and what nobody has looked at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from benchvoice.domain.coverage import Coverage, CoverageCell, Looked, State
from benchvoice.domain.engine import Engine
from benchvoice.domain.figures import Figure, Verdict
from benchvoice.domain.findings import Degree, Finding, Kind, Place
from benchvoice.domain.record import Entry, Record
from benchvoice.judge.coverage import has_word
from benchvoice.judge.places import meant
from benchvoice.lexicon.judging import JudgingTables
from benchvoice.lexicon.judging_types import Observation

_DEGREES = (Degree.LIGHT, Degree.MODERATE, Degree.HEAVY)
_LOW = 0.75
"""Lowest cylinder against the best one (vehicle makers' rule)."""


class Holds(Enum):
    YES = "yes"
    NO = "no"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True)
class Seen:
    """An observation on this engine. hedged: only hedged findings carry it. cylinders: which it was seen at."""

    holds: Holds
    entries: tuple[str, ...] = ()
    hedged: bool = False
    cylinders: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Material:
    """What is observed from: standing entries of our own doing left out, coverage and figures."""

    entries: tuple[Entry, ...]
    coverage: Coverage
    figures: tuple[Figure, ...]
    engine: Engine
    tables: JudgingTables
    said: tuple[tuple[str, str], ...] = ()
    """Utterances about the engine, their ids and words."""

    def places_of(self, finding: Finding) -> tuple[Place, ...]:
        row = self.tables.parts.get(finding.part)
        return meant(row, finding.place, self.engine) if row else ()


def spoken(record: Record) -> tuple[tuple[str, str], ...]:
    """Ids and words of the utterances about the engine that stand: not taken back, not blanked, and where they gave
    findings, at least one of these not dropped.
    """
    entries = record.entries
    return tuple(
        (f"{sitting}.{n}", said.reading.utterance.text)
        for (sitting, n), said in record.said.items()
        if said.reading.domain
        and not said.withdrawn
        and not said.blanked
        and (not said.entries or any(name in entries and entries[name].counts for name in said.entries))
    )


def material(
    record: Record, coverage: Coverage, figures: Iterable[Figure], engine: Engine, tables: JudgingTables
) -> Material:
    """Damage done while taking the engine apart says nothing about why it failed and is left out."""
    standing = record.standing()
    ours = {
        (entry.sitting, entry.n, entry.finding.part, entry.finding.place)
        for entry in standing
        if entry.finding.kind is Kind.EVENT
        and entry.finding.action in tables.words.damaged_actions
        and entry.finding.done_by != "before"
    }
    kept = [e for e in standing if e.n is None or (e.sitting, e.n, e.finding.part, e.finding.place) not in ours]
    return Material(tuple(kept), coverage, tuple(figures), engine, tables, spoken(record))


def observe(observation: Observation, given: Material) -> Seen:
    """Whether the observation is so, is not so, or isn't decided by what is on record."""
    if observation.pattern in ("low_pair", "low_one"):
        return _compression(observation, given)
    entries = [entry for entry in given.entries if _matches(entry.finding, observation)]
    entries += [entry for entry in given.entries if _said_with_a_number(entry.finding, observation, given)]
    beyond = _figures_beyond(observation, given)
    found = _found(observation, entries, given)
    if beyond and found.holds is not Holds.YES:
        ids = tuple(dict.fromkeys(i for figure in beyond for i in figure.inputs))
        return Seen(Holds.YES, ids, all(figure.hedged for figure in beyond))
    if found.holds is not Holds.YES and observation.words and not observation.conditions:
        found = _spoken(observation, given)
    if found.holds is Holds.YES:
        return found
    return _absent(observation, entries, given)


def _matches(finding: Finding, observation: Observation) -> bool:
    """True if the finding shows what the observation is about, at any place."""
    if finding.part not in observation.parts or finding.kind not in (Kind.CONDITION, Kind.EVENT):
        return False
    if has_word(finding.text, observation.without_words) or not _names(finding, observation):
        return False
    if observation.shell and finding.place.shell != observation.shell:
        return False
    if observation.side and finding.place.side != observation.side:
        return False
    return not observation.degree or _at_least(finding.degree, Degree(observation.degree))


def _names(finding: Finding, observation: Observation) -> bool:
    """True if the words and the condition are those of the observation, and nothing is denied."""
    if observation.words and not has_word(finding.text, observation.words):
        return False
    if finding.kind is Kind.CONDITION and not finding.present:
        return False
    named = bool(observation.words) and not observation.conditions
    return named or finding.condition in observation.conditions


def _said_with_a_number(finding: Finding, observation: Observation, given: Material) -> bool:
    """ "The head is warped six thousandths" is a measurement and says warped; it counts like a hedged word, and not at
    all when the figure lies within its limit.
    """
    if finding.kind is not Kind.MEASUREMENT or finding.part not in observation.parts or observation.beyond:
        return False
    if not observation.quantity or finding.quantity != observation.quantity:
        return False
    words = [name.replace("_", " ") for name in observation.conditions]
    if not has_word(finding.text, words) or has_word(finding.text, given.tables.words.denying):
        return False
    return not any(
        figure.verdict is Verdict.WITHIN
        and figure.part == finding.part
        and figure.place == finding.place
        and observation.quantity in (figure.name, figure.quantity)
        for figure in given.figures
    )


def _at_least(degree: Degree | None, least: Degree) -> bool:
    return degree is not None and _DEGREES.index(degree) >= _DEGREES.index(least)


def _spoken(observation: Observation, given: Material) -> Seen:
    """For an observation made of words alone: utterances that hold one of them and name one of the parts, and that
    deny nothing. Not every such sentence yields a finding ("the oil smells of fuel").
    """
    parts, denying = given.tables.parts, given.tables.words.denying
    names = [name for part in observation.parts for name in (parts[part].say, parts[part].plural)]
    found = [
        said_id
        for said_id, text in given.said
        if has_word(text, observation.words) and has_word(text, names) and not has_word(text, denying)
    ]
    return Seen(Holds.YES, tuple(found)) if found else Seen(Holds.UNDECIDED)


def _figures_beyond(observation: Observation, given: Material) -> list[Figure]:
    if not observation.beyond:
        return []
    return [
        figure
        for figure in given.figures
        if figure.part in observation.parts
        and observation.quantity in (figure.name, figure.quantity)
        and figure.verdict is Verdict.BEYOND
    ]


def _found(observation: Observation, entries: Sequence[Entry], given: Material) -> Seen:
    where: set[tuple[str, Place]] = set()
    firm = []
    for entry in entries:
        if not entry.finding.hedged and entry.finding.kind is not Kind.MEASUREMENT:
            firm.append(entry)
        where |= {(entry.finding.part, place) for place in _named(entry.finding, given)}
    if not _enough(observation, entries, where, given):
        return Seen(Holds.UNDECIDED)
    firm_where = {(e.finding.part, place) for e in firm for place in _named(e.finding, given)}
    return Seen(
        Holds.YES,
        tuple(entry.id for entry in entries),
        hedged=not _enough(observation, firm, firm_where, given),
        cylinders=_cylinders(entries),
    )


def _named(finding: Finding, given: Material) -> tuple[Place, ...]:
    """The places that a finding speaks of; a plural without a number stands for two of them and no more."""
    found = given.places_of(finding)
    return found if len(found) <= 1 else found[:2]


def _cylinders(entries: Iterable[Entry]) -> frozenset[int]:
    return frozenset(e.finding.place.cylinder for e in entries if e.finding.place.cylinder is not None)


def _enough(observation: Observation, entries: Sequence[Entry], where: set[tuple[str, Place]], given: Material) -> bool:
    if not entries:
        return False
    spots = {(place.cylinder, place.journal, place.bank) for _, place in where}
    if len(where) < observation.at_least and observation.at_least > 1:
        return False
    if len({entry.finding.part for entry in entries}) < observation.parts_at_least:
        return False
    if len(spots) < observation.places_at_least and observation.places_at_least > 1:
        return False
    if observation.pattern == "only_one":
        return len(spots) == 1 and _sound_others(observation, where, given) >= 2
    if observation.pattern == "far_end":
        return _worst_far_away(observation, where, given)
    if observation.pattern == "side_by_side":
        cylinders = _cylinders(entries)
        return any(set(given.engine.neighbours(c)) & cylinders for c in cylinders if given.engine.has(cylinder=c))
    return True


def _looked_cells(observation: Observation, given: Material) -> list[CoverageCell]:
    return [cell for part in observation.parts for cell in given.coverage.of(part) if cell.looked.backs_a_claim]


def _sound_others(observation: Observation, where: set[tuple[str, Place]], given: Material) -> int:
    """How many other cells of the parts were looked at and are sound; 0 if any other of them is bad."""
    others = [cell for cell in _looked_cells(observation, given) if (cell.part, cell.place) not in where]
    if any(cell.state is State.SPOILED for cell in others):
        return 0
    return sum(1 for cell in others if cell.state is State.SOUND)


def _distance(place: Place, engine: Engine) -> float | None:
    """How far along the gallery from the pump, 0..1."""
    if place.journal is not None:
        return engine.distance_from_pump(place.journal) / max(1, engine.main_count - 1)
    if place.cylinder is not None:
        along = (engine.station_of(place.cylinder) - 0.5) / engine.rows
        return along if engine.pump_end == "front" else 1 - along
    return None


def _worst_far_away(observation: Observation, where: set[tuple[str, Place]], given: Material) -> bool:
    """Bad ones in the far half, and a sound one, looked at, nearer to the pump than every bad one."""
    bad = [d for _, place in where if (d := _distance(place, given.engine)) is not None]
    sound = [
        d
        for cell in _looked_cells(observation, given)
        if cell.state is State.SOUND and (d := _distance(cell.place, given.engine)) is not None
    ]
    return bool(bad and sound) and max(bad) >= 0.5 and min(sound) < min(bad)


def _absent(observation: Observation, entries: Sequence[Entry], given: Material) -> Seen:
    """Not so: of each part that can deny it, every member was looked at and is sound, or is said not to be so.
    Patterns are never denied that way.
    """
    if observation.words and not observation.conditions:
        return _clean_words(observation, given)
    if entries or observation.pattern or not observation.conditions:
        return Seen(Holds.UNDECIDED)
    evidence: list[str] = []
    for part in observation.denied_by or observation.parts:
        denials = [entry for entry in given.entries if _denies(entry.finding, part, observation)]
        named = {place for entry in denials for place in given.places_of(entry.finding)}
        cells = given.coverage.of(part)
        if given.tables.parts[part].per == "none" and part in observation.denied_by and not denials:
            return Seen(Holds.UNDECIDED)
        for cell in cells:
            only_measured = cell.looked is Looked.MEASURED and not cell.conditions
            sound = cell.looked.backs_a_claim and cell.state is State.SOUND and not only_measured
            if not sound and cell.place not in named:
                return Seen(Holds.UNDECIDED)
            evidence += cell.evidence if sound else ()
        evidence += [entry.id for entry in denials]
    return Seen(Holds.NO, tuple(dict.fromkeys(evidence))) if evidence else Seen(Holds.UNDECIDED)


def _denies(finding: Finding, part: str, observation: Observation) -> bool:
    return (
        finding.part == part
        and finding.kind is Kind.CONDITION
        and not finding.present
        and not finding.hedged
        and finding.condition in observation.conditions
    )


def _clean_words(observation: Observation, given: Material) -> Seen:
    """An observation made of words alone is denied by "clean" or "good" on one of its parts, said without doubt."""
    clean = [
        entry
        for entry in given.entries
        if entry.finding.part in observation.parts
        and entry.finding.condition in ("clean", "good")
        and entry.finding.present
        and not entry.finding.hedged
    ]
    return Seen(Holds.NO, tuple(entry.id for entry in clean)) if clean else Seen(Holds.UNDECIDED)


def _compression(observation: Observation, given: Material) -> Seen:
    """Cylinders under 75 percent of the best one, from the last compression reading of each."""
    last: dict[int, Entry] = {}
    for entry in given.entries:
        finding = entry.finding
        cylinder = finding.place.cylinder
        if finding.quantity == "compression" and cylinder is not None and given.engine.has(cylinder=cylinder):
            last[cylinder] = entry
    units = {entry.finding.unit for entry in last.values()}
    values = {c: float(e.finding.value) for c, e in last.items() if e.finding.value is not None}
    if len(values) < 3 or len(units) != 1 or max(values.values()) <= 0:
        return Seen(Holds.UNDECIDED)
    best = max(values.values())
    low = {cylinder for cylinder, value in values.items() if value < _LOW * best}
    pair = any(set(given.engine.neighbours(cylinder)) & low for cylinder in low)
    holds = len(low) == 1 if observation.pattern == "low_one" else pair
    ids = tuple(last[cylinder].id for cylinder in sorted(low or last))
    complete = len(values) == given.engine.cylinders
    if holds:
        return Seen(Holds.YES, ids, any(last[c].finding.hedged for c in low), frozenset(low))
    return Seen(Holds.NO if complete else Holds.UNDECIDED, ids if complete else ())
