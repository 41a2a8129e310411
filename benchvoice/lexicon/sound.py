"""How alike two words sound."""

from __future__ import annotations

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
