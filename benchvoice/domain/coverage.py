"""Coverage: for every part and place that a buyer would ask about, how it was looked at, if it was."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from benchvoice.domain.findings import Place


class Looked(StrEnum):
    """How a part was looked at, strongest first."""

    MEASURED = "measured"
    SEEN = "seen"
    FELT = "felt"
    SEEN_IN_PART = "seen_in_part"
    """One shell of two, one piece of the part, or only spoken of together with others."""
    NOT_LOOKED_AT = "not_looked_at"
    COULD_NOT_BE_SEEN = "could_not_be_seen"
    GONE = "gone"
    """Missing when the engine came in."""

    @property
    def backs_a_claim(self) -> bool:
        """True if a statement to a buyer about the part's condition may stand on it."""
        return self in (Looked.MEASURED, Looked.SEEN, Looked.FELT)

    @property
    def open(self) -> bool:
        """True if a look could still add something."""
        return self in (Looked.SEEN_IN_PART, Looked.NOT_LOOKED_AT, Looked.COULD_NOT_BE_SEEN)


class State(StrEnum):
    """What the record says about a part's condition, worst finding first."""

    SPOILED = "spoiled"
    """Not serviceable as it is (cracked, broken, spun, ...)."""
    IMPAIRED = "impaired"
    """Needs machining, a new mate, or a lower price (worn, scored, ...)."""
    SOUND = "sound"
    """Looked at, and nothing bad was said."""
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverageCell:
    """One part at one place of this engine.

    importance: 0..10, how much it matters to a sale. evidence: ids of the record's entries that it stands on.
    conditions: names of the conditions found present. measured: names of the quantities that were measured. note: one
    plain sentence where the state alone would mislead ("only said of the group").
    """

    part: str
    place: Place = field(default_factory=Place)
    looked: Looked = Looked.NOT_LOOKED_AT
    state: State = State.UNKNOWN
    evidence: tuple[str, ...] = ()
    importance: float = 0.0
    conditions: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()
    note: str = ""
    left_on_purpose: bool = False

    @property
    def key(self) -> str:
        """ "rod_bearing:cylinder=3": names the cell in an overruling and in `--json`."""
        where = ",".join(f"{name}={value}" for name, value in self.place.as_dict().items())
        return f"{self.part}:{where}" if where else self.part


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """All cells, in the order of the parts table."""

    cells: tuple[CoverageCell, ...] = ()

    def of(self, part: str) -> tuple[CoverageCell, ...]:
        return tuple(cell for cell in self.cells if cell.part == part)

    def unseen(self) -> tuple[CoverageCell, ...]:
        """Cells that a look could still settle, most important first, then in the table's order."""
        return tuple(sorted((cell for cell in self.cells if cell.looked.open), key=lambda cell: -cell.importance))
