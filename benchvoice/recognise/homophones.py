"""Words that sound alike: no ear tells them apart, so the sentence decides.

pocketsphinx weighs its n-grams while it searches, but not always all of them; the second recogniser was taught other
sentences than the trade's. Here each word gives way to one that has the same pronunciation, where the n-grams find the
whole sentence likelier with that.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path

MARGIN = 0.5
"""By how much the natural logarithm of the sentence's chance must rise: n-grams see three words at a time."""
_VARIANT = re.compile(r"\(\d+\)$")


class Homophones:
    """dictionary: a file with a word and its sounds a line, further ways to say it as `word(2)`. likely: natural
    logarithm of a sentence's chance.
    """

    def __init__(self, dictionary: Path, likely: Callable[[Sequence[str]], float]) -> None:
        said: defaultdict[str, list[str]] = defaultdict(list)
        for line in dictionary.read_text(encoding="utf-8").splitlines():
            word, _, sounds = line.partition(" ")
            said[sounds.strip()].append(_VARIANT.sub("", word))
        alike: defaultdict[str, set[str]] = defaultdict(set)
        for words in said.values():
            for word in words if len(words) > 1 else ():
                alike[word].update(other for other in words if other != word)
        self._alike = {word: tuple(sorted(others)) for word, others in alike.items()}
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
