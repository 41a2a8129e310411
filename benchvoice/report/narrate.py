"""Accepted entries become plain sentences: alike ones folded, hedges and degrees kept, nothing added."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Entry
from benchvoice.report.clean import clean
from benchvoice.report.folding import at, gather
from benchvoice.report.language import Wording
from benchvoice.report.model import Says, Sentence
from benchvoice.report.phrases import UNNAMED, Phrases, Subject, capital, spread
from benchvoice.report.states import Speaker, sentences

MANY_READINGS = 3
"""More different values of one quantity on one part than this are told as a range, with the readings in the table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A sentence with what it is about; weight orders by importance."""

    sentence: Sentence
    part: str
    weight: int


class Narrator:
    """Tells entries in one language. `refs` gives the number of each entry in the evidence list; `numbered` is False
    where that list is not printed.
    """

    def __init__(self, phrases: Phrases, refs: dict[str, int], *, numbered: bool = True) -> None:
        self.phrases = phrases
        self.words: Wording = phrases.words
        self.refs = refs
        self.numbered = numbered
        self.speaker = Speaker(phrases)

    def sentence(self, text: str, says: Says, entries: Iterable[Entry] | Iterable[str] = ()) -> Sentence:
        ids = {entry if isinstance(entry, str) else entry.id for entry in entries}
        known = sorted((self.refs[item], item) for item in ids if item in self.refs)
        return Sentence(
            text=" ".join(text.split()),
            says=says,
            evidence=tuple(item for _, item in known),
            refs=tuple(number for number, _ in known) if self.numbered else (),
        )

    def part(self, part: str, entries: Sequence[Entry]) -> list[Told]:
        """All that is told of one part, worst first; what was not inspected is told elsewhere."""
        out = self.conditions(part, [entry for entry in entries if entry.finding.kind is Kind.CONDITION])
        out += self.measurements(part, [entry for entry in entries if entry.finding.kind is Kind.MEASUREMENT])
        return out + self.events(part, [entry for entry in entries if entry.finding.kind is Kind.EVENT])

    def conditions(self, part: str, entries: Sequence[Entry]) -> list[Told]:
        return [
            Told(sentence=self.sentence(text, Says.FINDING, used), part=part, weight=row.weight)
            for row in gather(part, entries)
            for text, used in sentences(self.speaker, part, row)
        ]

    def measurements(self, part: str, entries: Sequence[Entry]) -> list[Told]:
        by_quantity: dict[str, list[Entry]] = {}
        for entry in entries:
            by_quantity.setdefault(entry.finding.quantity or "", []).append(entry)
        out: list[Told] = []
        for quantity, group in by_quantity.items():
            alike = _alike_values(part, group)
            if len(alike) > MANY_READINGS:
                out.append(self._range(part, quantity, group))
            else:
                out.extend(self._measured(part, quantity, *item) for item in alike)
        return out

    def unseen(self, part: str, entries: Sequence[Entry]) -> list[Told]:
        out: list[Told] = []
        for bare, numbers in spread([entry.finding.place for entry in entries], part):
            used = at(part, entries, bare, numbers)
            subject = self.phrases.subject(part, bare, numbers, said=[entry.finding.text for entry in used])
            text = self.speaker.say("unseen", subject)
            out.append(Told(sentence=self.sentence(text, Says.FINDING, used), part=part, weight=0))
        return out

    def events(self, part: str, entries: Sequence[Entry]) -> list[Told]:
        groups: dict[tuple[str, str | None], list[Entry]] = {}
        for entry in entries:
            groups.setdefault((entry.finding.action or "", entry.finding.done_by), []).append(entry)
        out: list[Told] = []
        for (action, done_by), group in groups.items():
            key = {"before": "event_before", "teardown": "event"}.get(done_by or "", "event_open")
            plain = clean(action.replace("_", " ")) or UNNAMED
            forms = self.words.table("actions").get(action, {"did": plain, "done": plain})
            after = f" {forms['after']}" if "after" in forms else ""
            for bare, numbers in spread([entry.finding.place for entry in group], part):
                used = at(part, group, bare, numbers)
                subject = self.phrases.subject(part, bare, numbers, said=[entry.finding.text for entry in used])
                text = self.speaker.say(key, subject, did=forms["did"], done=forms["done"], after=after)
                out.append(Told(sentence=self.sentence(text, Says.FINDING, used), part=part, weight=1))
        return out

    def one(self, entry: Entry) -> str:
        """One entry as one plain sentence, for lists and tables."""
        finding = entry.finding
        tell = {
            Kind.CONDITION: self.conditions,
            Kind.MEASUREMENT: self.measurements,
            Kind.UNSEEN: self.unseen,
            Kind.EVENT: self.events,
        }[finding.kind]
        speaker, self.speaker = self.speaker, Speaker(self.phrases)
        told = tell(finding.part, [entry])
        self.speaker = speaker
        return " ".join(item.sentence.text for item in told)

    def _measured(
        self, part: str, quantity: str, bare: Place, numbers: tuple[int, ...], used: tuple[Entry, ...]
    ) -> Told:
        finding = used[0].finding
        names = self.phrases.quantity(quantity)
        subject = self._measured_subject(part, names, bare, numbers, used)
        key = "measured_hedged" if finding.hedged else "measured"
        text = self.speaker.say(
            key, subject, quantity=names["name"], Quantity=capital(names["name"]), of=names["of"],
            value=self.phrases.value(finding),
        )  # fmt: skip
        return Told(sentence=self.sentence(text, Says.FINDING, used), part=part, weight=1)

    def _measured_subject(
        self, part: str, names: dict[str, Any], bare: Place, numbers: tuple[int, ...], used: Sequence[Entry]
    ) -> Subject:
        if names.get("cylinder") and part == "cylinder_bore" and numbers:
            return self.phrases.cylinders(bare, numbers)
        return self.phrases.subject(part, bare, numbers, said=[entry.finding.text for entry in used])

    def _range(self, part: str, quantity: str, group: Sequence[Entry]) -> Told:
        names = self.phrases.quantity(quantity)
        name = f"{names['name']} {names['of']} {self.phrases.part(part, many=True)}"
        by_unit: dict[str | None, list[Finding]] = {}
        for entry in group:
            by_unit.setdefault(entry.finding.unit, []).append(entry.finding)
        unit, findings = max(by_unit.items(), key=lambda item: len(item[1]))
        values = [finding.value for finding in findings if finding.value is not None] or [Decimal(0)]
        text = self.words.say(
            "figure", "many_readings", quantity=name, Quantity=capital(name), count=len(group),
            low=self.phrases.with_unit(min(values), unit), high=self.phrases.with_unit(max(values), unit),
        )  # fmt: skip
        return Told(sentence=self.sentence(text, Says.FIGURE, group), part=part, weight=1)


def _alike_values(part: str, entries: Sequence[Entry]) -> list[tuple[Place, tuple[int, ...], tuple[Entry, ...]]]:
    groups: dict[tuple[object, ...], list[Entry]] = {}
    for entry in entries:
        finding = entry.finding
        groups.setdefault((finding.value, finding.upper, finding.unit, finding.bound, finding.hedged), []).append(entry)
    out: list[tuple[Place, tuple[int, ...], tuple[Entry, ...]]] = []
    for group in groups.values():
        for bare, numbers in spread([entry.finding.place for entry in group], part):
            out.append((bare, numbers, at(part, group, bare, numbers)))
    return out
