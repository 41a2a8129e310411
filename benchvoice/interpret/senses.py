"""What the words of an utterance can mean: phrases of the lexicon, and its patterns, found by spaCy's rule matcher."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from spacy.matcher import Matcher
from spacy.tokens import Doc
from spacy.vocab import Vocab

from benchvoice.interpret.tokens import Token
from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.entries import Pattern, Phrase


@dataclass(frozen=True, slots=True)
class Sense:
    """One meaning of a phrase. kind is the word class, value the entry's name or the place's value.

    form: "singular", "plural", "short" or "usually" for a part; "adj", "noun" or "verb" for a condition; "past",
    "passive", "by_hand" for an action; "noun" or "verb" for a quantity. degree is set where the phrase carries one.
    """

    kind: str
    value: str
    form: str = ""
    degree: str = ""
    many: bool = False


@dataclass(frozen=True, slots=True)
class Span:
    """Tokens start..end (half open) and everything that they can mean."""

    start: int
    end: int
    senses: tuple[Sense, ...]

    def get(self, kind: str) -> Sense | None:
        return next((sense for sense in self.senses if sense.kind == kind), None)

    def has(self, *kinds: str) -> bool:
        return any(sense.kind in kinds for sense in self.senses)


PLACE_KEYS = ("bank", "end", "valve", "side", "shell", "level")
WEAK = frozenset({"filler", "bench"})
"""Classes that only take what nothing else wants."""


class Phrases:
    """Phrases by their first word and onwards. spaCy's phrase matcher does the same, but takes long to be filled
    with so many: a quarter of the time until the first sentence is read.
    """

    def __init__(self, senses: Mapping[Phrase, tuple[Sense, ...]]) -> None:
        self._begin = _Node()
        for phrase, found in senses.items():
            node = self._begin
            for word in phrase:
                node = node.onward.setdefault(word, _Node())
            node.senses = found

    def within(self, texts: Sequence[str]) -> Iterator[tuple[int, int, tuple[Sense, ...]]]:
        """(start, end, senses) of every phrase in the tokens, also of those within others."""
        for start in range(len(texts)):
            node: _Node | None = self._begin
            for end in range(start, len(texts)):
                node = node.onward.get(texts[end]) if node else None
                if node is None:
                    break
                if node.senses:
                    yield start, end + 1, node.senses


@dataclass(slots=True)
class _Node:
    onward: dict[str, _Node] = field(default_factory=dict)
    senses: tuple[Sense, ...] = ()


class Vocabulary:
    """The lexicon compiled for matching. Finding is pure: the same tokens give the same spans."""

    def __init__(self, lexicon: Lexicon) -> None:
        senses: dict[Phrase, list[Sense]] = defaultdict(list)
        for phrase, sense in _all_phrases(lexicon):
            if sense not in senses[phrase]:
                senses[phrase].append(sense)
        self._phrases = Phrases({phrase: tuple(found) for phrase, found in senses.items()})
        # A bare vocabulary: words come as tokens already, and matching is by spelling, so that a language's own
        # tokenizer and its guesses at every word (shape, likeness to a number) would only cost time.
        self._vocab = Vocab()
        self._patterns = Matcher(self._vocab)
        self._pattern_senses: dict[int, Sense] = {}
        for word_class in lexicon.words.values():
            if word_class.patterns:
                name = f"pattern {word_class.name}"
                self._patterns.add(name, [_spacy_pattern(item) for item in word_class.patterns])
                self._pattern_senses[self._vocab.strings[name]] = _class_sense(word_class.name)
        self.known = frozenset(word for phrase in senses for word in phrase)
        """Every word that any phrase of the lexicon holds."""
        self.alone = frozenset(phrase[0] for phrase, found in senses.items() if len(phrase) == 1 and _strong(found))
        """Words that mean something by themselves, more than fill a gap."""
        self.pairs = frozenset(pair for phrase, found in senses.items() if _strong(found) for pair in pairwise(phrase))
        """Words that follow one another in some phrase that means something."""

    def find(self, tokens: Sequence[Token]) -> list[Span]:
        """Spans that don't overlap, longest first and then leftmost; weak classes take only what is left."""
        if not tokens:
            return []
        texts = [token.text for token in tokens]
        found: dict[tuple[int, int], list[Sense]] = defaultdict(list)
        for start, end, meant in self._phrases.within(texts):
            found[start, end].extend(meant)
        for key, start, end in self._patterns(Doc(self._vocab, words=texts)):
            if (sense := self._pattern_senses[key]) not in found[start, end]:
                found[start, end].append(sense)
        strong: list[Span] = []
        weak: list[Span] = []
        for (start, end), senses in found.items():
            if _crosses_stop(tokens, start, end):
                continue
            better = tuple(sense for sense in senses if sense.kind not in WEAK)
            (strong if better else weak).append(Span(start, end, better or tuple(senses)))
        chosen = _without_overlap(strong, [])
        return sorted(_without_overlap(weak, chosen), key=lambda span: span.start)


