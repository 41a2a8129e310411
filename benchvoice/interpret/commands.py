"""Tells what is said to the program from what is said about the engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from benchvoice.domain.readings import Order
from benchvoice.lexicon import Lexicon


@dataclass(frozen=True, slots=True)
class Ordered:
    """A command, and the token after its words."""

    order: Order
    end: int


def command_of(texts: Sequence[str], lexicon: Lexicon) -> Ordered | None:
    """The command that an utterance starts with, None if it is speech.

    One that must stand alone does so but for words of politeness; of several that fit the longest counts.
    """
    sets = lexicon.word_sets
    start = 0
    while start < len(texts) and texts[start] in sets.before_command:
        start += 1
    for skip in dict.fromkeys((start, 0)):
        for size in range(min(8, len(texts) - skip), 0, -1):
            found = _table(lexicon).get(tuple(texts[skip : skip + size]))
            if found is None:
                continue
            name, alone = found
            told = name == "strike" and texts[skip] in sets.striking and bool(texts[skip + size :])
            if told and size > 1 and texts[skip + size] in sets.telling_why:
                return Ordered(Order.REPLACE, skip + size)
            rest = [text for text in texts[skip + size :] if text not in sets.after_command]
            if (alone and rest) or (not alone and skip + size == len(texts) and name != "mark"):
                continue
            return Ordered(Order(name), skip + size)
    return None


@lru_cache(maxsize=4)
def _table_of(entries: tuple[tuple[tuple[str, ...], str, bool], ...]) -> dict[tuple[str, ...], tuple[str, bool]]:
    return {phrase: (name, alone) for phrase, name, alone in entries}


_TABLES: dict[int, dict[tuple[str, ...], tuple[str, bool]]] = {}


def _table(lexicon: Lexicon) -> dict[tuple[str, ...], tuple[str, bool]]:
    """Command phrases by their words, made once for each lexicon."""
    found = _TABLES.get(id(lexicon))
    if found is None:
        found = {phrase: (item.name, item.alone) for item in lexicon.commands.values() for phrase in item.spoken}
        _TABLES[id(lexicon)] = found
    return found
