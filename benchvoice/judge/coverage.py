"""Coverage: how each part at each place was looked at, read off the record's standing entries and nothing else.

A statement about a group ("rods look good") counts for a member only where that member was spoken of by itself, or
where all members lie open at once and all of them were meant in words ("every rocker is good").
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from benchvoice.domain.coverage import Coverage, CoverageCell, Looked, State
from benchvoice.domain.engine import Engine
from benchvoice.domain.figures import Figure, Verdict
from benchvoice.domain.findings import Degree, Finding, Kind, Place
from benchvoice.domain.record import Entry
from benchvoice.judge.places import asked, meant, places
from benchvoice.lexicon.judging import JudgingTables
from benchvoice.lexicon.judging_types import PartRow

_BEST = {looked: rank for rank, looked in enumerate(Looked)}


@dataclass(slots=True)
class _Sighting:
    """What has been gathered about one cell so far."""

    looked: Looked = Looked.NOT_LOOKED_AT
    state: State = State.UNKNOWN
    evidence: list[str] = field(default_factory=list)
    conditions: list[str] = field(default_factory=list)
    measured: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    halves: set[str] = field(default_factory=set)
    whole: bool = False
    left_on_purpose: bool = False

    def look(self, looked: Looked) -> None:
        if _BEST[looked] < _BEST[self.looked]:
            self.looked = looked

    def found(self, state: State) -> None:
        order = (State.UNKNOWN, State.SOUND, State.IMPAIRED, State.SPOILED)
        if order.index(state) > order.index(self.state):
            self.state = state

    def note(self, text: str) -> None:
        if text not in self.notes:
            self.notes.append(text)

    def stand_on(self, entry: Entry) -> None:
        if entry.id not in self.evidence:
            self.evidence.append(entry.id)


def has_word(text: str, words: Iterable[str]) -> bool:
    """True if one of the words or phrases stands in the text as whole words."""
    padded = f" {text.lower().replace(',', ' ').replace('.', ' ')} "
    return any(f" {word} " in padded for word in words)


def state_of(finding: Finding, tables: JudgingTables) -> State:
    """What a condition finding says about the state of its part; UNKNOWN when it says nothing of that."""
    sets, condition = tables.conditions, finding.condition
    if finding.kind is not Kind.CONDITION or condition is None or condition in sets.gone:
        return State.UNKNOWN
    if not finding.present:
        return State.IMPAIRED if condition in sets.fine else State.SOUND
    row = tables.parts.get(finding.part)
    if condition in sets.fine or condition in sets.neutral or (row and condition in row.harmless):
        return State.SOUND
    if finding.degree is Degree.LIGHT and condition in sets.harmless_when_light:
        return State.SOUND
    return State.SPOILED if condition in sets.spoil else State.IMPAIRED if condition in sets.impair else State.UNKNOWN


class _Survey:
    """Goes through the entries once, in the order in which they were said."""

    def __init__(self, engine: Engine, tables: JudgingTables, rows: list[PartRow]) -> None:
        self.engine, self.tables = engine, tables
        self.rows = {row.name: row for row in rows}
        self.cells: dict[tuple[str, Place], _Sighting] = {
            (row.name, place): _Sighting() for row in rows for place in places(row, engine)
        }

    def add(self, entry: Entry) -> None:
        row = self.rows.get(entry.finding.part)
        if row is not None:
            self._add(entry, row, piece="")
            whole = self.rows.get(row.shows)
            if whole is not None and entry.finding.kind in (Kind.CONDITION, Kind.MEASUREMENT):
                self._add(entry, whole, piece=row.say)

    def _add(self, entry: Entry, row: PartRow, piece: str) -> None:
        finding = entry.finding
        found = meant(row, finding.place, self.engine)
        group = len(found) > 1
        for place in found:
            cell = self.cells[(row.name, place)]
            if finding.kind is Kind.UNSEEN:
                self._unseen(cell, entry, group)
            elif finding.kind is Kind.EVENT:
                self._event(cell, entry, group)
            elif group:
                self._group(cell, entry, row)
            elif finding.kind is Kind.MEASUREMENT:
                self._measured(cell, entry, row, piece)
            else:
                self._condition(cell, entry, row, piece)

    def _unseen(self, cell: _Sighting, entry: Entry, group: bool) -> None:
        text = entry.finding.text
        if has_word(text, self.tables.words.measure):
            cell.note("said not to have been measured")
            return
        if cell.looked.backs_a_claim or cell.looked is Looked.SEEN_IN_PART:
            if not group:
                cell.looked = Looked.SEEN_IN_PART
                cell.note("said to have been seen, and said not to have been looked at")
                cell.stand_on(entry)
            return
        cell.stand_on(entry)
        cell.left_on_purpose = cell.left_on_purpose or entry.n is None
        if has_word(text, self.tables.words.could_not):
            cell.looked = Looked.COULD_NOT_BE_SEEN

    def _event(self, cell: _Sighting, entry: Entry, group: bool) -> None:
        words, action = self.tables.words, entry.finding.action or ""
        if group:
            return
        cell.stand_on(entry)
        if action in words.gone_actions and not cell.looked.backs_a_claim:
            cell.looked = Looked.GONE
        elif action in words.felt_actions:
            cell.look(Looked.FELT)
            cell.note("turned by hand")
        elif action in words.damaged_actions:
            cell.look(Looked.SEEN)
            cell.found(State.IMPAIRED)
            cell.note("damaged while it was taken off" if entry.finding.done_by != "before" else "damaged before")

    def _group(self, cell: _Sighting, entry: Entry, row: PartRow) -> None:
        finding = entry.finding
        if finding.kind is Kind.MEASUREMENT or finding.condition in self.tables.conditions.gone:
            return
        if cell.looked.backs_a_claim:
            return
        every = has_word(finding.text, self.tables.words.total) and not finding.place.as_dict().keys() - {"bank"}
        if every and not row.one_by_one and not finding.hedged:
            cell.look(Looked.SEEN)
            cell.found(state_of(finding, self.tables))
            self._say(cell, finding)
        elif every or not row.one_by_one:
            cell.look(Looked.SEEN_IN_PART)
            cell.note("said of all together, not one by one" if every else "only said of the group")
        else:
            cell.note("only said of the group, not recorded as opened")
            return
        cell.stand_on(entry)

    def _measured(self, cell: _Sighting, entry: Entry, row: PartRow, piece: str) -> None:
        finding = entry.finding
        quantity = finding.quantity or ""
        cell.stand_on(entry)
        if quantity in self.tables.no_look:
            cell.note(f"{quantity.replace('_', ' ')} taken, which is no look at the part")
            return
        self._half(cell, finding)
        if piece:
            cell.look(Looked.SEEN_IN_PART)
            cell.note(f"only its {piece}")
            return
        if quantity not in cell.measured:
            cell.measured.append(quantity)
        if finding.hedged:
            cell.look(Looked.SEEN_IN_PART)
            cell.note(f"{quantity.replace('_', ' ')} said with doubt")
        elif row.measured_by and quantity not in row.measured_by:
            cell.look(Looked.SEEN_IN_PART)
            cell.note(f"only its {quantity.replace('_', ' ')}")
        else:
            cell.look(Looked.MEASURED)

    def _condition(self, cell: _Sighting, entry: Entry, row: PartRow, piece: str) -> None:
        finding, words = entry.finding, self.tables.words
        cell.stand_on(entry)
        if finding.condition in self.tables.conditions.gone:
            if not finding.present:
                cell.look(Looked.SEEN)
            elif not piece and not finding.hedged:
                cell.looked = Looked.GONE
            elif finding.hedged:
                cell.note("said to be missing, with doubt")
            return
        self._half(cell, finding)
        state = state_of(finding, self.tables)
        if piece:
            cell.look(Looked.SEEN_IN_PART)
            cell.note(f"only its {piece}")
            state = state if state in (State.SPOILED, State.IMPAIRED) else State.UNKNOWN
        elif has_word(finding.text, words.felt) and not has_word(finding.text, words.seen_after_all):
            cell.look(Looked.FELT)
        else:
            cell.look(Looked.SEEN)
        cell.found(state)
        self._say(cell, finding)

    @staticmethod
    def _half(cell: _Sighting, finding: Finding) -> None:
        if finding.place.shell is None:
            cell.whole = True
        else:
            cell.halves.add(finding.place.shell)

    @staticmethod
    def _say(cell: _Sighting, finding: Finding) -> None:
        if finding.present and finding.condition and finding.condition not in cell.conditions:
            cell.conditions.append(finding.condition)
        if finding.hedged and finding.present:
            cell.note(f"{(finding.condition or '').replace('_', ' ')}: said with doubt")

    def figures(self, figures: Iterable[Figure]) -> None:
        """A figure beyond a limit that can give a verdict leaves its part impaired."""
        for figure in figures:
            row = self.rows.get(figure.part)
            if row is None or figure.verdict is not Verdict.BEYOND:
                continue
            found = meant(row, figure.place, self.engine)
            if len(found) == 1:
                cell = self.cells[(row.name, found[0])]
                cell.found(State.IMPAIRED)
                cell.note(f"{figure.name.replace('_', ' ')} beyond its limit")
                for entry in figure.inputs:
                    if entry not in cell.evidence:
                        cell.evidence.append(entry)

    def cell(self, row: PartRow, place: Place) -> CoverageCell:
        seen = self.cells[(row.name, place)]
        looked, state = seen.looked, seen.state
        if row.halves and looked.backs_a_claim and not seen.whole and len(seen.halves) == 1:
            looked = Looked.SEEN_IN_PART
            seen.note(f"only the {next(iter(seen.halves))} shell")
        if looked.backs_a_claim:
            state = State.SOUND if state is State.UNKNOWN else state
        elif state is State.SOUND:
            state = State.UNKNOWN
        return CoverageCell(
            part=row.name,
            place=place,
            looked=looked,
            state=state,
            evidence=tuple(seen.evidence),
            importance=row.importance,
            conditions=tuple(seen.conditions),
            measured=tuple(seen.measured),
            note="; ".join(seen.notes),
            left_on_purpose=seen.left_on_purpose and looked.open,
        )


def cover(entries: Iterable[Entry], engine: Engine, tables: JudgingTables, figures: Iterable[Figure] = ()) -> Coverage:
    """The coverage of an engine from its standing entries, in the order of the parts table."""
    standing = [entry for entry in entries if entry.counts]
    rows = asked(list(tables.parts.values()), engine, {entry.finding.part for entry in standing})
    survey = _Survey(engine, tables, rows)
    for entry in standing:
        survey.add(entry)
    survey.figures(figures)
    return Coverage(cells=tuple(survey.cell(row, place) for row in rows for place in places(row, engine)))
