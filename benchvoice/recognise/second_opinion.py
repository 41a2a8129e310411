"""What the second recogniser thinks of the first one's words: how much likelier it finds its own where they differ.

It spells whole sentences, with capitals and marks, and is asked about whole sentences: its own, and its own with the
first one's words in place of some of its words.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Protocol

from benchvoice.recognise.beam import Pieces, Text
from benchvoice.recognise.pair import Region

_WORD = re.compile(r"(?<![A-Za-z'])'*(?P<word>[A-Za-z](?:[A-Za-z']*[A-Za-z])?)")
_CLOSES = (".", "?", "!")


class Follower(Protocol):
    """What tells how likely texts are that are given to it."""

    pieces: Pieces

    def follow(self, states: Any, texts: Sequence[Sequence[int]]) -> list[float]: ...


class Speller:
    """Words as the pieces that a decoder was taught with: byte-pair encoding (Sennrich et al., "Neural machine
    translation of rare words with subword units", 2016), in which a pair that was merged earlier has the lower number.
    """

    def __init__(self, pieces: Pieces) -> None:
        self._numbers = {text: number for text, number in zip(pieces.texts, pieces.ids, strict=True) if text}

    def __call__(self, text: str) -> list[int] | None:
        """The pieces' numbers, None for a text that they can't spell. Every word begins with its space."""
        out: list[int] = []
        for part in text.split():
            of_it = self._word(f" {part}")
            if of_it is None:
                return None
            out += of_it
        return out

    def _word(self, text: str) -> list[int] | None:
        parts = [text[:2], *text[2:]] if text[:2] in self._numbers else [*text]
        while True:
            ranked = [
                (number, k)
                for k in range(len(parts) - 1)
                if (number := self._numbers.get(parts[k] + parts[k + 1])) is not None
            ]
            if not ranked:
                break
            k = min(ranked)[1]
            parts[k : k + 2] = [parts[k] + parts[k + 1]]
        return [self._numbers[part] for part in parts] if self._numbers.keys() >= set(parts) else None


def weighed(
    decoder: Follower, speller: Speller, states: Any, text: Text, first: Sequence[str], regions: Sequence[Region]
) -> tuple[Region, ...]:
    """The regions with `heard`: by how much the chance of the second one's text drops when the first one's words take
    the place of its own there. 0 where both are the same or one can't be spelled.
    """
    own = speller(text.spelled)
    asked: dict[int, list[int]] = {}
    for k, region in enumerate(regions):
        other = None if region.same else speller(replaced(text.spelled, region.second, first[slice(*region.first)]))
        if other is not None:
            asked[k] = other
    if own is None or not asked:
        return tuple(regions)
    best, *others = decoder.follow(states, [own, *asked.values()])
    drops = {k: round(best - chance, 3) for k, chance in zip(asked, others, strict=True)}
    return tuple(replace(region, heard=drops.get(k, 0.0)) for k, region in enumerate(regions))


def replaced(spelled: str, where: tuple[int, int], words: Sequence[str]) -> str:
    """The sentence with other words instead of its words from..to; nothing else of it changes."""
    found = [match.span("word") for match in _WORD.finditer(spelled)]
    begin, end = where
    if begin < end:
        a, b = found[begin][0], found[end - 1][1]
    elif begin:
        a = b = found[begin - 1][1]
    else:
        a = b = 0
    before, after = spelled[:a], spelled[b:]
    other = _as_written(words, opens=not before.strip() or before.rstrip().endswith(_CLOSES))
    return f"{before} {other} {after}" if begin == end else f"{before}{other}{after}"


def _as_written(words: Sequence[str], *, opens: bool) -> str:
    out = [word.capitalize() if word == "i" or word.startswith("i'") else word for word in words]
    if opens and out:
        out[0] = out[0].capitalize()
    return " ".join(out)
