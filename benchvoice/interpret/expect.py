"""What a place in a sentence asks for, where the word that was heard there fits nothing.

"number furrow", "sixty three pintle nine four millimetres", "heat bolts": the words beside it say what kind of word
must stand there - a number, a point, half, the other word of a name - and the sound says which. Nothing is put back
unless one word fits best. Whether the sentence makes sense with it is for the reader to judge.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from benchvoice.interpret.numbers import is_written
from benchvoice.interpret.senses import Vocabulary
from benchvoice.interpret.tokens import Token
from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.sound import likest

NUMBER = 0.8
"""A word less like a number than this is none, whatever stands beside it."""
POINT = 0.9
HALF = 0.7
NAME = 0.85
"""How like the other word of a name."""
SHORTEST = 4
"""A shorter word is no part of a name: it sounds like too many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """Tokens, whether any is another than was heard, and whether all those belong to a number."""

    tokens: Sequence[Token]
    changed: bool
    surely: bool


class Expectation:
    """Puts back what the neighbours ask for. Holds tables made when first needed; putting back is pure."""

    def __init__(self, lexicon: Lexicon, vocabulary: Vocabulary) -> None:
        self._lexicon = lexicon
        self._vocabulary = vocabulary
        table = lexicon.numbers
        self._digits = tuple(word for word, value in table.digits.items() if value)
        self._small = (*self._digits, *table.teens)
        self._tens = tuple(table.tens)
        self._scales = tuple(table.scales)
        self._large = frozenset((*table.tens, *table.scales))
        self._numbers = frozenset((*table.digits, *table.teens, *table.tens, *table.scales, *table.sounds_like))
        self._and = frozenset(phrase[0] for phrase in lexicon.words["and"].phrases if len(phrase) == 1)
        self._joining = table.point | table.through | table.double | table.triple
        self._fractions = frozenset(word for phrase in table.fractions for word in phrase)

    def mend(self, tokens: Sequence[Token]) -> Mended:
        """The tokens as the sentence asks for them."""
        out, surely = list(tokens), True
        for index, token in enumerate(tokens):
            if not token.text.isalpha() or self._is_number(token.text) or token.text in self._joining:
                continue
            other = self._within_number(out, index) or self._half(out, index) or self._after_number(out, index)
            if other is None and self._fits_nothing(out, index):
                other = self._number_alone(out, index)
                if other is None and (other := self._name(out, index)):
                    surely = False
            if other is not None:
                out[index] = Token(other, token.word, token.stop)
        return Mended(tokens=out, changed=out != list(tokens), surely=surely)

    def _fits_nothing(self, tokens: Sequence[Token], at: int) -> bool:
        """True for a word that means nothing by itself nor with the next or the last one."""
        word, pairs = tokens[at].text, self._vocabulary.pairs
        if word in self._vocabulary.alone:
            return False
        return (self._text(tokens, at - 1), word) not in pairs and (word, self._text(tokens, at + 1)) not in pairs

    def _is_number(self, word: str) -> bool:
        return word in self._numbers or is_written(word)

    def _text(self, tokens: Sequence[Token], at: int) -> str:
        return tokens[at].text if 0 <= at < len(tokens) else ""

    def _within_number(self, tokens: Sequence[Token], at: int) -> str | None:
        """A digit, a scale or the point between the words of a number."""
        word = tokens[at].text
        two, one, after, then = (self._text(tokens, at + step) for step in (-2, -1, 1, 2))
        table = self._lexicon.numbers
        before, behind = self._is_number(one), self._is_number(after)
        if one in table.point and (behind or after in self._units):
            return likest(word, self._digits, NUMBER)
        if before and behind and (point := likest(word, table.point, POINT)):
            return point
        if before and (after in self._units or (after in table.point and self._is_number(then))):
            return likest(word, (*self._digits, *self._scales) if one in self._large else self._scales, NUMBER)
        if before and ((behind and then in self._units) or (after in self._and and self._is_number(then))):
            return likest(word, self._scales, NUMBER)
        if one in self._and and two in table.scales and after in self._units:
            return likest(word, (*self._small, *self._tens), NUMBER)
        return None

    def _after_number(self, tokens: Sequence[Token], at: int) -> str | None:
        """After "number" comes one, whatever else the word that was heard may mean."""
        word = tokens[at].text
        if self._text(tokens, at - 1) not in self._lexicon.word_sets.numbering or word in self._being:
            return None
        return likest(word, self._small, NUMBER)

    def _number_alone(self, tokens: Sequence[Token], at: int) -> str | None:
        """A number of a place or in front of another."""
        word = tokens[at].text
        two, one, after, then = (self._text(tokens, at + step) for step in (-2, -1, 1, 2))
        table, sets = self._lexicon.numbers, self._lexicon.word_sets
        before, behind = self._is_number(one), self._is_number(after)
        if one in sets.numbered:
            return likest(word, self._small, NUMBER)
        if after in self._units and one in self._being:
            return likest(word, self._small, NUMBER)
        if behind and then in self._units and one not in table.point:
            return likest(word, self._tens, NUMBER)
        listed = after in self._and and self._is_number(then)
        if listed and (before or one in self._ends):
            return likest(word, self._small, NUMBER)
        if before and behind and one in self._small and after in self._small:
            return likest(word, (*self._and, *self._small), NUMBER)
        if one in self._and and self._is_number(two) and (not after or after in self._being):
            return likest(word, self._small, NUMBER)
        return None

    def _half(self, tokens: Sequence[Token], at: int) -> str | None:
        """ "a thou and a hole", "two and a hole", "hole an inch"."""
        three, two, one, after, then = (self._text(tokens, at + step) for step in (-3, -2, -1, 1, 2))
        table, word = self._lexicon.numbers, tokens[at].text
        more = one in table.articles and two in self._and and (self._is_number(three) or three in self._units)
        if (more or (after in table.articles and then in self._units)) and word not in self._fractions:
            return likest(word, ("half",), HALF)
        return None

    def _name(self, tokens: Sequence[Token], at: int) -> str | None:
        """The word that makes its neighbour and it two words of a name."""
        word = tokens[at].text
        if len(word) < SHORTEST or word in self._lexicon.everyday:
            return None
        left = self._text(tokens, at - 1) if at and not tokens[at - 1].stop else ""
        right = self._text(tokens, at + 1) if not tokens[at].stop else ""
        follow, lead = self._pairs
        return likest(word, {*follow.get(left, ()), *lead.get(right, ())}, NAME)

    @cached_property
    def _units(self) -> frozenset[str]:
        return frozenset(phrase[0] for unit in self._lexicon.units.values() for phrase in unit.spoken)

    @cached_property
    def _being(self) -> frozenset[str]:
        return frozenset(phrase[0] for phrase in self._lexicon.words["be"].phrases if len(phrase) == 1)

    @cached_property
    def _ends(self) -> frozenset[str]:
        """Last words of names of parts."""
        return frozenset(phrase[-1] for phrase in _names(self._lexicon))

    @cached_property
    def _pairs(self) -> tuple[Mapping[str, frozenset[str]], Mapping[str, frozenset[str]]]:
        """Which words follow a word, and which lead up to one, within the names of parts and quantities."""
        follow: dict[str, set[str]] = defaultdict(set)
        lead: dict[str, set[str]] = defaultdict(set)
        quantities = (phrase for quantity in self._lexicon.quantities.values() for phrase in quantity.nouns)
        for phrase in (*_names(self._lexicon), *quantities):
            for one, other in pairwise(phrase):
                if one.isalpha() and other.isalpha():
                    follow[one].add(other)
                    lead[other].add(one)
        return (
            {word: frozenset(others) for word, others in follow.items()},
            {word: frozenset(others) for word, others in lead.items()},
        )


def _names(lexicon: Lexicon) -> Iterator[tuple[str, ...]]:
    return (phrase for part in lexicon.parts.values() for phrase in (*part.singular, *part.plural))
