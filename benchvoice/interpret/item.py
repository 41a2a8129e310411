"""Items: phrases of an utterance with the one meaning that is left to each, numbers cut into places and values."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from benchvoice.interpret.senses import PLACE_KEYS, Sense
from benchvoice.interpret.values import Spoken

ORDER = (
    "nail", "ours", "while_taking", "reversal", "unreal", "denies", "blind", "unseen", "except", "same", "likewise",
    "sees_no",
    "part", "numbers", "pointer", "group", *PLACE_KEYS, "condition", "action", "quantity", "unit", "degree",
    "trailing", "hedge", "not", "between", "have", "be", "there", "or", "and", "but", "preposition", "which",
    "pronoun", "tag", "aside", "than", "bounds", "theirs", "locator", "layout", "slips", "feature", "bench", "filler",
)  # fmt: skip
"""Which meaning of a phrase comes first when nothing around it decides."""
RANK = {kind: rank for rank, kind in enumerate(ORDER)}

NOUNS = frozenset({"part", "numbers", "places", "pointer", "group", "feature", *PLACE_KEYS})
"""Items that make up a noun phrase."""
CLAIMS = frozenset({
    "be", "have", "condition", "likewise", "unseen", "blind", "hedge", "denies", "not", "sees_no", "action", "group",
    "degree",
})  # fmt: skip
"""Items that may follow a bare number when it is the subject."""
VALUE_WORDS = frozenset({"be", "quantity", "bounds"})

SIDES = frozenset({"left", "right"})


@dataclass(frozen=True, slots=True)
class Item:
    """One item, tokens start..end. `senses` are the meanings of a phrase, the chosen one first."""

    kind: str
    start: int
    end: int
    senses: tuple[Sense, ...] = ()
    places: tuple[int, ...] = ()
    value: Spoken | None = None
    text: str = ""
    stop: bool = False

    @property
    def sense(self) -> Sense:
        return self.senses[0]

    def get(self, kind: str) -> Sense | None:
        return next((sense for sense in self.senses if sense.kind == kind), None)


Hint = Callable[[Sequence[str], str | None, int], bool]
"""Whether number words with a unit, at a token, can be a value in this sentence."""
