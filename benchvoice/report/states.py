"""Sentences about conditions: what was there, what was looked for and not seen, and what only seemed so."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from benchvoice.domain.findings import Degree
from benchvoice.domain.record import Entry
from benchvoice.report.folding import Seen, State
from benchvoice.report.phrases import Phrases, Subject, join

Line = tuple[str, tuple[Entry, ...]]
"""A sentence and the entries that it states."""


class Speaker:
    """Says sentences of the wording files, the variants of each in turn."""

    def __init__(self, phrases: Phrases) -> None:
        self.phrases = phrases
        self.words = phrases.words
        self._turns: dict[str, int] = {}

    def say(self, key: str, subject: Subject, **values: object) -> str:
        return self.words.say(
            "finding", key, self.turn(key), subject=subject.text, Subject=subject.start, where=subject.where,
            was=self.phrases.verb(plural=subject.plural), **values,
        )  # fmt: skip

    def turn(self, key: str) -> int:
        turn = self._turns.get(key, 0)
        self._turns[key] = turn + 1
        return turn


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    """A state with its words: the wording file's entry for the condition."""

    words: dict[str, Any]
    state: State

    @property
    def degree(self) -> Degree | None:
        return self.state.degree


def sentences(speaker: Speaker, part: str, row: Seen) -> list[Line]:
    """One sentence for all that can share one, each with the entries that it states."""
    phrases = speaker.phrases
    subject = phrases.subject(part, row.bare, row.numbers, said=row.said)
    forms = [_Form(words=phrases.condition(state.condition, part), state=state) for state in row.states]
    wholes = [form for form in forms if "whole" in form.words]
    out = [(_whole(speaker, form, subject, row), form.state.entries) for form in wholes]
    rest = [form for form in forms if form not in wholes]
    if not row.present:
        return out + [(_absent(speaker, subject, form, hedged=row.hedged), form.state.entries) for form in rest]
    nouns = [form for form in rest if "be" not in form.words and form.degree is not None and "noun" in form.words]
    out += [(_noun(speaker, subject, form, hedged=row.hedged), form.state.entries) for form in nouns]
    be = [form for form in rest if "be" in form.words]
    past = [form for form in rest if form not in be and form not in nouns]
    return out + (_guarded(speaker, subject, be, past) if row.hedged else _plain(speaker, subject, be, past))


def _plain(speaker: Speaker, subject: Subject, be: list[_Form], past: list[_Form]) -> list[Line]:
    """ "was wiped and scored and had copper showing": one sentence."""
    predicates = [_past(speaker, form, subject, hedged=False) for form in past]
    if not be:
        return [(speaker.say("past", subject, what=join(predicates, speaker.words)), _used(past))] if past else []
    if len(be) == 1 and not past and "noun" in be[0].words and speaker.turn("form") % 3 == 2:
        return [(_noun(speaker, subject, be[0], hedged=False), _used(be))]
    link = speaker.words.table("language")["and"]
    what = _be_list(speaker, be) + "".join(f" {link} {predicate}" for predicate in predicates)
    return [(speaker.say("be", subject, what=what), _used([*be, *past]))]


def _guarded(speaker: Speaker, subject: Subject, be: list[_Form], past: list[_Form]) -> list[Line]:
    """What only seemed so: adjectives and verbs in sentences of their own, so that the guard holds for each."""
    out: list[Line] = []
    if be:
        out.append((speaker.say("be_hedged", subject, what=_be_list(speaker, be)), _used(be)))
    if past:
        predicates = [_past(speaker, form, subject, hedged=True) for form in past]
        out.append((speaker.say("past_hedged", subject, what=join(predicates, speaker.words)), _used(past)))
    return out


def _absent(speaker: Speaker, subject: Subject, form: _Form, *, hedged: bool) -> str:
    """One absence: "no a or b" would read well, and leave a doubt what "no" covers."""
    language = speaker.words.table("language")
    words = form.words
    degree = language["degrees"][form.degree.value] if form.degree else None
    end = "_absent_hedged" if hedged else "_absent"
    if "noun" in words and not hedged and (degree or "not" not in words):
        noun = f"{degree['adjective']} {words['noun']}" if degree else words["noun"]
        was = speaker.phrases.verb(plural=words.get("plural", False))
        on = language["verbs"]["in" if words.get("in") else "on"]
        return speaker.say("noun_absent", subject, noun=noun, was_noun=was, on=on)
    if "be" not in words:
        infinitive = _past(speaker, form, subject, hedged=True)
        denied = words["not"] + (f", {degree['adverb']}" if degree else "") if not hedged else ""
        return speaker.say("past" + end, subject, what=denied, infinitive=infinitive)
    denied = words.get("denied_many" if subject.plural else "denied", "")
    if denied and not hedged:
        return speaker.say("past_absent", subject, what=denied + (f", {degree['adverb']}" if degree else ""))
    return speaker.say("be" + end, subject, what=_be_list(speaker, [form]))


def _whole(speaker: Speaker, form: _Form, subject: Subject, row: Seen) -> str:
    """A sentence that the wording file gives whole: so, not so, guarded so, guarded not so."""
    text = form.words["whole"][2 * row.hedged + (not row.present)]
    degrees = speaker.words.table("language")["degrees"]
    adverb = f", {degrees[form.degree.value]['adverb']}" if form.degree else ""
    return f"{text}{subject.where}{adverb}."


def _be_list(speaker: Speaker, forms: Sequence[_Form]) -> str:
    degrees = speaker.words.table("language")["degrees"]
    items = [
        f"{degrees[form.degree.value]['adverb']} {form.words['be']}" if form.degree else form.words["be"]
        for form in forms
    ]
    return join(items, speaker.words)


def _past(speaker: Speaker, form: _Form, subject: Subject, *, hedged: bool) -> str:
    key = "infinitive" if hedged else "past"
    text: str = form.words.get(f"{key}_many", form.words[key]) if subject.plural else form.words[key]
    if form.degree:
        text += f", {speaker.words.table('language')['degrees'][form.degree.value]['adverb']}"
    return text


def _noun(speaker: Speaker, subject: Subject, form: _Form, *, hedged: bool) -> str:
    degrees = speaker.words.table("language")["degrees"]
    noun = form.words["noun"]
    if form.degree:
        noun = f"{degrees[form.degree.value]['adjective']} {noun}"
    return speaker.say("noun_hedged" if hedged else "noun", subject, noun=noun)


def _used(forms: Iterable[_Form]) -> tuple[Entry, ...]:
    return tuple(entry for form in forms for entry in form.state.entries)
