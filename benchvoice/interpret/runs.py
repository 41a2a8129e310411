"""Finds runs of number words and decides which of their words are places and which are a value.

"number one twenty two thou" is 22 thou at number one; "one twenty five psi" is 125 psi. Every way of cutting the run
into a list of places and a value is tried; what stands around it and what is believable decide.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from benchvoice.interpret.numbers import cardinal, is_written, readings
from benchvoice.lexicon.entries import NumberWords

MOST = 16
"""The highest number that a place can have (contract)."""

AND, OR, THROUGH = "and", "or", "through"


@dataclass(frozen=True, slots=True)
class Run:
    """Number words and the connectors between them, tokens start..end."""

    start: int
    end: int
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """One way of reading a run: places first, then a value, which may have two ends."""

    places: tuple[int, ...] = ()
    value: tuple[str, ...] = ()
    upper: tuple[str, ...] = ()
    through: bool = False
    linked: bool = False
    """The places are joined by "and" or "through"."""
    spelled: bool = False
    """Its whole part is spelled digit by digit: "two two point four", where the first most likely is a place."""
    split: bool = False
    """The value starts with the point, so that the number before it most likely belongs to it."""

    @property
    def size(self) -> int:
        return len(self.places)


Fits = Callable[[Sequence[str]], bool]
"""Whether some words can be a value here: a number, and one that the quantity in question can have."""


def connector(word: str, table: NumberWords) -> str | None:
    if word in table.through:
        return THROUGH
    return {"and": AND, "or": OR}.get(word)


def is_number(word: str, table: NumberWords) -> bool:
    return word in table.digits or word in table.teens or word in table.tens or is_written(word)


def place_number(word: str, table: NumberWords) -> int | None:
    """The number of a place that one word names, None if it names none."""
    if word.isascii() and word.isdigit() and len(word) <= 2:
        value = int(word)
    elif word in table.letters:
        return None
    else:
        value = table.digits.get(word, 0) or table.teens.get(word, 0)
    return value if 1 <= value <= MOST else None


def find_run(texts: Sequence[str], at: int, blocked: Sequence[bool], table: NumberWords) -> Run | None:
    """The run that starts at a token, None if none does. `blocked` tokens belong to something else."""
    start = at
    words: list[str] = []
    index = at
    while index < len(texts):
        step = _step(texts, index, words, blocked, table)
        if not step:
            break
        words += texts[index : index + step]
        index += step
    while words and not _may_end(words[-1], table):
        words.pop()
        index -= 1
    if not words or not any(is_number(w, table) or (w,) in table.fractions or w in table.scales for w in words):
        return None
    return Run(start, index, tuple(words))


def _may_end(word: str, table: NumberWords) -> bool:
    return is_number(word, table) or word in table.scales or (word,) in table.fractions or word in table.seconds


def _step(texts: Sequence[str], index: int, words: list[str], blocked: Sequence[bool], table: NumberWords) -> int:
    """How many tokens at `index` belong to the run that has `words` so far; 0 ends it."""
    word = texts[index]
    following = texts[index + 1] if index + 1 < len(texts) and not blocked[index + 1] else ""
    last = words[-1] if words else ""
    if word in table.sounds_like and last in table.point | table.digits.keys() and "point" in words:
        return 1
    if connector(word, table):
        after_article = following in table.articles and _fraction_at(texts, index + 2, table)
        if words and last not in table.point and (is_number(following, table) or after_article):
            return 1
        return 1 if words and word == AND and (following,) in table.fractions else 0
    return 0 if blocked[index] else _word_step(texts, index, words, following, table)


def _word_step(texts: Sequence[str], index: int, words: list[str], following: str, table: NumberWords) -> int:
    """The same for a word that is no connector."""
    word, last = texts[index], words[-1] if words else ""
    starts = word == "hundred" and not words and bool(following)
    scales = word in table.scales and (is_number(last, table) or last in table.scales or last in table.articles)
    doubles = word in table.double | table.triple and following in table.digits
    if is_number(word, table) or (word in table.point and is_number(following, table)) or starts or scales or doubles:
        return 1
    if word in table.articles:
        near = following in table.scales and not words
        return 1 if near or _fraction_at(texts, index + 1, table) else 0
    return _fraction_at(texts, index, table) if words or word in table.lone else 0


def _fraction_at(texts: Sequence[str], index: int, table: NumberWords) -> int:
    """Words of a fraction at `index`: 2 for "thirty seconds", 1 for "half", 0 for none."""
    if index + 1 < len(texts) and tuple(texts[index : index + 2]) in table.fractions:
        return 2
    return 1 if index < len(texts) and (texts[index],) in table.fractions else 0


def cuts(words: tuple[str, ...], table: NumberWords) -> list[Cut]:
    """All ways of cutting a run into places and a value, those with the fewest places first."""
    out = []
    whole = _value(words, table)
    if whole:
        out.append(whole)
    places: list[int] = []
    index, through, ranged = 0, False, False
    while index < len(words):
        number = place_number(words[index], table)
        if number is None:
            break
        if through and places and number != places[-1]:
            step = 1 if number > places[-1] else -1
            places += range(places[-1] + step, number + step, step)
            ranged = True
        else:
            places.append(number)
        index += 1
        rest = words[index:]
        link = connector(rest[0], table) if rest else None
        tail = rest[1:] if link == AND else rest
        if not rest:
            linked = any(connector(word, table) for word in words)
            out.append(Cut(places=tuple(places), through=ranged, linked=linked))
            break
        value = None if tail[:1] == ("hundred",) else _value(tail, table)
        if value:
            split = tail[0] in table.point or (link == AND and tail[0] in table.articles)
            out.append(Cut(places=tuple(places), value=value.value, upper=value.upper, through=ranged, split=split))
        through = link == THROUGH
        index += 1 if link else 0
    return out


def range_between(words: tuple[str, ...], table: NumberWords) -> Cut | None:
    """ "Between two and three": the words after "between" as a range."""
    for index, word in enumerate(words):
        if word == AND and readings(words[:index], table) and readings(words[index + 1 :], table):
            return Cut(value=words[:index], upper=words[index + 1 :])
    return None


def _value(words: tuple[str, ...], table: NumberWords) -> Cut | None:
    """The words as one value, or as a range of two ("ten or eleven", "ten to twelve")."""
    if readings(words, table):
        point = next((i for i, word in enumerate(words) if word in table.point), 0)
        half = words.index(AND) if AND in words and "a" in words else 0
        whole = words[: point or half]
        return Cut(value=words, spelled=len(whole) > 1 and cardinal(whole, table) is None)
    for index, word in enumerate(words):
        if connector(word, table) in (OR, THROUGH) and 0 < index < len(words) - 1:
            low, high = words[:index], words[index + 1 :]
            if readings(low, table) and readings(high, table):
                return Cut(value=low, upper=high)
    return None


@dataclass(frozen=True, slots=True)
class Around:
    """What stands around a run.

    before: "marker" ("number", "cylinder"), "part" (a numbered part), "prep" ("on"), "value" (a verb or name of a
    quantity, or "is"), "start" (of a clause) or "other". claims: something is claimed right after it ("are good").
    """

    before: str
    unit: bool = False
    claims: bool = False
    quantity: bool = False
    """A quantity was named or is in focus."""
    part: str = ""
    """ "one" or "many" if a part follows, in the singular or the plural."""
    again: bool = False
    """Another "on" follows, as in "five on one seven on two"."""
    ends: bool = True
    """Nothing follows that the number could count."""
    valve: bool = False
    """A word for a valve follows: "three intake"."""
    told: bool = False
    """What was measured there follows: "the lowest is eleven at fourteen bar"."""
    led: bool = False
    """Another number follows past filling: "three only ninety"."""


@dataclass(frozen=True, slots=True)
class _Options:
    """The cuts of a run by kind: only places, only a believable value, and places with a believable value."""

    found: Sequence[Cut]
    places: Cut | None
    value: Cut | None
    both: Sequence[Cut]
    mixed: Cut | None
    whole: Cut | None
    """The value, if it is believable and not better read as a place and a value."""


def choose(found: Sequence[Cut], around: Around, fits: Fits) -> Cut | None:
    """The cut that is meant; None if the run says nothing."""
    options = _options(found, around, fits)
    if around.before == "marker":
        return _after_marker(options, around)
    if options.places and (around.valve or (around.led and options.places.size == 1)):
        return options.places
    if around.unit:
        return _with_unit(options, around)
    if around.told and around.before in ("value", "start") and options.places and options.places.size == 1:
        return options.places
    if around.before == "value":
        return options.value or options.places
    if around.before in ("part", "prep", "place"):
        again = around.again and around.quantity and around.before != "part"
        rest = (options.mixed, options.whole) if around.before == "place" else (options.whole, options.mixed)
        return (options.mixed if again else None) or options.places or rest[0] or rest[1]
    return _bare(options, around)


def _options(found: Sequence[Cut], around: Around, fits: Fits) -> _Options:
    def fitting(cut: Cut | None) -> bool:
        return cut is not None and bool(cut.value) and fits(cut.value) and (not cut.upper or fits(cut.upper))

    value = next((cut for cut in found if not cut.places), None)
    both = [cut for cut in found if cut.places and cut.value and (around.before == "marker" or not cut.split)]
    mixed = next((cut for cut in both if fitting(cut)), None)
    spelled = value is not None and value.spelled and mixed is not None
    return _Options(
        found=found,
        places=next((cut for cut in found if not cut.value), None),
        value=value,
        both=both,
        mixed=mixed,
        whole=value if fitting(value) and not spelled else None,
    )


def _after_marker(options: _Options, around: Around) -> Cut | None:
    """ "Number ...": a place for sure, perhaps a value after it."""
    if around.unit:
        return options.mixed or next(iter(options.both), None)
    places = options.places
    if places and (around.claims or places.size == 1 or places.linked or not (around.quantity and options.mixed)):
        return places
    return options.mixed or _first_place(options.found)


def _with_unit(options: _Options, around: Around) -> Cut | None:
    """A unit follows: a value for sure, perhaps a place before it."""
    ranged = options.value is not None and bool(options.value.upper)
    if around.before in ("part", "prep") and options.mixed and not ranged:
        return options.mixed
    return options.whole or options.mixed or options.value


def _bare(options: _Options, around: Around) -> Cut | None:
    """Neither a marker nor a unit nor a part says what it is."""
    places = options.places
    if around.before == "counted" and places and places.size > 1 and around.claims and places.linked:
        return places
    if around.before == "counted":
        return options.whole if around.quantity and around.ends and not around.claims else None
    if places and (around.claims or (around.part and (places.size > 1 or around.part == "one"))):
        return places
    if around.part or not around.ends:
        return None
    if around.quantity and options.whole:
        return options.whole
    return options.mixed or (places if places and (places.size > 1 or around.before == "start") else None)


def _first_place(found: Sequence[Cut]) -> Cut | None:
    cut = next((cut for cut in found if cut.places), None)
    return Cut(places=cut.places[:1]) if cut else None
