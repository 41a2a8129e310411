"""Puts back words that were misheard as others that sound like them.

Two ways, both careful. The table of confusions names a heard word, what was meant, and the words one of which must
stand near ("rob" is "rod" beside "bearing"). And a word that the recogniser doubts and the vocabulary lacks becomes the
trade's word that sounds the same, if just one does. Words that nobody knows are repaired first; known ones ("white" for
"wiped") only when the utterance says nothing as it stands. What was put back is marked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from benchvoice.domain.words import Word
from benchvoice.interpret.tokens import Token
from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.entries import Confusion
from benchvoice.lexicon.sound import key, likest

NEAR = 2
"""How many tokens away a word that a repair needs may stand."""
ALIKE = 0.95
"""Words less alike in spelling and sound than this aren't taken for one another."""
DOUBTFUL = 0.7
"""Only a word that the recogniser itself doubts becomes another one by its sound alone."""
SHORTEST = 4
"""Shorter words sound like too many others."""


class Repairer:
    """Repairs tokens. Holds tables made once from the lexicon; repairing is pure."""

    def __init__(self, lexicon: Lexicon, known: frozenset[str]) -> None:
        self.known = known
        self.confusions: dict[str, list[Confusion]] = defaultdict(list)
        for item in lexicon.confusions:
            self.confusions[item.heard[0]].append(item)
        self.trade: dict[str, list[str]] = defaultdict(list)
        for word in sorted(_trade_words(lexicon)):
            if len(word) >= SHORTEST:
                self.trade[key(word)].append(word)
        self.numbers = frozenset(
            (*lexicon.numbers.digits, *lexicon.numbers.teens, *lexicon.numbers.tens, *lexicon.numbers.scales)
        )

    def repair(self, tokens: Sequence[Token], words: Sequence[Word], *, known: bool) -> tuple[list[Token], bool]:
        """(tokens, whether any was changed). known: also words that the vocabulary has."""
        out: list[Token] = []
        changed = False
        index = 0
        while index < len(tokens):
            found = self._confused(tokens, index, known)
            if found is not None:
                word, stop = tokens[index].word, tokens[index + len(found.heard) - 1].stop
                last = len(found.meant) - 1
                out += [Token(text, word, stop and place == last) for place, text in enumerate(found.meant)]
                index += len(found.heard)
                changed = True
                continue
            token = tokens[index]
            doubtful = words[token.word].confidence < DOUBTFUL and not self._is_known(token.text)
            other = self._sounding(token.text) if doubtful else None
            out.append(Token(other, token.word, token.stop) if other else token)
            changed = changed or other is not None
            index += 1
        return out, changed

    def _is_known(self, word: str) -> bool:
        return word in self.known or word in self.numbers or not word.isalpha()

    def _confused(self, tokens: Sequence[Token], index: int, known: bool) -> Confusion | None:
        for item in self.confusions.get(tokens[index].text, ()):
            size = len(item.heard)
            if tuple(token.text for token in tokens[index : index + size]) != item.heard:
                continue
            if not known and all(self._is_known(word) for word in item.heard):
                continue
            if item.needs:
                before = [token.text for token in tokens[max(0, index - NEAR) : index]]
                after = [token.text for token in tokens[index + size : index + size + NEAR]]
                if not item.needs & set(before + after):
                    continue
            elif size == 1 and self._is_known(item.heard[0]):
                continue
            return item
        return None

    def _sounding(self, word: str) -> str | None:
        """The one trade word that sounds like a word, None for none or several."""
        if len(word) < SHORTEST:
            return None
        same = (other for other in self.trade.get(key(word), ()) if _begins(word) == _begins(other))
        return likest(word, same, ALIKE)


def _begins(word: str) -> str:
    """How a word begins to the ear: "knock" and "nock" alike."""
    for written, heard in (("kn", "n"), ("wr", "r"), ("ph", "f"), ("wh", "w"), ("c", "k"), ("q", "k")):
        if word.startswith(written):
            return heard
    return word[0]


def _trade_words(lexicon: Lexicon) -> set[str]:
    """Single words of names of parts, conditions, quantities and units."""
    out: set[str] = set()
    for part in lexicon.parts.values():
        out |= {word for phrase in (*part.singular, *part.plural) for word in phrase}
    for condition in lexicon.conditions.values():
        out |= {word for form in condition.forms for word in form.words if len(form.words) == 1}
    for quantity in lexicon.quantities.values():
        out |= {word for phrase in quantity.nouns for word in phrase}
    for unit in lexicon.units.values():
        out |= {word for phrase in unit.spoken for word in phrase if len(phrase) == 1}
    return out
