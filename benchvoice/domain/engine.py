"""The engine on the stand: what it is, and what its layout makes of a place.

Numbering schemes put number one at opposite ends, so the scheme is part of the identity and everything that depends
on it (bank of a cylinder, the two rods of a journal, neighbours) is derived here and nowhere else. Sources: SAE J824
counts from the end farthest from the output (method A along the crank, method B by bank); ISO 1204 counts from the
output end; an alternating vee numbers along the crank, bank by bank in turn.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum


class Layout(StrEnum):
    INLINE = "inline"
    VEE = "vee"
    FLAT = "flat"


class NumberedFrom(StrEnum):
    """At which end cylinder one is."""

    FRONT = "front"
    """Farthest from the flywheel (SAE J824)."""
    FLYWHEEL = "flywheel"
    """Nearest the flywheel (ISO 1204)."""


class BankOrder(StrEnum):
    """How the numbers run over two banks."""

    ALTERNATE = "alternate"
    """Along the crank, the banks in turn: odd numbers on one bank, even numbers on the other."""
    BY_BANK = "by_bank"
    """One bank first, then the other."""


class ValveGear(StrEnum):
    PUSHROD = "pushrod"
    SOHC = "sohc"
    DOHC = "dohc"


class Fuel(StrEnum):
    PETROL = "petrol"
    DIESEL = "diesel"


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbering:
    """The cylinder numbering scheme. `first_bank` is the bank of cylinder one, seen from the flywheel end."""

    numbered_from: NumberedFrom = NumberedFrom.FRONT
    bank_order: BankOrder = BankOrder.ALTERNATE
    first_bank: str = "left"
    confirmed: bool = False
    """The person was shown the drawing and said yes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine:
    """Identity and intake of one engine. Money is in the person's own currency; numbers that say nothing are None."""

    stock: str
    maker: str = ""
    family: str = ""
    displacement: str = ""
    """As the person wrote it, with its unit."""
    layout: Layout = Layout.INLINE
    cylinders: int = 4
    mains: int | None = None
    """Main bearings; None: derived from the layout."""
    numbering: Numbering = field(default_factory=Numbering)
    valve_gear: ValveGear = ValveGear.PUSHROD
    valves_per_cylinder: int = 2
    fuel: Fuel = Fuel.PETROL
    clockwise: bool = True
    """Crank rotation seen from the front; clockwise is the usual one (SAE J824)."""
    pump_end: str = "front"
    """The end at which oil enters the main gallery."""
    vin: str | None = None
    vin_note: str = ""
    source: str = ""
    cost: Decimal | None = None
    currency: str = ""
    claimed: tuple[str, ...] = ()
    """What the seller said about it: hearsay, never a finding."""
    verified: tuple[str, ...] = ()
    """Which of that was verified at intake, and how."""
    spec_sheet: str | None = None

    @property
    def banks(self) -> tuple[str, ...]:
        return () if self.layout is Layout.INLINE else ("left", "right")

    @property
    def rows(self) -> int:
        """Cylinders in a row: all of an inline engine, half of a vee or flat one."""
        return self.cylinders if self.layout is Layout.INLINE else (self.cylinders + 1) // 2

    @property
    def main_count(self) -> int:
        """Main bearings. One more than crankpin stations, unless the person said otherwise (common practice, no
        source).
        """
        if self.mains is not None:
            return self.mains
        if self.layout is Layout.FLAT:
            return self.rows + 1 if self.cylinders <= 4 else self.cylinders + 1
        return self.rows + 1

    @property
    def cylinder_numbers(self) -> tuple[int, ...]:
        return tuple(range(1, self.cylinders + 1))

    @property
    def journal_numbers(self) -> tuple[int, ...]:
        return tuple(range(1, self.main_count + 1))

    def bank_of(self, cylinder: int) -> str | None:
        """The bank of a cylinder, None for an inline engine. Raises ValueError for a cylinder that the engine lacks."""
        self._check(cylinder)
        if not self.banks:
            return None
        first = self.numbering.first_bank
        second = "right" if first == "left" else "left"
        if self.numbering.bank_order is BankOrder.ALTERNATE:
            return first if cylinder % 2 else second
        return first if cylinder <= self.rows else second

    def station_of(self, cylinder: int) -> int:
        """The crankpin station of a cylinder, counted from the front, 1..rows."""
        self._check(cylinder)
        if self.layout is Layout.INLINE:
            along = cylinder
        elif self.numbering.bank_order is BankOrder.ALTERNATE:
            along = (cylinder + 1) // 2
        else:
            along = cylinder if cylinder <= self.rows else cylinder - self.rows
        return along if self.numbering.numbered_from is NumberedFrom.FRONT else self.rows + 1 - along

    def cylinders_of_bank(self, bank: str) -> tuple[int, ...]:
        return tuple(c for c in self.cylinder_numbers if self.bank_of(c) == bank)

    def station_mates(self, cylinder: int) -> tuple[int, ...]:
        """The cylinders whose rods ride on the same crankpin: a vee engine's two rods share a pin (or a split pin).

        An inline engine and a flat one with opposed pistons have a pin for each rod, so nothing is shared.
        """
        if self.layout is not Layout.VEE:
            return ()
        station = self.station_of(cylinder)
        return tuple(c for c in self.cylinder_numbers if c != cylinder and self.station_of(c) == station)

    def neighbours(self, cylinder: int) -> tuple[int, ...]:
        """Adjacent cylinders of the same bank: those that share a stretch of head gasket."""
        station, bank = self.station_of(cylinder), self.bank_of(cylinder)
        return tuple(
            c for c in self.cylinder_numbers if self.bank_of(c) == bank and abs(self.station_of(c) - station) == 1
        )

    def mains_beside(self, cylinder: int) -> tuple[int, ...]:
        """The main journals that may carry a cylinder's crankpin, counted from the front.

        With one main more than stations, station k lies between mains k and k + 1. Otherwise the mains are taken as
        spread evenly along the stations, and every main that touches the station's stretch is given: an inline six on
        four mains has two pins between neighbours, a flat four on five mains has three mains at a pair of cylinders.
        """
        station, gaps = self.station_of(cylinder), self.main_count - 1
        low = 1 + (station - 1) * gaps // self.rows
        high = 1 - (-station * gaps // self.rows)
        return tuple(range(low, high + 1))

    def distance_from_pump(self, journal: int) -> int:
        """How many mains lie between a main journal and the end at which oil enters the gallery: 0 at the pump."""
        if not 1 <= journal <= self.main_count:
            raise ValueError(f"journal {journal} of {self.main_count}")
        return journal - 1 if self.pump_end == "front" else self.main_count - journal

    def journals_far_first(self) -> tuple[int, ...]:
        """Main journals, furthest from the oil pump first: they starve first (common practice, no source)."""
        return tuple(sorted(self.journal_numbers, key=lambda j: -self.distance_from_pump(j)))

    def cylinders_far_first(self) -> tuple[int, ...]:
        """Cylinders, furthest from the oil pump first."""
        order = self.in_order_from_front()
        return tuple(reversed(order)) if self.pump_end == "front" else order

    def in_order_from_front(self) -> tuple[int, ...]:
        """Cylinder numbers sorted by station from the front, left bank before right."""
        return tuple(sorted(self.cylinder_numbers, key=lambda c: (self.station_of(c), self.bank_of(c) or "")))

    def thrust_side_towards(self, bank: str | None) -> str:
        """Where the major thrust face of a bank's bores points: "left" or "right" for inline, "valley" or "outboard"
        for vee, "top" or "bottom" for flat.

        Seen from the front with a clockwise crank the piston is pressed to the viewer's left, which is the engine's
        right side seen from the flywheel end; a bank leans that direction with it (geometry).
        """
        engine_side = "right" if self.clockwise else "left"
        if bank is None:
            return engine_side
        outward, inward = ("bottom", "top") if self.layout is Layout.FLAT else ("outboard", "valley")
        return outward if bank == engine_side else inward

    def has(self, *, cylinder: int | None = None, journal: int | None = None, bank: str | None = None) -> bool:
        """False if the engine can't have such a place."""
        if cylinder is not None and not 1 <= cylinder <= self.cylinders:
            return False
        if journal is not None and not 1 <= journal <= self.main_count:
            return False
        return bank is None or bool(self.banks)

    def _check(self, cylinder: int) -> None:
        if not 1 <= cylinder <= self.cylinders:
            raise ValueError(f"cylinder {cylinder} of {self.cylinders}")
