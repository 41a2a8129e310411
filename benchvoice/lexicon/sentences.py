"""Sentences as people say them, sampled from patterns.

A pattern is written the way it is spoken, with these signs:

    {name}           a word class of the lexicon, or a rule of the pattern files; {name}'s adds 's to its last word
    (a | b | c)      one of these; `3* a` makes a three times as likely
    [a | b]          the same, or nothing, half of the time; `[20% a]` says how often

Pattern files hold `[[pattern]]` tables (`say`, optional `weight`) and a `[rules]` table (name = pattern). Problems are
collected over all files and raised together, each with its file and line.
"""

from __future__ import annotations

import random
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from benchvoice.errors import GrammarError

_TOKEN = re.compile(r"\s*(?:(\{[a-z_0-9.]+\}(?:'s)?)|(\d+(?:\.\d+)?%)|(\d+(?:\.\d+)?\*)|([()\[\]|])|([a-z0-9'_.-]+))")
MAX_DEPTH = 24


@dataclass(frozen=True, slots=True)
class Words:
    """Plain words in a row."""

    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Slot:
    """A reference to a rule or a word class."""

    name: str
    possessive: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One part after the other."""

    parts: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several, with cumulative weights; `chance` is how often anything is said at all."""

    options: tuple[Node, ...]
    cumulative: tuple[float, ...]
    chance: float = 1.0


Node = Words | Slot | Row | Choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    say: str
    weight: float
    node: Node
    topic: str
    """The file it stands in, without its ending."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    file: str
    line: int
    what: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.what}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Patterns:
    """All patterns with what their slots stand for."""

    patterns: tuple[Pattern, ...]
    rules: Mapping[str, Node]
    classes: Mapping[str, tuple[tuple[str, ...], ...]]
    """Word class -> its phrases, each as a tuple of words."""

    def vocabulary(self) -> frozenset[str]:
        """Every word that a sentence can hold."""
        seen: set[str] = set()
        for phrases in self.classes.values():
            for phrase in phrases:
                seen.update(phrase)
        for node in [*self.rules.values(), *(pattern.node for pattern in self.patterns)]:
            seen.update(_words_of(node))
        return frozenset(seen)

    def sample(self, count: int, *, seed: int) -> Iterator[tuple[str, ...]]:
        """`count` sentences, patterns drawn by weight. The same seed gives the same sentences.

        Members of a word class are dealt like cards, not drawn with replacement, so that rare ones turn up as often as
        their share says.
        """
        sampler = _Sampler(self, random.Random(seed))
        patterns = self.patterns
        weights = [pattern.weight for pattern in patterns]
        for pattern in sampler.rng.choices(patterns, weights, k=count):
            yield sampler.say(pattern.node)

    def sample_each(self, count: int, *, seed: int) -> Iterator[tuple[Pattern, tuple[str, ...]]]:
        """`count` sentences of each pattern, for looking at them."""
        sampler = _Sampler(self, random.Random(seed))
        for pattern in self.patterns:
            for _ in range(count):
                yield pattern, sampler.say(pattern.node)


@dataclass(slots=True)
class _Sampler:
    of: Patterns
    rng: random.Random
    decks: dict[str, list[tuple[str, ...]]] = field(default_factory=dict)

    def say(self, node: Node) -> tuple[str, ...]:
        out: list[str] = []
        self._into(node, out)
        return tuple(out)

    def _into(self, node: Node, out: list[str]) -> None:
        if isinstance(node, Words):
            out.extend(node.words)
        elif isinstance(node, Row):
            for part in node.parts:
                self._into(part, out)
        elif isinstance(node, Choice):
            if node.chance >= 1.0 or self.rng.random() < node.chance:
                point = self.rng.random() * node.cumulative[-1]
                index = 0
                while node.cumulative[index] <= point and index < len(node.options) - 1:
                    index += 1
                self._into(node.options[index], out)
        else:
            rule = self.of.rules.get(node.name)
            if rule is not None:
                self._into(rule, out)
            else:
                out.extend(self._deal(node.name))
            if node.possessive and out and not out[-1].endswith("s"):
                out[-1] += "'s"

    def _deal(self, name: str) -> tuple[str, ...]:
        deck = self.decks.get(name)
        if not deck:
            deck = list(self.of.classes[name])
            self.rng.shuffle(deck)
            self.decks[name] = deck
        return deck.pop()


def read_patterns(files: Iterable[tuple[str, str]], classes: Mapping[str, Sequence[str]]) -> Patterns:
    """Patterns from (name, text) of each file. Raises GrammarError with every problem at once.

    classes: word class -> phrases as spoken.
    """
    problems: list[Problem] = []
    rules: dict[str, Node] = {}
    found: list[tuple[str, str, int, Pattern]] = []
    places: dict[str, tuple[str, int]] = {}
    for name, text in files:
        try:
            table = tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            at = re.search(r"line (\d+)", str(error))
            problems.append(Problem(file=name, line=int(at[1]) if at else 1, what=f"not TOML: {error}"))
            continue
        finder = _Lines(text)
        _read_rules(name, table, finder, rules, places, problems)
        _read_entries(name, table, finder, found, problems)
    split = {key: tuple(filter(None, map(_spoken, phrases))) for key, phrases in classes.items() if phrases}
    known = set(rules) | set(split)
    for rule, node in rules.items():
        file, line = places[rule]
        problems.extend(Problem(file=file, line=line, what=f"unknown {{{x}}}") for x in _slots(node) if x not in known)
    for file, _, line, pattern in found:
        problems.extend(
            Problem(file=file, line=line, what=f"unknown {{{x}}}") for x in _slots(pattern.node) if x not in known
        )
    if not problems:
        problems.extend(_loops(rules, places))
    if problems:
        texts = [str(problem) for problem in problems]
        raise GrammarError("; ".join(texts), hint="Correct these lines.", problems=texts)
    if not found:
        raise GrammarError("There are no sentence patterns.", hint="Install benchvoice again.")
    return Patterns(patterns=tuple(item[3] for item in found), rules=rules, classes=split)


def _spoken(phrase: str) -> tuple[str, ...]:
    """A lexicon's phrase as it is heard: the cut-off endings of "does n't" and "that 's" back on their words."""
    out: list[str] = []
    for word in phrase.split():
        if word == "n't" or word.startswith("'"):
            if not out:
                return ()
            out[-1] += word
        else:
            out.append(word)
    return tuple(out)


