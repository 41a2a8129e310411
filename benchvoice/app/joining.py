"""Whether a pause fell into the middle of something: read from the words on both sides of it."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from benchvoice.resources import folder

_FILE = "en/pauses.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seams:
    """The words that tell, from grammars/."""

    unfinished: frozenset[str]
    digits: frozenset[str]
    decimals: int
    starts_anew: frozenset[str]

    def waits(self, words: Sequence[str]) -> bool:
        """True if something must, or may well, follow these words."""
        return bool(words) and (words[-1] in self.unfinished or self._in_decimals(words))

    def goes_on(self, before: Sequence[str], after: Sequence[str]) -> bool:
        """True if `after` is the rest of `before` and not a sentence of its own."""
        if not after or not self.waits(before) or after[0] in self.starts_anew:
            return False
        if before[-1] in self.unfinished:
            return True
        # Digits after digits, but not a number with a point of its own: "three point five" - "three point six".
        return after[0] in self.digits and "point" not in after[:2]

    def _in_decimals(self, words: Sequence[str]) -> bool:
        backwards = list(reversed(words))
        if "point" not in backwards:
            return False
        count = backwards.index("point")
        return 0 < count < self.decimals and self.digits.issuperset(backwards[:count])


@cache
def seams() -> Seams:
    """The lists of grammars/en/pauses.toml."""
    table = tomllib.loads((folder("grammars") / _FILE).read_text(encoding="utf-8"))
    return Seams(
        unfinished=frozenset(table["unfinished"]),
        digits=frozenset(table["digits"]),
        decimals=int(table["decimals"]),
        starts_anew=frozenset(table["starts_anew"]),
    )
