"""The one immutable lexicon that everything else reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from benchvoice.lexicon.entries import (
    Action,
    CommandWords,
    Condition,
    Confusion,
    NumberWords,
    Part,
    Phrase,
    Quantity,
    SpokenUnit,
    WordClass,
)
from benchvoice.lexicon.word_sets import WordSets


@dataclass(frozen=True, slots=True, kw_only=True)
class Lexicon:
    """All words of the grammars, by kind and name. `hash` changes with any byte of any grammar file."""

    parts: Mapping[str, Part]
    conditions: Mapping[str, Condition]
    quantities: Mapping[str, Quantity]
    units: Mapping[str, SpokenUnit]
    actions: Mapping[str, Action]
    commands: Mapping[str, CommandWords]
    words: Mapping[str, WordClass]
    """Small words by class: "be", "not", "hedge", "bank.left", "degree.light" ..."""
    word_sets: WordSets
    """Words that single rules of reading ask for. They say nothing of an engine, so that no recogniser learns them."""
    numbers: NumberWords
    contractions: Mapping[str, Phrase]
    confusions: tuple[Confusion, ...]
    everyday: frozenset[str]
    """Words that speak against a sentence being about the engine."""
    homely: frozenset[str]
    """Words of the engine that people use as much of other things."""
    hash: str

    def phrase(self, name: str) -> str:
        """The name of a part, condition, quantity or action as it is written for people ("copper showing")."""
        for kind in (self.parts, self.conditions, self.quantities, self.actions):
            if name in kind:
                return str(kind[name].title)
        return name.replace("_", " ")

    def spoken_forms(self, name: str) -> tuple[str, ...]:
        """All spoken forms of a part, condition, quantity, action or word class; empty for an unknown name."""
        if name in self.parts:
            return self.parts[name].spoken
        if name in self.conditions:
            return tuple(" ".join(form.words) for form in self.conditions[name].forms)
        if name in self.quantities:
            return _joined((*self.quantities[name].nouns, *self.quantities[name].verbs))
        if name in self.actions:
            return _joined((*self.actions[name].past, *self.actions[name].passive))
        if name in self.words:
            return _joined(self.words[name].phrases)
        return ()

    @property
    def degrees(self) -> Mapping[str, tuple[str, ...]]:
        """Spoken forms of each degree."""
        return {name: self.spoken_forms(f"degree.{name}") for name in ("light", "moderate", "heavy")}

    @property
    def opposites(self) -> Mapping[str, frozenset[str]]:
        """For each condition those that can't be true with it, both ways round."""
        out = {name: set(condition.opposites) for name, condition in self.conditions.items()}
        for name, condition in self.conditions.items():
            for other in condition.opposites:
                out[other].add(name)
        return MappingProxyType({name: frozenset(names) for name, names in out.items()})

    def word_classes(self) -> dict[str, tuple[str, ...]]:
        """Spoken phrases by class name, for building a language model.

        Besides one class for each kind ("part", "condition", "quantity", "unit", "action", "command", "number") there
        are finer ones: "part.cylinder", "part.journal", "part.plain" by what numbers it, "condition.adj", ".noun" and
        ".verb", and each class of small words under its own name.
        """
        out: dict[str, list[str]] = {}

        def put(name: str, phrases: tuple[str, ...]) -> None:
            out.setdefault(name, []).extend(phrases)

        for part in self.parts.values():
            put("part", part.spoken)
            put(f"part.{part.number or 'plain'}", part.spoken)
        for condition in self.conditions.values():
            for form in condition.forms:
                put("condition", (" ".join(form.words),))
                put(f"condition.{form.kind}", (" ".join(form.words),))
        for quantity in self.quantities.values():
            put("quantity", _joined(quantity.nouns))
            put("quantity.verb", _joined(quantity.verbs))
        for unit in self.units.values():
            put("unit", _joined(unit.spoken))
        for action in self.actions.values():
            put("action", _joined((*action.past, *action.passive)))
        for command in self.commands.values():
            put("command", _joined(command.spoken))
            put(f"command.{command.name}", _joined(command.spoken))
        for word_class in self.words.values():
            put(word_class.name, _joined(word_class.phrases))
        numbers = self.numbers
        put("number", (*numbers.digits, *numbers.teens, *numbers.tens, *numbers.scales))
        return {name: tuple(dict.fromkeys(phrases)) for name, phrases in out.items()}

    def suggest(self, text: str, *, limit: int = 8) -> list[tuple[str, str]]:
        """Type-ahead: (name, spoken form) of parts, conditions and quantities, best first, by spelling and sound."""
        from benchvoice.lexicon.suggest import suggest

        return suggest(self, text, limit=limit)


def _joined(phrases: tuple[Phrase, ...]) -> tuple[str, ...]:
    return tuple(" ".join(phrase) for phrase in phrases)
