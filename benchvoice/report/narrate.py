"""Accepted entries become plain sentences: alike ones folded, hedges and degrees kept, nothing added."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from benchvoice.domain.findings import Degree, Finding, Kind, Place
from benchvoice.domain.record import Entry
from benchvoice.report.clean import clean
from benchvoice.report.language import Wording
from benchvoice.report.model import Says, Sentence
from benchvoice.report.phrases import SUFFIX_KEYS, UNNAMED, Phrases, Subject, capital, is_fault, join, spread, weight_of

MANY_READINGS = 3
"""More different values of one quantity on one part than this are told as a range, with the readings in the table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A sentence with what it is about; weight orders by importance."""

    sentence: Sentence
    part: str
    weight: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """Conditions that hold alike at the same places of one part."""

    bare: Place
    numbers: tuple[int, ...]
    present: bool
    hedged: bool
    conditions: tuple[tuple[str, Degree | None], ...]
    entries: tuple[Entry, ...]

    @property
    def weight(self) -> int:
        return max(weight_of(entry.finding) for entry in self.entries)


class Narrator:
    """Tells entries in one language. `refs` gives the number of each entry in the evidence list; `numbered` is False
    where that list is not printed.
    """

    def __init__(self, phrases: Phrases, refs: dict[str, int], *, numbered: bool = True) -> None:
        self.phrases = phrases
        self.words: Wording = phrases.words
        self.refs = refs
        self.numbered = numbered
        self._turns: dict[str, int] = {}

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
        rows = sorted(_gather(part, entries), key=lambda row: (not row.present, -row.weight))
        return [
            Told(sentence=self.sentence(text, Says.FINDING, used), part=part, weight=row.weight)
            for row in rows
            for text, used in self._condition_sentences(part, row)
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
            used = _at(part, entries, bare, numbers)
            subject = self.phrases.subject(part, bare, numbers, said=[entry.finding.text for entry in used])
            text = self._say("unseen", subject)
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
                used = _at(part, group, bare, numbers)
                subject = self.phrases.subject(part, bare, numbers, said=[entry.finding.text for entry in used])
                text = self._say(key, subject, did=forms["did"], done=forms["done"], after=after)
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
        turns = dict(self._turns)
        self._turns = {}
        told = tell(finding.part, [entry])
        self._turns = turns
        return " ".join(item.sentence.text for item in told)

    def _say(self, key: str, subject: Subject, **values: object) -> str:
        turn = self._turns.get(key, 0)
        self._turns[key] = turn + 1
        return self.words.say(
            "finding", key, turn, subject=subject.text, Subject=subject.start, where=subject.where,
            was=self.phrases.verb(plural=subject.plural), **values,
        )  # fmt: skip

    def _condition_sentences(self, part: str, row: _Seen) -> list[tuple[str, tuple[Entry, ...]]]:
        said = [entry.finding.text for entry in row.entries]
        subject = self.phrases.subject(part, row.bare, row.numbers, said=said)
        forms = [(self.phrases.condition(name, part), degree, name) for name, degree in row.conditions]
        wholes = [form for form in forms if "whole" in form[0]]
        if wholes:
            return [
                (self._whole(form[0]["whole"], subject, row), _of(row, form[2])) for form in wholes
            ] + self._condition_sentences(part, replace(row, conditions=_others(row, wholes)))
        if not forms:
            return []
        if not row.present:
            return self._absent(subject, forms, row)
        nouns = [form for form in forms if "be" not in form[0] and form[1] is not None and "noun" in form[0]]
        be = [form for form in forms if "be" in form[0]]
        past = [form for form in forms if "be" not in form[0] and form not in nouns]
        out = [self._noun(subject, form, hedged=row.hedged) for form in nouns]
        if be and (row.hedged or not past):
            out.append(self._be(subject, be, row))
        elif be:
            out.append(self._say("be", subject, what=self._be_list(be) + self._and_past(past, subject)))
        if past and (row.hedged or not be):
            key = "past_hedged" if row.hedged else "past"
            predicates = [self._past(form, subject, hedged=row.hedged) for form in past]
            out.append(self._say(key, subject, what=join(predicates, self.words)))
        return [(text, row.entries) for text in out]

    def _whole(self, forms: list[str], subject: Subject, row: _Seen) -> str:
        text = forms[2 * row.hedged + (not row.present)]
        return f"{text}{subject.where}."

    def _be(self, subject: Subject, be: list[Any], row: _Seen) -> str:
        if row.hedged:
            return self._say("be_hedged", subject, what=self._be_list(be))
        turn = self._turns.get("form", 0)
        self._turns["form"] = turn + 1
        if len(be) == 1 and "noun" in be[0][0] and turn % 3 == 2:
            return self._noun(subject, be[0], hedged=False)
        return self._say("be", subject, what=self._be_list(be))

    def _be_list(self, forms: list[Any]) -> str:
        degrees = self.words.table("language")["degrees"]
        items = [
            f"{degrees[degree.value]['adverb']} {form['be']}" if degree else form["be"] for form, degree, _ in forms
        ]
        return join(items, self.words)

    def _and_past(self, past: list[Any], subject: Subject) -> str:
        link = self.words.table("language")["and"]
        return "".join(f" {link} {self._past(form, subject, hedged=False)}" for form in past)

    def _past(self, form: Any, subject: Subject, *, hedged: bool) -> str:
        entry, degree, _ = form
        key = "infinitive" if hedged else "past"
        text: str = entry.get(f"{key}_many", entry[key]) if subject.plural else entry[key]
        if degree:
            text += f", {self.words.table('language')['degrees'][degree.value]['adverb']}"
        return text

    def _noun(self, subject: Subject, form: Any, *, hedged: bool) -> str:
        entry, degree, _ = form
        degrees = self.words.table("language")["degrees"]
        noun = f"{degrees[degree.value]['adjective']} {entry['noun']}" if degree else entry["noun"]
        return self._say("noun_hedged" if hedged else "noun", subject, noun=noun)

    def _absent(self, subject: Subject, forms: list[Any], row: _Seen) -> list[tuple[str, tuple[Entry, ...]]]:
        """One sentence for each absence: "no a or b" reads well, and leaves a doubt what "no" covers."""
        language = self.words.table("language")
        out: list[tuple[str, tuple[Entry, ...]]] = []
        for entry, degree, name in forms:
            used = _of(row, name)
            words = language["degrees"][degree.value] if degree else None
            end = "_absent_hedged" if row.hedged else "_absent"
            if "noun" in entry and not row.hedged and (words or "not" not in entry):
                noun = f"{words['adjective']} {entry['noun']}" if words else entry["noun"]
                was = self.phrases.verb(plural=entry.get("plural", False))
                on = language["verbs"]["in" if entry.get("in") else "on"]
                text = self._say("noun_absent", subject, noun=noun, was_noun=was, on=on)
            elif "be" in entry:
                denied = entry.get("denied_many" if subject.plural else "denied")
                if denied and not row.hedged:
                    text = self._say("past_absent", subject, what=denied)
                else:
                    what = f"{words['adverb']} {entry['be']}" if words else entry["be"]
                    text = self._say("be" + end, subject, what=what)
            else:
                text = self._say("past" + end, subject, what=entry.get("not", ""), infinitive=entry["infinitive"])
            out.append((text, used))
        return out

    def _measured(
        self, part: str, quantity: str, bare: Place, numbers: tuple[int, ...], used: tuple[Entry, ...]
    ) -> Told:
        finding = used[0].finding
        names = self.phrases.quantity(quantity)
        subject = self._measured_subject(part, names, bare, numbers, used)
        key = "measured_hedged" if finding.hedged else "measured"
        text = self._say(
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


def _gather(part: str, entries: Sequence[Entry]) -> list[_Seen]:
    """Conditions folded twice: alike ones over their places, then different ones that share all their places."""
    claims: dict[tuple[str, bool, Degree | None, bool], list[Entry]] = {}
    for entry in entries:
        finding = entry.finding
        key = (finding.condition or "", finding.present, finding.degree, finding.hedged)
        claims.setdefault(key, []).append(entry)
    rows: dict[tuple[Place, tuple[int, ...], bool, bool], list[tuple[str, Degree | None, list[Entry]]]] = {}
    for (condition, present, degree, hedged), group in claims.items():
        for bare, numbers in spread([entry.finding.place for entry in group], part):
            used = _at(part, group, bare, numbers)
            rows.setdefault((bare, numbers, present, hedged), []).append((condition, degree, list(used)))
    out: list[_Seen] = []
    for (bare, numbers, present, hedged), items in rows.items():
        for batch in _sharing(items, strict=hedged or _has_suffix(bare)):
            used = tuple(entry for _, _, group in batch for entry in group)
            conditions = tuple((condition, degree) for condition, degree, _ in batch)
            out.append(
                _Seen(
                    bare=bare, numbers=numbers, present=present, hedged=hedged, conditions=conditions, entries=used
                )
            )  # fmt: skip
    return out


def _of(row: _Seen, condition: str) -> tuple[Entry, ...]:
    return tuple(entry for entry in row.entries if entry.finding.condition == condition)


def _others(row: _Seen, told: list[Any]) -> tuple[tuple[str, Degree | None], ...]:
    names = {name for _, _, name in told}
    return tuple(item for item in row.conditions if item[0] not in names)


def _sharing(items: list[Any], *, strict: bool) -> list[list[Any]]:
    """Rows that may share a sentence. One condition with two degrees can't; with `strict`, where a guard or a place
    must hold for all that is said, nor can anything that has a degree: "looked worn and lightly melted" leaves a doubt
    what was guarded.
    """
    batches: list[list[Any]] = []
    for item in items:
        alone = strict and item[1] is not None
        home = next((batch for batch in batches if not alone and _fits(item, batch, strict=strict)), None)
        if home is None:
            batches.append([item])
        else:
            home.append(item)
    return batches


def _fits(item: Any, batch: list[Any], *, strict: bool) -> bool:
    return all(item[0] != other[0] and not (strict and other[1] is not None) for other in batch)


def _has_suffix(place: Place) -> bool:
    return any(getattr(place, key) is not None for key in SUFFIX_KEYS)


def _alike_values(part: str, entries: Sequence[Entry]) -> list[tuple[Place, tuple[int, ...], tuple[Entry, ...]]]:
    groups: dict[tuple[object, ...], list[Entry]] = {}
    for entry in entries:
        finding = entry.finding
        groups.setdefault((finding.value, finding.upper, finding.unit, finding.bound, finding.hedged), []).append(entry)
    out: list[tuple[Place, tuple[int, ...], tuple[Entry, ...]]] = []
    for group in groups.values():
        for bare, numbers in spread([entry.finding.place for entry in group], part):
            out.append((bare, numbers, _at(part, group, bare, numbers)))
    return out


def _at(part: str, entries: Sequence[Entry], bare: Place, numbers: Sequence[int]) -> tuple[Entry, ...]:
    """The entries of the group that lie at one row of `spread`."""
    wanted = set(numbers)
    out: list[Entry] = []
    for entry in entries:
        (row_bare, row_numbers) = spread([entry.finding.place], part)[0]
        if row_bare == bare and set(row_numbers) <= wanted:
            out.append(entry)
    return tuple(out)
