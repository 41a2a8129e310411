"""What each lot would bring, given what is known of the parts that it hangs on and what is merely likely.

For each part that a lot hangs on: what is known to be bad takes its share of the price. Where members were not opened
the buyer takes off part of that share beforehand (doubt), and what turns out bad comes back or costs a discount
(returns); never less in all than what is to be expected, for an honest record lets the buyer reckon as well as the
seller. So it doesn't pay to leave a part closed in order not to know. Losses of different parts multiply.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

import numpy as np
import numpy.typing as npt

from benchvoice.domain.coverage import CoverageCell, Looked, State
from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Place
from benchvoice.judge.packing import EveryPlan, Problem, best_set
from benchvoice.lexicon.judging import JudgingTables
from benchvoice.lexicon.judging_types import HangsOn, LotRow
from benchvoice.lexicon.prices import Price, Prices

Key = tuple[str, Place]
Nets = npt.NDArray[np.float64]
_SURELY = 1e9
"""A value that no lot has: it forces a lot into a plan."""


class Fact(Enum):
    """What is known of one part."""

    SOUND = "sound"
    IMPAIRED = "impaired"
    SPOILED = "spoiled"
    OPEN = "open"
    GONE = "gone"


FACTS = {State.SOUND: Fact.SOUND, State.IMPAIRED: Fact.IMPAIRED, State.SPOILED: Fact.SPOILED}


def fact_of(cell: CoverageCell) -> Fact:
    if cell.looked is Looked.GONE:
        return Fact.GONE
    return FACTS.get(cell.state, Fact.OPEN)


@dataclass(frozen=True, slots=True)
class Offer:
    """A lot as it stands on this engine: the cells that it takes and those that its price hangs on, by part."""

    id: str
    name: str
    row: LotRow
    place: Place
    price: Price
    takes: tuple[Key, ...]
    hangs: tuple[tuple[HangsOn, tuple[Key, ...]], ...]
    returns: float


@dataclass(slots=True)
class Known:
    """What is known and what is believed of every cell.

    opened: stages of the teardown that are open. odds: for open cells, the factor that mates and neighbours put on the
    odds of being bad. alike: for each part, the two weights of its beta-binomial (bad, good) after what was looked at.
    """

    facts: dict[Key, Fact]
    opened: frozenset[str] = frozenset()
    odds: dict[Key, float] = field(default_factory=dict)
    alike: dict[str, tuple[float, float]] = field(default_factory=dict)

    def chance_any_bad(self, keys: Sequence[Key]) -> float:
        """Chance that at least one of the open cells among `keys`, all of one part, is bad.

        Alike parts are not independent: each good one makes the next more likely good. So the chance that all are good
        is a product of chances, each given that those before it are; the most suspect one comes first.
        """
        open_ = [self.odds.get(key, 1.0) for key in keys if self.facts[key] is Fact.OPEN]
        if not open_:
            return 0.0
        bad, good = self.alike[keys[0][0]]
        all_good = 1.0
        for count, factor in enumerate(sorted(open_, reverse=True)):
            all_good *= (good + count) / (good + count + bad * factor)
        return 1.0 - all_good


class Market:
    """The lots of one engine at one set of prices."""

    def __init__(self, cells: Sequence[CoverageCell], engine: Engine, tables: JudgingTables, prices: Prices) -> None:
        self.engine, self.tables, self.prices = engine, tables, prices
        self._by_part: dict[str, list[Key]] = {}
        for cell in cells:
            self._by_part.setdefault(cell.part, []).append((cell.part, cell.place))
        self.offers = tuple(offer for row in tables.lots for offer in self._offers(row))
        self.hanging: dict[str, list[int]] = {}
        for index, offer in enumerate(self.offers):
            for hangs, _ in offer.hangs:
                self.hanging.setdefault(hangs.part, []).append(index)
        self.takes = tuple(
            frozenset(f"{part}{place.as_dict()}" for part, place in offer.takes) for offer in self.offers
        )
        self.strips = tuple(
            frozenset(name for stage in offer.row.strip for name in tables.before(stage)) for offer in self.offers
        )
        self.stages = tuple(tables.stages)
        self._costs = np.array([self.labour(stage.minutes) for stage in tables.stages.values()])
        try:
            self._plans: EveryPlan | None = EveryPlan(self.problem(frozenset()))
        except ValueError:
            self._plans = None

    def _offers(self, row: LotRow) -> list[Offer]:
        price = self.prices.lots.get(row.id)
        if price is None:
            return []
        banks: Sequence[str | None] = self.engine.banks if row.per == "bank" and self.engine.banks else (None,)
        out = []
        for bank in banks:
            takes = tuple(key for part in row.takes for key in self._cells(part, bank))
            if not takes:
                continue
            hangs = tuple((h, keys) for h in row.hangs_on if (keys := tuple(self._cells(h.part, bank))))
            name = f"{row.name}, {bank}" if bank else row.name
            place = Place(bank=bank) if bank else Place()
            returns = self.tables.returns_share if row.returns is None else row.returns
            out.append(Offer(f"{row.id}:{bank}" if bank else row.id, name, row, place, price, takes, hangs, returns))
        return out

    def _cells(self, part: str, bank: str | None) -> list[Key]:
        keys = self._by_part.get(part, [])
        return keys if bank is None else [key for key in keys if self._bank(key[1]) in (bank, None)]

    def _bank(self, place: Place) -> str | None:
        return self.engine.bank_of(place.cylinder) if place.cylinder is not None else place.bank

    def loss(self, hangs: HangsOn, keys: Sequence[Key], known: Known, returns: float) -> float:
        """The share of the price that one part costs, 0..1. returns: share of bad finds that come back."""
        facts = [known.facts[key] for key in keys]
        if Fact.SPOILED in facts:
            certain = hangs.spoiled
        elif Fact.IMPAIRED in facts:
            certain = hangs.impaired
        else:
            certain = 0.0
        unseen = facts.count(Fact.OPEN)
        if not unseen:
            return certain
        share = self.tables.parts[hangs.part].spoiled_share
        expected = (1 - share) * hangs.impaired + share * hangs.spoiled
        likely = known.chance_any_bad(keys) * expected
        blind = max(likely, hangs.doubt * hangs.impaired * unseen / len(keys) + likely * returns)
        return 1 - (1 - certain) * (1 - min(1.0, blind))

    def missing(self, offer: Offer, known: Known) -> float:
        """The share of the price that missing parts cost; 1 when something that matters is gone."""
        gone = {part for part, place in offer.takes if known.facts[(part, place)] is Fact.GONE}
        kinds = {part for part, _ in offer.takes}
        if not gone:
            return 0.0
        if len(kinds) <= 2 or any(self.tables.parts[part].importance >= 6 for part in gone):
            return 1.0
        return len(gone) / len(kinds)

    def factor(self, offer: Offer, known: Known) -> float:
        """What is left of the price."""
        left = 1 - self.missing(offer, known)
        for hangs, keys in offer.hangs:
            left *= 1 - self.loss(hangs, keys, known, offer.returns)
        return left

    def labour(self, minutes: float) -> float:
        return minutes / 60 * self.prices.labour_per_hour

    def net(self, offer: Offer, factor: float, price: float | None = None) -> float:
        """Expected price times the chance to sell, less the labour to prepare it; of no worth when nothing is left."""
        asked = offer.price.middle if price is None else price
        return asked * factor * offer.price.chance - self.labour(offer.price.minutes)

    def nets(self, known: Known) -> Nets:
        return np.array([self.net(offer, self.factor(offer, known)) for offer in self.offers])

    def problem(self, opened: frozenset[str]) -> Problem:
        """The lots to choose from, with what the stages still cost."""
        costs = tuple((s, 0.0 if s in opened else float(c)) for s, c in zip(self.stages, self._costs, strict=True))
        return Problem(self.takes, self.strips, costs)

    def best(self, nets: Nets, opened: frozenset[str]) -> Nets:
        """Value of the best plan for each column of nets (lots x n), or for one set of nets (an array of one value)."""
        columns = nets if nets.ndim == 2 else nets[:, None]
        if not len(columns):
            return np.zeros(columns.shape[1])
        if self._plans is not None:
            closed = np.array([stage not in opened for stage in self.stages])
            return self._plans.best(columns, self._costs * closed)
        problem = self.problem(opened)
        return np.array([problem.value(column, best_set(problem, column)) for column in columns.T])

    def choose(
        self, nets: Nets, opened: frozenset[str], must: Collection[int] = (), never: Collection[int] = ()
    ) -> tuple[int, ...]:
        """The lots of the best plan for a "what if", looked up where all plans are laid out, else solved."""
        if self._plans is None or not len(nets):
            return best_set(self.problem(opened), nets, must=must, never=never)
        weighed = nets.copy()
        weighed[list(never)] = -_SURELY
        weighed[list(must)] = _SURELY
        closed = np.array([stage not in opened for stage in self.stages])
        return self._plans.choose(weighed, self._costs * closed)


class Outlook:
    """Values of "what if" on one part at a time, reckoned from what stays the same."""

    def __init__(self, market: Market, known: Known) -> None:
        self.market, self.known = market, known
        self.losses = [
            [market.loss(hangs, keys, known, offer.returns) for hangs, keys in offer.hangs] for offer in market.offers
        ]
        self.left = [1 - market.missing(offer, known) for offer in market.offers]
        self.nets = np.array(
            [
                market.net(offer, left * math.prod(1 - loss for loss in losses))
                for offer, left, losses in zip(market.offers, self.left, self.losses, strict=True)
            ]
        )
        self.value = float(market.best(self.nets, known.opened)[0])

    def nets_if(self, part: str, facts: Mapping[Key, Fact]) -> Nets:
        """Nets of all lots if these cells, all of one part, turned out so; alike ones are believed accordingly."""
        sound = sum(1 for fact in facts.values() if fact is Fact.SOUND)
        bad, good = self.known.alike[part]
        then = Known(
            {**self.known.facts, **facts},
            self.known.opened,
            self.known.odds,
            {**self.known.alike, part: (bad + len(facts) - sound, good + sound)},
        )
        nets = self.nets.copy()
        for index in self.market.hanging.get(part, ()):
            offer = self.market.offers[index]
            left = self.left[index]
            for (hangs, keys), loss in zip(offer.hangs, self.losses[index], strict=True):
                same = hangs.part != part
                left *= 1 - (loss if same else self.market.loss(hangs, keys, then, offer.returns))
            nets[index] = self.market.net(offer, left)
        return nets

    def value_if(self, part: str, facts: Mapping[Key, Fact], opened: frozenset[str] | None = None) -> float:
        """Value of the best plan then; opened: stages that are open by then."""
        here = self.known.opened if opened is None else opened
        return float(self.market.best(self.nets_if(part, facts), here)[0])
