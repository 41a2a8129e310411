"""How alike two words sound."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import jellyfish


@lru_cache(maxsize=8192)
def key(word: str) -> str:
    """The metaphone of a word: its consonants as they sound."""
    return str(jellyfish.metaphone(word))


@lru_cache(maxsize=65536)
def likeness(one: str, other: str) -> float:
    """0 (nothing in common) to 1 (sounds the same), from spelling and metaphone together."""
    if one == other:
        return 1.0
    spelled = float(jellyfish.jaro_winkler_similarity(one, other))
    sounded = float(jellyfish.jaro_winkler_similarity(key(one), key(other)))
    return round((spelled + 2 * sounded) / 3, 4)


def likest(word: str, options: Iterable[str], least: float) -> str | None:
    """The one of them that sounds most like a word, None if none is alike enough or two are equally."""
    ranked = sorted(((likeness(word, option), option) for option in options), reverse=True)[:2]
    if not ranked or ranked[0][0] < least or (len(ranked) > 1 and ranked[0][0] == ranked[1][0]):
        return None
    return ranked[0][1]
