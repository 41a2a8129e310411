"""Words that sound alike: no ear tells them apart, so the sentence decides.

pocketsphinx weighs its n-grams while it searches, but not always all of them; the second recogniser was taught other
sentences than the trade's. Here each word gives way to one that has the same pronunciation, where the n-grams find the
whole sentence likelier with that.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path

from benchvoice.recognise.pronounce import Sounds, read_dictionary

MARGIN = 0.5
"""By how much the natural logarithm of the sentence's chance must rise: n-grams see three words at a time."""


class Homophones:
    """dictionary: a file with a word and its sounds a line, further ways to say it as `word(2)`. likely: natural
    logarithm of a sentence's chance.
    """

    def __init__(self, dictionary: Path, likely: Callable[[Sequence[str]], float]) -> None:
        ways = read_dictionary(dictionary)
        said: defaultdict[Sounds, set[str]] = defaultdict(set)
        for word, each in ways.items():
            for sounds in each:
                said[sounds].add(word)
        self._alike = {
            word: tuple(sorted(set().union(*(said[sounds] for sounds in each)) - {word})) for word, each in ways.items()
        }
        self._likely = likely

    def settled(self, words: Sequence[str]) -> list[str]:
        """The words, as many of them, from the first to the last as the sentence would rather have them."""
        out = list(words)
        for k, word in enumerate(words):
            others = self._alike.get(word, ())
            if others:
                best = self._likely(out) + MARGIN
                for other in others:
                    chance = self._likely([*out[:k], other, *out[k + 1 :]])
                    if chance > best:
                        best, out[k] = chance, other
        return out
