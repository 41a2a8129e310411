"""Noun phrases: a part with its numbers and the words for where on it, in any order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from benchvoice.interpret.item import NOUNS, Item
from benchvoice.interpret.senses import PLACE_KEYS, Sense
from benchvoice.lexicon.word_sets import WordSets

GLUE = frozenset({"filler", "counted", "bench", "locator", "than"})
FLUIDS = frozenset({"oil", "coolant"})
"""Parts whose names also describe what they run through."""
POSSESSIVE = "'s"


@dataclass(frozen=True, slots=True)
class PartWord:
    """A word for a part, with all that it can mean."""

    senses: tuple[Sense, ...]
    start: int
    end: int
    valve: str | None = None
    """Which valve the word can mean instead: "intake" is a manifold, or a valve when a number is with it."""

    @property
    def full(self) -> bool:
        """True for a name that means one part wherever it stands."""
        return self.senses[0].form in ("singular", "plural")

    @property
    def many(self) -> bool:
        return any(sense.many for sense in self.senses)


@dataclass(frozen=True, slots=True)
class Noun:
    """A noun phrase. `parts`: the one spoken of is the last that stands in `head` position. `joined` are others that
    the same is said of ("pistons and rings").
    """

    start: int
    end: int
    parts: tuple[PartWord, ...] = ()
    owners: tuple[PartWord, ...] = ()
    """Parts that only say where: "on the number three rod"."""
    numbers: tuple[int, ...] = ()
    counted: str | None = None
    """ "cylinder" when a word for one was spoken."""
    places: dict[str, str] = field(default_factory=dict)
    group: str | None = None
    pointer: str | None = None
    feature: bool = False
    many_features: bool = False
    """Features in the plural, so of several: "pushrod tips"."""
    joined: tuple[Noun, ...] = ()
    spans: tuple[tuple[str, int, int], ...] = ()
    """Which tokens gave which field, for the explanation."""
    definite: bool = False

    @property
    def many(self) -> bool:
        return bool(self.parts) and self.parts[-1].many

    @property
    def names_part(self) -> bool:
        return bool(self.parts) or self.counted is not None

    @property
    def bare(self) -> bool:
        """Only says where on something: "the top", "number three"."""
        return not self.parts


def read_noun(items: Sequence[Item], index: int, sets: WordSets) -> tuple[Noun, int] | None:
    """The noun phrase that starts at an item, and the index after it; None if none does."""
    start = index
    while index < len(items) and items[index].kind in GLUE and not items[index].stop:
        index += 1
    if index >= len(items) or items[index].kind not in NOUNS:
        return None
    first = index
    noun = Noun(start=items[first].start, end=items[first].end)
    while index < len(items):
        item = items[index]
        if item.kind in NOUNS:
            if index > first and _starts_another(noun, item, items, index, sets):
                break
            noun = _with(noun, item)
            index += 1
            if item.stop:
                break
            continue
        step = _glued(items, index, sets)
        if not step:
            break
        index += step
    return (replace(noun, end=items[index - 1].end), index) if index > start else None


def _glued(items: Sequence[Item], index: int, sets: WordSets) -> int:
    """How many items at `index` are glue inside a noun phrase: "'s" before a part, an article before a part."""
    item = items[index]
    if item.kind not in GLUE or item.stop:
        return 0
    following = items[index + 1] if index + 1 < len(items) else None
    if following is None or following.kind not in NOUNS:
        return 0
    if item.text == POSSESSIVE:
        return 1 if following.kind in ("part", "feature", *PLACE_KEYS) else 0
    return 1 if item.text in sets.within_noun else 0


def _starts_another(noun: Noun, item: Item, items: Sequence[Item], index: int, sets: WordSets) -> bool:
    """True where a second noun phrase begins without a word between: "number three number four"."""
    if item.kind == "part":
        return _another_part(noun, item, items, index) or _after_owner(noun, items, index)
    if item.kind == "numbers":
        return item.sense.value == "marker" and bool(noun.numbers)
    if item.kind == "group":
        return bool(noun.parts) and item.sense.value == "rest" and item.text.startswith("the ")
    if item.kind in ("places", "pointer") and noun.numbers:
        return True
    if item.kind == "places":
        return _another_place(noun, item, items, index, sets)
    return item.kind in PLACE_KEYS and item.kind in noun.places and bool(noun.parts)


def _another_place(noun: Noun, item: Item, items: Sequence[Item], index: int, sets: WordSets) -> bool:
    """True for a number of which something is said after "the pistons", or after a bare feature of another."""
    if len(item.places) == 1 and noun.many and index + 1 < len(items):
        return items[index + 1].kind == "be" and items[index + 1].text in sets.number_verbs
    return noun.feature and noun.bare and not noun.numbers and _claimed_after(items, index + 1)


def _another_part(noun: Noun, item: Item, items: Sequence[Item], index: int) -> bool:
    """True for a part of which something is said right after another part: "damper good flywheel cracked"."""
    if item.get("valve") and any(word.valve for word in noun.parts):
        return True
    if not noun.parts or not noun.parts[-1].full or item.senses[0].form not in ("singular", "plural"):
        return False
    following = items[index + 1] if index + 1 < len(items) else None
    if following is None or following.kind in ("be", "have", "condition", "hedge", "value"):
        return True
    return following.kind in ("places", "numbers") and _claimed_after(items, index + 1)


def _after_owner(noun: Noun, items: Sequence[Item], index: int) -> bool:
    """True for the bore in "down the injector hole of number three the bore is scored"."""
    if items[index - 1].text != "the" or not noun.numbers or noun.parts:
        return False
    first = next((place for place, item in enumerate(items) if item.start == noun.start), 0)
    return first > 1 and items[first - 1].text == "of" and _claimed_after(items, index + 1)


def _claimed_after(items: Sequence[Item], index: int) -> bool:
    """True if a claim follows past the words for a place."""
    while index < len(items) and (
        items[index].kind in ("places", "numbers", *PLACE_KEYS, "not", "degree") or items[index].get("valve")
    ):
        index += 1
    return index < len(items) and items[index].kind in ("be", "have", "condition", "value", "sees_no")


def _with(noun: Noun, item: Item) -> Noun:
    spans = noun.spans
    if item.kind == "part":
        senses = tuple(sense for sense in item.senses if sense.kind == "part")
        valve = item.get("valve")
        word = PartWord(senses, item.start, item.end, valve.value if valve is not None else None)
        return replace(noun, parts=(*noun.parts, word), spans=(*spans, ("part", item.start, item.end)))
    if item.kind == "places":
        return replace(noun, numbers=item.places, spans=(*spans, ("number", item.start, item.end)))
    if item.kind == "numbers":
        if item.sense.value == "marker":
            return noun
        return replace(noun, counted=item.sense.value, spans=(*spans, ("counted", item.start, item.end)))
    if item.kind == "group":
        return replace(noun, group=item.sense.value, spans=(*spans, ("group", item.start, item.end)))
    if item.kind == "pointer":
        return replace(noun, pointer=item.sense.value, spans=(*spans, ("pointer", item.start, item.end)))
    if item.kind == "feature":
        if noun.parts and noun.parts[-1].end == item.start and noun.parts[-1].senses[0].value in FLUIDS:
            noun = replace(noun, parts=noun.parts[:-1])  # "oil passages" are none of the oil
        return replace(noun, feature=True, many_features=item.text.endswith("s"))
    return replace(
        noun,
        places={**noun.places, item.kind: item.sense.value},
        spans=(*spans, (item.kind, item.start, item.end)),
    )


def merge(head: Noun, other: Noun) -> Noun:
    """`head` with what `other` says about where: "the bearing" on "number three rod"."""
    return replace(
        head,
        start=min(head.start, other.start),
        end=max(head.end, other.end),
        parts=head.parts or other.parts,
        owners=(*head.owners, *other.owners, *(other.parts if head.parts else ())),
        numbers=head.numbers or other.numbers,
        counted=head.counted or other.counted,
        places={**other.places, **head.places},
        group=head.group or other.group,
        pointer=head.pointer or other.pointer,
        feature=head.feature or other.feature,
        joined=(*head.joined, *other.joined),
        spans=(*head.spans, *other.spans),
    )


def settled(noun: Noun) -> Noun:
    """The noun phrase with "intake" and "exhaust" taken for valves where a number or another part says so."""
    words = [word for word in (*noun.parts, *noun.owners) if word.valve is not None and not word.full]
    others = [word for word in noun.parts if word not in words]
    if not words or not (
        any(word.many for word in words) or others or noun.numbers or noun.counted or noun.group or noun.pointer
    ):
        return noun
    return replace(
        noun,
        parts=tuple(others),
        owners=tuple(word for word in noun.owners if word not in words),
        group=noun.group or ("all" if not noun.numbers and words[0].many else None),
        places={"valve": words[0].valve or "", **noun.places},
        spans=(*noun.spans, ("valve", words[0].start, words[0].end)),
    )


def join(first: Noun, second: Noun) -> Noun:
    """Both: "number two and number four", "pistons and rings", "intake and exhaust"."""
    if not second.parts and not second.places and second.numbers and first.numbers:
        return replace(
            first,
            numbers=(*first.numbers, *(n for n in second.numbers if n not in first.numbers)),
            end=max(first.end, second.end),
            spans=(*first.spans, *second.spans),
        )
    return replace(first, joined=(*first.joined, second), end=max(first.end, second.end))