@dataclass(slots=True)
class _Lines:
    """Finds the line of a value in its file: searched onwards from the last hit, since values come in file order."""

    text: str
    position: int = 0

    def of(self, needle: str) -> int:
        at = self.text.find(needle, self.position)
        if at < 0:
            at = max(0, self.text.find(needle))
        else:
            self.position = at
        return self.text.count("\n", 0, at) + 1


def _read_rules(
    name: str,
    table: Mapping[str, object],
    finder: _Lines,
    rules: dict[str, Node],
    places: dict[str, tuple[str, int]],
    problems: list[Problem],
) -> None:
    entries = table.get("rules", {})
    if not isinstance(entries, dict):
        problems.append(Problem(file=name, line=1, what="rules must be a table"))
        return
    for rule, say in entries.items():
        line = finder.of(f"{rule} ")
        if not isinstance(say, str):
            problems.append(Problem(file=name, line=line, what=f"rule {rule} must be text"))
            continue
        if rule in rules:
            problems.append(Problem(file=name, line=line, what=f"rule {rule} is there twice"))
        places[rule] = (name, line)
        try:
            rules[rule] = parse_pattern(say)
        except ValueError as error:
            problems.append(Problem(file=name, line=line, what=f"{error} in {say!r}"))


def _read_entries(
    name: str,
    table: Mapping[str, object],
    finder: _Lines,
    found: list[tuple[str, str, int, Pattern]],
    problems: list[Problem],
) -> None:
    entries = table.get("pattern", [])
    topic = name.rsplit("/", 1)[-1].removesuffix(".toml")
    finder.position = 0
    for entry in entries if isinstance(entries, list) else [entries]:
        say = entry.get("say") if isinstance(entry, dict) else None
        if not isinstance(say, str):
            problems.append(Problem(file=name, line=1, what='a pattern needs say = "..."'))
            continue
        line = finder.of(say)
        weight = entry.get("weight", 1.0) if isinstance(entry, dict) else 1.0
        if not isinstance(weight, int | float) or weight <= 0:
            problems.append(Problem(file=name, line=line, what="weight must be a number above 0"))
            continue
        try:
            node = parse_pattern(say)
        except ValueError as error:
            problems.append(Problem(file=name, line=line, what=f"{error} in {say!r}"))
            continue
        found.append((name, say, line, Pattern(say=say, weight=float(weight), node=node, topic=topic)))


