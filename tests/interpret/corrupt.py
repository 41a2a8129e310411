"""Spoils words the way a recogniser does: sounding-alike words, dropped ones, small ones put in."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path

from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.sound import likeness

SHARES = (("substitute", 0.6), ("drop", 0.25), ("insert", 0.15))
SMALL = ("the", "a", "and", "in", "it", "of", "to", "uh", "is", "that", "on", "i")
ALIKE = 0.8
"""At least this alike in sound is a word that may be heard in another's place."""
ORDINARY = (Path(__file__).parent / "ordinary_words.txt").read_text("utf-8").split()
"""Everyday words that a recogniser puts in the place of the trade's."""


class Corrupter:
    """Spoils sentences, the same way for the same seed."""

    def __init__(self, lexicon: Lexicon, share: float = 0.1, seed: int = 1) -> None:
        self.share = share
        self.random = random.Random(seed)
        self.table: dict[str, list[str]] = defaultdict(list)
        for item in lexicon.confusions:
            if len(item.meant) == len(item.heard) == 1:
                self.table[item.meant[0]].append(item.heard[0])
        self.words = sorted({*ORDINARY, *(word for form in _single(lexicon) for word in form)})
        self._near: dict[str, list[str]] = {}

    def __call__(self, text: str) -> str:
        out: list[str] = []
        for word in text.split():
            if self.random.random() >= self.share:
                out.append(word)
                continue
            kind = self.random.choices([name for name, _ in SHARES], [share for _, share in SHARES])[0]
            if kind == "substitute":
                out.append(self.alike(word))
            elif kind == "insert":
                out += [word, self.random.choice(SMALL)]
        return " ".join(out) or text

    def alike(self, word: str) -> str:
        """Another word that sounds like it: from the table of confusions, else the nearest ones in sound."""
        if word not in self._near:
            ranked = sorted((other for other in self.words if other != word), key=lambda other: -likeness(word, other))
            near = [other for other in ranked[:4] if likeness(word, other) >= ALIKE]
            self._near[word] = [*self.table.get(word, []), *near] or ranked[:2]
        return self.random.choice(self._near[word])


def _single(lexicon: Lexicon) -> Sequence[Sequence[str]]:
    return [
        form.split()
        for forms in (lexicon.word_classes()["part"], lexicon.word_classes()["condition"])
        for form in forms
    ]


Corrupt = Callable[[str], str]
