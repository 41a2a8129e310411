"""A spec sheet: what the maker of an engine family allows, each figure with its unit and where it was read."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from benchvoice.domain.figures import Basis, Limit, Mark
from benchvoice.domain.findings import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """The figures of one part and quantity, all in `unit`.

    new_low..new_high is the range of a new part, nominal a single size. minimum and maximum are service limits: beyond
    them the part is not to be used. steps are the available oversizes (bores) or undersizes (journals), ascending. at
    is the condition that a reading belongs to, as written ("at 1.80 in"). `also_*` repeat the figures as the manual
    printed them in a second unit, for the misprint check. line is where the row starts in its file.
    """

    part: str
    quantity: str
    unit: str
    source: str
    place: Place = field(default_factory=Place)
    nominal: Decimal | None = None
    new_low: Decimal | None = None
    new_high: Decimal | None = None
    minimum: Decimal | None = None
    maximum: Decimal | None = None
    steps: tuple[Decimal, ...] = ()
    at: str = ""
    also_unit: str | None = None
    also: tuple[tuple[str, Decimal], ...] = ()
    line: int = 0

    def limit(self) -> Limit | None:
        """What a used part must meet: the service limits, or the range of new parts if the sheet has no service limit
        (but not for a diameter: worn is not beyond a limit).
        """
        low, high, source = self.minimum, self.maximum, self.source
        if low is None and high is None and self.quantity != "diameter":
            low, high, source = self.new_low, self.new_high, f"{self.source}, range of new parts"
        if low is None and high is None:
            return None
        return Limit(low=low, high=high, unit=self.unit, basis=Basis(mark=Mark.SHEET, source=source))

    def size(self) -> Decimal | None:
        """The size of a new part to reckon from: nominal, else the middle of the new range, else its one end."""
        if self.nominal is not None:
            return self.nominal
        if self.new_low is not None and self.new_high is not None:
            return (self.new_low + self.new_high) / 2
        return self.new_low if self.new_low is not None else self.new_high


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One engine family's sheet. `invented` marks one that must never serve for real work."""

    title: str
    source: str
    rows: tuple[SheetRow, ...] = ()
    invented: bool = False
    path: str = ""

    def row(self, part: str, quantity: str, place: Place | None = None) -> SheetRow | None:
        """The row that fits best: one whose place covers `place`, the most specific first."""
        here = place or Place()
        fitting = [row for row in self.rows if row.part == part and row.quantity == quantity and row.place.covers(here)]
        return max(fitting, key=lambda row: len(row.place.as_dict()), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetProblem:
    """Something wrong with a sheet. serious: it can't be used as it is; otherwise it should be looked at."""

    line: int
    where: str
    what: str
    hint: str = ""
    serious: bool = True
