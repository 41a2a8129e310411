"""What the lexicon is made of: one frozen record for each entry of the grammar files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from benchvoice.domain.findings import Degree

Phrase = tuple[str, ...]
"""Words of a spoken form, lower case, one string each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the engine and how people say it.

    number: what "number three" counts on it ("cylinder", "journal" or None). per: how many there are ("engine",
    "cylinder", "valve", "journal", "bank", "position"). family: parts that belong together. within: the whole that
    this is a face or a feature of. measure: the quantity that a bare number on it is.
    """

    name: str
    title: str
    titles: str
    """The plural, for people."""
    singular: tuple[Phrase, ...]
    plural: tuple[Phrase, ...]
    short: tuple[Phrase, ...] = ()
    """Words that mean this part only when something near says so."""
    usually: tuple[Phrase, ...] = ()
    """Words that mean this part when nothing says otherwise."""
    number: str | None = None
    per: str = "engine"
    family: frozenset[str] = frozenset()
    within: str | None = None
    region: str = ""
    measure: str | None = None
    several: bool = False
    """One number has several of it, so that "the bolts" may be those of the one spoken of."""
    takes: frozenset[str] = frozenset()
    """Which of "shell", "side", "level" and "valve" can be said of it."""

    @property
    def spoken(self) -> tuple[str, ...]:
        return tuple(" ".join(phrase) for phrase in (*self.singular, *self.plural, *self.short, *self.usually))

    def related(self, other: Part) -> bool:
        """True if they belong together, so that a number carries over from one to the other."""
        return self.name == other.name or bool(self.family & other.family)


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A spoken form of a condition: "adj" ("scored"), "noun" ("scoring") or "verb" ("turns freely")."""

    words: Phrase
    kind: str
    degree: Degree | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    name: str
    title: str
    forms: tuple[Form, ...]
    is_bad: bool = True
    opposites: frozenset[str] = frozenset()
    severity: int = 3
    """0 as new ... 5 destroyed, when no degree is said (our own ladder)."""
    measured_as: str | None = None
    sized_as: str | None = None
    """The quantity that a length beside it means."""
    about: str | None = None
    for_parts: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Words that mean this condition only on these parts."""
    moved: Mapping[str, str] = field(default_factory=dict)
    """Parts of which it is said while another is meant: a leaking rear main is its seal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The least and the most that a person can believe, in one unit."""

    low: Decimal
    high: Decimal

    def holds(self, value: Decimal) -> bool:
        return self.low <= value <= self.high


Windows = Mapping[str, Window]
"""By unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    name: str
    title: str
    nouns: tuple[Phrase, ...]
    verbs: tuple[Phrase, ...]
    units: tuple[str, ...]
    window: Windows
    on: Mapping[str, Windows] = field(default_factory=dict)
    diesel: Windows = field(default_factory=dict)
    about: str | None = None
    always: bool = False
    """It is about that part whatever was spoken of before."""
    only: frozenset[str] = frozenset()
    elsewhere: str | None = None
    moved: Mapping[str, str] = field(default_factory=dict)
    """Parts that people name when they mean another one."""
    """What the same words mean on a part that doesn't have this quantity."""

    def windows(self, part: str | None, *, diesel: bool = False) -> Windows:
        """The windows that hold for a part."""
        if diesel and self.diesel:
            return self.diesel
        return self.on.get(part or "", self.window)


@dataclass(frozen=True, slots=True, kw_only=True)
class SpokenUnit:
    """A spoken unit: `factor` turns the number that was spoken into `unit`. `also` are other readings of the word."""

    name: str
    spoken: tuple[Phrase, ...]
    written: tuple[str, ...]
    unit: str
    factor: Decimal
    dimension: str
    also: tuple[tuple[str, Decimal], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """Something done that matters to the record. `past` is said of oneself, `passive` of the part."""

    name: str
    title: str
    past: tuple[Phrase, ...]
    passive: tuple[Phrase, ...]
    after: tuple[Phrase, ...]
    about: str | None = None
    only: frozenset[str] = frozenset()
    by_hand: tuple[Phrase, ...] = ()
    conditions: frozenset[str] = frozenset()
    """What it leaves behind on the part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CommandWords:
    name: str
    spoken: tuple[Phrase, ...]
    alone: bool = False
    rest: str = ""
    example: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A token pattern: each step is the words that fit it and how often it may stand ("", "?", "*")."""

    steps: tuple[tuple[frozenset[str], str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WordClass:
    """Small words that do the same in a sentence, as plain phrases and as token patterns."""

    name: str
    phrases: tuple[Phrase, ...] = ()
    patterns: tuple[Pattern, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Confusion:
    """A word as it is misheard; `needs` are words, one of which must stand near for the repair to be made."""

    heard: Phrase
    meant: Phrase
    needs: frozenset[str] = frozenset()
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberWords:
    """Tables of spoken numbers, by role; values are exact."""

    digits: Mapping[str, int]
    teens: Mapping[str, int]
    tens: Mapping[str, int]
    scales: Mapping[str, int]
    ordinals: Mapping[str, int]
    fractions: Mapping[Phrase, int]
    sounds_like: Mapping[str, int]
    point: frozenset[str]
    through: frozenset[str]
    double: frozenset[str]
    triple: frozenset[str]
    articles: frozenset[str]
    """ "a" thou, half "an" inch."""
    linking: frozenset[str]
    """Words between the parts of a fraction that add nothing: "half of an inch"."""
    letters: frozenset[str]
    """Words for nought that may be a letter or a cry, so that they name no place."""
    lone: frozenset[str]
    """Fractions that need no number before them."""
    seconds: frozenset[str]
    """The last words of "thirty seconds", which alone are no fraction."""