def _strong(senses: Iterable[Sense]) -> bool:
    return any(sense.kind not in WEAK for sense in senses)


def _crosses_stop(tokens: Sequence[Token], start: int, end: int) -> bool:
    return any(tokens[i].stop for i in range(start, end - 1))


def _without_overlap(spans: list[Span], taken: list[Span]) -> list[Span]:
    """`taken` and, of the others, the longest and leftmost that don't overlap."""
    out = list(taken)
    used = {i for span in taken for i in range(span.start, span.end)}
    for span in sorted(spans, key=lambda item: (item.start - item.end, item.start)):
        if used.isdisjoint(range(span.start, span.end)):
            out.append(span)
            used.update(range(span.start, span.end))
    return out


def _spacy_pattern(pattern: Pattern) -> list[dict[str, Any]]:
    out: list[dict[str, Any]] = []
    for words, mark in pattern.steps:
        step: dict[str, Any] = {"ORTH": {"IN": sorted(words)}}
        if mark:
            step["OP"] = mark
        out.append(step)
    return out


def _class_sense(name: str) -> Sense:
    kind, _, value = name.partition(".")
    return Sense(kind, value or kind)


def _all_phrases(lexicon: Lexicon) -> Iterator[tuple[Phrase, Sense]]:
    yield from _part_phrases(lexicon)
    for condition in lexicon.conditions.values():
        for form in condition.forms:
            degree = form.degree.value if form.degree else ""
            yield form.words, Sense("condition", condition.name, form.kind, degree)
    for quantity in lexicon.quantities.values():
        for phrase in quantity.nouns:
            yield phrase, Sense("quantity", quantity.name, "noun")
        for phrase in quantity.verbs:
            yield phrase, Sense("quantity", quantity.name, "verb")
    for unit in lexicon.units.values():
        for phrase in (*unit.spoken, *((text,) for text in unit.written)):
            yield phrase, Sense("unit", unit.name)
    yield from _action_phrases(lexicon)
    for word_class in lexicon.words.values():
        for phrase in word_class.phrases:
            yield phrase, _class_sense(word_class.name)


def _action_phrases(lexicon: Lexicon) -> Iterator[tuple[Phrase, Sense]]:
    for action in lexicon.actions.values():
        for form, phrases in (("past", action.past), ("passive", action.passive), ("by_hand", action.by_hand)):
            for phrase in phrases:
                yield phrase, Sense("action", action.name, form)


def _part_phrases(lexicon: Lexicon) -> Iterator[tuple[Phrase, Sense]]:
    for part in lexicon.parts.values():
        for phrase in part.singular:
            yield phrase, Sense("part", part.name, "singular")
        for phrase in part.plural:
            yield phrase, Sense("part", part.name, "plural", many=True)
        for form, phrases in (("short", part.short), ("usually", part.usually)):
            for phrase in phrases:
                yield phrase, Sense("part", part.name, form, many=phrase[-1].endswith("s") and len(phrase[-1]) > 3)
