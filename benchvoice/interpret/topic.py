"""Whether a sentence is about the engine: how much of it the rules explain, weighed against what none does.

Words that the files about engines know speak for the engine: a name that only a mechanic uses speaks loudest, a word
that people use as much of other things ("cap", "dry", "inches") softly. Words that no file knows speak against it, and
words of everyday life (grammars/en/everyday.toml) do so twice. The weights are ours, found on talk of both kinds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from benchvoice.interpret.numbers import is_written
from benchvoice.interpret.runs import place_number
from benchvoice.interpret.senses import PLACE_KEYS, Span
from benchvoice.interpret.tokens import Token
from benchvoice.lexicon import Lexicon

FOR: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "part": (3.0, 0.5), "nail": (2.0, 2.0), "unit": (2.0, 0.5), "quantity": (1.5, 0.5), "unseen": (0.5, 0.5),
        "condition": (1.5, 0.5), "action": (1.0, 0.5), "bench": (1.0, 0.5), "numbers": (1.0, 0.5),
        "same": (0.5, 0.5), "likewise": (0.5, 0.0), "degree": (0.5, 0.0), "group": (0.5, 0.5), "blind": (0.5, 0.5),
        "pointer": (0.5, 0.5),
    }
    | dict.fromkeys(PLACE_KEYS, (0.5, 0.5))
)  # fmt: skip
"""What a phrase of each kind speaks for the engine: the trade's own words, and those that are anybody's."""
DESCRIBED = 4.0
"""What a kind of engine speaks for it: "v eight", "three cylinder"."""
NUMBERED = 1.0
"""What a part with its number beside it does."""
UNKNOWN, EVERYDAY = 1.0, 2.0
"""What a word that no rule used speaks against it."""
LONG = 14
"""A sentence of so many words may hold a clause about the engine among others."""
NAMED = 3.0
"""What a name speaks that only a mechanic uses."""
SHORTEST = 3
"""Words that a clause has at least."""
LINKS = ("and", "but", "which", "hedge", "pronoun")
"""Where a clause may begin."""
CLAIMED = ("condition", "unseen", "blind", "quantity", "not")
"""What a clause about the engine says of a part."""
LIKENESS = 3
"""So many words after "like" only say what it looks like."""


class Topic:
    """Weighs sentences. Holds the words of everyday life; weighing is pure."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.sets = lexicon.word_sets
        self.everyday = lexicon.everyday
        self.filling = frozenset(word for phrase in lexicon.words["filler"].phrases for word in phrase)
        table = lexicon.numbers
        words = (table.digits, table.teens, table.tens, table.scales, table.ordinals, table.point)
        fractions = {word for phrase in table.fractions if len(phrase) == 1 for word in phrase}
        self.counting = frozenset(word for part in words for word in part) | fractions
        self.homely = lexicon.homely | self.filling

    def speaks_for(self, spans: Sequence[Span], tokens: Sequence[Token]) -> float:
        """What the phrases of a sentence speak for the engine."""
        described = DESCRIBED if self.describes(spans, tokens) else 0.0
        numbered = NUMBERED if self._numbers_part(spans, tokens) else 0.0
        return described + numbered + sum(self._weight(span, tokens) for span in spans)

    def speaks_against(self, spans: Sequence[Span], tokens: Sequence[Token]) -> float:
        """What the words that no phrase holds speak against it."""
        covered = {index for span in spans for index in range(span.start, span.end)}
        if len(covered) == len(tokens):
            return 0.0
        like = next((index for index, token in enumerate(tokens) if token.text == "like"), len(tokens))
        out = 0.0
        for index, token in enumerate(tokens):
            if index in covered or like < index <= like + LIKENESS or self._counts(token.text):
                continue
            out += EVERYDAY if token.text in self.everyday else UNKNOWN
        return out

    def clause_about(self, spans: Sequence[Span], tokens: Sequence[Token], *, lately: bool) -> bool:
        """True if one clause of a long sentence says something of the engine, whatever stands round it. lately: the
        sentence before it did.
        """
        if len(tokens) < LONG:
            return False
        ends = [span.start for span in spans if self._links(span, tokens)] + [len(tokens)]
        start, before = 0, False
        for end in ends:
            inside = [replace(span, start=span.start - start, end=span.end - start) for span in spans
                      if start <= span.start and span.end <= end]  # fmt: skip
            if self._tells(inside, tokens[start:end], before=before, on=lately and start == 0):
                return True
            before = before or any(span.has("part") and self._weight(span, tokens) >= NAMED for span in spans)
            start = end
        return False

    def opening(self, spans: Sequence[Span], tokens: Sequence[Token]) -> int:
        """How many tokens the first clause of a sentence has."""
        links = [span.start for span in spans if self._links(span, tokens) and span.start >= SHORTEST]
        ends = [end for end in links if not self._goes_on(spans, end)]
        ends += [index for index, token in enumerate(tokens) if token.text in self.sets.tellers and index >= SHORTEST]
        return min(ends, default=len(tokens))

    def _goes_on(self, spans: Sequence[Span], end: int) -> bool:
        """True for the "it" of "on two it isn't cracked", where no clause ends."""
        return any(span.start == end and not span.has("and", "but") for span in spans)

    def _links(self, span: Span, tokens: Sequence[Token]) -> bool:
        """True for a word before which a clause may end; "one two and three" goes on."""
        table = self.lexicon.numbers
        after = tokens[span.end].text if span.end < len(tokens) else ""
        before = tokens[span.start - 1].text if span.start else ""
        if span.has("pronoun", "which") and before in self.sets.leading_it:
            return False
        listed = span.has("and") and place_number(after, table) is not None
        return span.start > 0 and span.has(*LINKS) and not listed

    def _tells(self, spans: Sequence[Span], tokens: Sequence[Token], *, before: bool, on: bool) -> bool:
        """True for a clause that says something of a part that it names or that was named before it."""
        against = self.speaks_against(spans, tokens)
        if not any(span.has(*CLAIMED) for span in spans) or against >= self.speaks_for(spans, tokens):
            return False
        parts = [span for span in spans if span.has("part")]
        if any(self._weight(span, tokens) >= NAMED for span in parts):
            return True
        measured = any(span.has("unit") and self.real_unit(span, tokens) for span in spans)
        if measured and against <= UNKNOWN and any(span.has("quantity") for span in spans):
            return True
        numbered = self._numbers_part(spans, tokens)
        if against > (UNKNOWN if numbered else 0.0):
            return False
        placed = numbered or any(span.has("numbers", *PLACE_KEYS) for span in spans)
        counted = bool(tokens) and any(place_number(token.text, self.lexicon.numbers) for token in tokens)
        described = any(span.has("condition", "unseen", "blind") for span in spans)
        plain = any(span.has("condition") and self._weight(span, tokens) >= FOR["condition"][0] for span in spans)
        return described and (
            (bool(parts) and plain)
            or (bool(parts) and (placed or counted))
            or (on and (placed or counted))
            or (before and any(span.has("group", "pronoun", "which") for span in spans))
        )

    def speaks(self, span: Span, tokens: Sequence[Token]) -> bool:
        """True unless the span is a word for a unit with no number before it."""
        return any(sense.kind != "unit" for sense in span.senses) or self.real_unit(span, tokens)

    def _numbers_part(self, spans: Sequence[Span], tokens: Sequence[Token]) -> bool:
        """True for a part with its number beside it: "rod four", "number three main"."""
        table = self.lexicon.numbers
        for span in spans:
            beside = [tokens[i].text for i in (span.start - 1, span.end) if 0 <= i < len(tokens)]
            if span.has("part") and any(place_number(word, table) is not None for word in beside):
                return True
        return False

    def describes(self, spans: Sequence[Span], tokens: Sequence[Token]) -> bool:
        """True if a kind of engine is named by its layout or its number of cylinders."""
        return any(self._layout(span, tokens) for span in spans)

    def _layout(self, span: Span, tokens: Sequence[Token]) -> bool:
        before = tokens[span.start - 1].text if span.start else ""
        after = tokens[span.end].text if span.end < len(tokens) else ""
        if span.has("layout"):
            return place_number(after, self.lexicon.numbers) is not None
        sense = span.get("numbers")
        many = place_number(before, self.lexicon.numbers)
        return sense is not None and sense.value == "cylinder" and many is not None and not self._counts(after)

    def tells_mileage(self, spans: Sequence[Span], tokens: Sequence[Token]) -> bool:
        """True if thousands of miles or kilometres are named."""
        return any(
            (unit := span.get("unit")) is not None
            and self.lexicon.units[unit.value].dimension == "distance"
            and span.start > 0
            and tokens[span.start - 1].text in self.lexicon.numbers.scales
            for span in spans
        )

    def real_unit(self, span: Span, tokens: Sequence[Token]) -> bool:
        """True for a unit after a number: "in" alone is none."""
        before = tokens[span.start - 1].text if span.start else ""
        if tokens[span.start].text == "in":
            return is_written(before)
        return self._counts(before) or before in self.sets.counting_units

    def _weight(self, span: Span, tokens: Sequence[Token]) -> float:
        words = [token.text for token in tokens[span.start : span.end]]
        large = span.start > 0 and tokens[span.start - 1].text in self.lexicon.numbers.scales
        compound = span.has("part") and len(words) > 1 and any(word not in self.filling for word in words)
        anybodys = int(not large and not compound and all(word in self.homely for word in words))
        return max(
            (
                FOR[sense.kind][anybodys]
                for sense in span.senses
                if sense.kind in FOR and (sense.kind != "unit" or self.real_unit(span, tokens))
            ),
            default=0.0,
        )

    def _counts(self, word: str) -> bool:
        return word in self.counting or is_written(word)