def parse_pattern(say: str) -> Node:
    """The tree of a pattern. Raises ValueError saying what is wrong with it."""
    tokens: list[str] = []
    position = 0
    text = say.rstrip()
    while position < len(text):
        match = _TOKEN.match(text, position)
        if not match:
            raise ValueError(f"can't read {text[position:].strip()[:12]!r}")
        tokens.append(match.group(0).strip())
        position = match.end()
    node, rest = _alternatives(tokens, 0, 0)
    if rest != len(tokens):
        raise ValueError(f"a {tokens[rest]} too many")
    return node


def _alternatives(tokens: list[str], at: int, depth: int, chance: float = 1.0) -> tuple[Node, int]:
    if depth > MAX_DEPTH:
        raise ValueError("brackets too deep")
    options: list[Node] = []
    weights: list[float] = []
    while True:
        weight = 1.0
        if at < len(tokens) and tokens[at].endswith("*"):
            weight, at = float(tokens[at][:-1]), at + 1
        node, at = _row(tokens, at, depth)
        options.append(node)
        weights.append(weight)
        if at >= len(tokens) or tokens[at] != "|":
            break
        at += 1
    if len(options) == 1 and chance >= 1.0:
        return options[0], at
    total, cumulative = 0.0, []
    for weight in weights:
        total += weight
        cumulative.append(total)
    return Choice(tuple(options), tuple(cumulative), chance), at


def _row(tokens: list[str], at: int, depth: int) -> tuple[Node, int]:
    parts: list[Node] = []
    words: list[str] = []

    def flush() -> None:
        if words:
            parts.append(Words(tuple(words)))
            words.clear()

    while at < len(tokens) and tokens[at] not in ")]|":
        token = tokens[at]
        if token in "([":
            flush()
            chance, at = 1.0 if token == "(" else 0.5, at + 1
            if token == "[" and at < len(tokens) and tokens[at].endswith("%"):
                chance, at = float(tokens[at][:-1]) / 100.0, at + 1
            node, at = _alternatives(tokens, at, depth + 1, chance)
            if at >= len(tokens) or tokens[at] != (")" if token == "(" else "]"):
                raise ValueError(f"{token} is not closed")
            parts.append(node)
        elif token.startswith("{"):
            flush()
            parts.append(Slot(token[1:].removesuffix("'s")[:-1], token.endswith("'s")))
        elif token.endswith(("%", "*")):
            raise ValueError(f"{token} stands in the wrong place")
        else:
            words.append(token)
        at += 1
    flush()
    return (parts[0] if len(parts) == 1 else Row(tuple(parts))), at


def _slots(node: Node) -> Iterator[str]:
    if isinstance(node, Slot):
        yield node.name
    elif isinstance(node, Row):
        for part in node.parts:
            yield from _slots(part)
    elif isinstance(node, Choice):
        for option in node.options:
            yield from _slots(option)


def _words_of(node: Node) -> Iterator[str]:
    if isinstance(node, Words):
        yield from node.words
    elif isinstance(node, Row):
        for part in node.parts:
            yield from _words_of(part)
    elif isinstance(node, Choice):
        for option in node.options:
            yield from _words_of(option)


def _loops(rules: Mapping[str, Node], places: Mapping[str, tuple[str, int]]) -> Iterator[Problem]:
    """Rules that lead back to themselves."""
    for start in rules:
        seen: set[str] = set()
        todo = [start]
        while todo:
            for name in _slots(rules[todo.pop()]):
                if name == start:
                    file, line = places[start]
                    yield Problem(file=file, line=line, what=f"rule {start} leads back to itself")
                    todo.clear()
                    break
                if name in rules and name not in seen:
                    seen.add(name)
                    todo.append(name)
