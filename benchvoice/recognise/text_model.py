"""How likely words are after those before them, by n-grams in pocketsphinx's form."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from benchvoice.recognise.beam import END_OF_TEXT

LOG_STEP = math.log(1.0001)
"""pocketsphinx counts logarithms in steps of this."""


class TextModel:
    """rarest: natural logarithm of the chance that a word counts as which the n-grams lack."""

    def __init__(self, path: Path, *, rarest: float) -> None:
        from pocketsphinx import NGramModel

        self._model = NGramModel.readfile(str(path))
        self._rarest = rarest

    def word(self, word: str, before: Sequence[str]) -> float:
        """Natural logarithm of the word's chance. Only the last two of those before it count."""
        latest = [word, *reversed(["<s>", *before[-2:]][-2:])]
        return max(float(self._model.prob(latest)) * LOG_STEP, self._rarest)

    def words(self, words: Sequence[str]) -> float:
        """The same of words that begin a sentence, which may go on."""
        return sum(self.word(word, words[:i]) for i, word in enumerate(words))

    def sentence(self, words: Sequence[str]) -> float:
        """The same of a whole sentence."""
        return self.words([*words, END_OF_TEXT])
