"""The person's prices: what each lot brings, how long it takes, how likely it sells. Never ours; a demo says so."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from benchvoice.lexicon.judging_types import LotRow
from benchvoice.lexicon.tables import Problems, Row, Table, read_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """low and high of a sound lot, as asked and paid; minutes to prepare it; chance that it sells within days."""

    low: float
    high: float
    minutes: float
    chance: float
    days: int

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """labour_per_hour: what an hour at the bench costs. cause_known: what it is worth to be able to name the likely
    cause to a buyer.
    """

    currency: str
    note: str
    labour_per_hour: float
    cause_known: float
    lots: dict[str, Price]


def load_prices(path: Path, lots: Collection[LotRow]) -> Prices:
    """Reads a price file. Raises GrammarError that lists every problem with file and line."""
    problems = Problems()
    table = Table(path.name, read_text(path), problems)
    known = {row.id for row in lots}
    table.check_keys(("about", "lots"))
    about = table.row("about")
    found: dict[str, Price] = {}
    for name, data in table.row("lots").data.items():
        row = table.row_at(f"lots.{name}", data)
        if name not in known:
            row.problem(f"no lot is called {name!r}; see lots.toml")
        else:
            found[name] = _price(row)
    prices = Prices(
        currency=about.text("currency"),
        note=about.text("note"),
        labour_per_hour=about.number("labour_per_hour", high=1e5),
        cause_known=about.number("cause_known", high=1e6, required=False),
        lots=found,
    )
    about.done()
    problems.raise_if_any("The prices can't be used")
    return prices


def _price(row: Row) -> Price:
    low, high = row.number("low", high=1e7), row.number("high", high=1e7)
    if high < low:
        row.problem(f"high {high:g} is less than low {low:g}", "high")
    price = Price(
        low=low,
        high=high,
        minutes=row.number("minutes", high=1e5),
        chance=row.number("chance", high=1),
        days=int(row.number("days", 60, low=1, high=3650, required=False)),
    )
    row.done()
    return price
