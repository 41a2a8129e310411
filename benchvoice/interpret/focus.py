"""What was last spoken of, and what of it carries over to words that don't say it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from benchvoice.domain.findings import Finding, Place
from benchvoice.lexicon import Lexicon

FAR = 8
"""Carried over from more utterances ago than this, a finding is flagged."""
TOO_FAR = 30
"""From more than this, nothing is carried over."""
REMEMBERED = 200
"""How many utterances back "strike that" may reach."""


@dataclass(frozen=True, slots=True)
class Focus:
    """A part and a place on it that was spoken of, and in which utterance. `numbers` are all that were listed."""

    part: str
    place: Place = field(default_factory=Place)
    numbers: tuple[int, ...] = ()
    n: int = 0


@dataclass(frozen=True, slots=True)
class Context:
    """All that reading an utterance takes from those before it. Frozen: reading gives a new one.

    habits: the unit last used for lengths, pressures and so on, by dimension. claims: what was last said, for "same
    on five". live: numbers of utterances that may still be taken back. quantity: the quantity last measured and the
    part that it was measured on.
    """

    n: int = 0
    focus: Focus | None = None
    numbered: Focus | None = None
    """The last part spoken of that comes in numbers."""
    quantity: tuple[str, str] | None = None
    habits: tuple[tuple[str, str], ...] = ()
    claims: tuple[Finding, ...] = ()
    said: int = 0
    """The utterance of those claims."""
    live: tuple[int, ...] = ()

    def near(self, focus: Focus | None, n: int) -> Focus | None:
        """The focus if it was set near enough to carry over."""
        return focus if focus is not None and n - focus.n <= TOO_FAR else None

    def habit(self, units: tuple[str, ...]) -> str | None:
        """The unit of these that this sitting has been using."""
        return next((unit for _, unit in self.habits if unit in units), None)

    def after(self, focus: Focus, lexicon: Lexicon) -> Context:
        """With something new in focus."""
        numbered = focus if lexicon.parts[focus.part].number else self.numbered
        return replace(self, focus=focus, numbered=numbered)

    def with_habit(self, dimension: str, unit: str) -> Context:
        return replace(self, habits=tuple({**dict(self.habits), dimension: unit}.items()))


def far(focus: Focus | None, n: int) -> bool:
    return focus is not None and n - focus.n > FAR
