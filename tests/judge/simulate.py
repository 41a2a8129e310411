"""Does the order of next looks pay? Two thousand invented engines, several orders, expected net value of each.

    python -m tests.judge.simulate [--engines 2000] [--seed 1]

Every engine gets a failure story that the judge knows nothing of; the story damages parts with rates and a spread of
its own (worse towards the far end of the gallery and around one cylinder), not with the rates of the tables. Orders:

  ours        the judge's next look until none is expected to pay
  random      members in a random order, for as many minutes as ours took on that engine
  random part a random part, all its members, for as many minutes
  front first members by station from the front, the easily reached first, for as many minutes
  none        nothing is opened
  all         everything is opened

At the end the best plan is sold on what is then known. A lot brings its price less what is known to be bad, less the
buyer's doubt about what was not opened; what turns out bad later comes back at the rate of the lots table, or was
reckoned in by the buyer where that is more. Labour for every minute is paid.
"""

from __future__ import annotations

import argparse
import random
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from benchvoice.domain.coverage import CoverageCell, Looked, State
from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Place
from benchvoice.judge.beliefs import Chances, alike, beliefs, triggers
from benchvoice.judge.bundles import Draws
from benchvoice.judge.coverage import cover
from benchvoice.judge.looks import Bench, candidates, ranked, weigh_bundles, weigh_by_worth
from benchvoice.judge.market import Fact, Key, Known, Market, Offer, fact_of
from benchvoice.lexicon.judging import judging_tables
from benchvoice.lexicon.prices import Prices, load_prices
from benchvoice.resources import folder
from tests.judge.casework import engine

TABLES = judging_tables()
WORDS = {
    "rod_bearing": "wiped", "main_bearing": "wiped", "cam_bearing": "wiped", "piston_skirt": "scuffed",
    "cylinder_bore": "scored", "rod_journal": "scored", "main_journal": "scored", "cylinder_head": "warped",
    "valve": "bent", "piston_crown": "pitted", "ring_land": "cracked", "connecting_rod": "bent",
    "oil_pump": "scored", "oil_pickup": "plugged", "oil_pan": "metal_debris",
}  # fmt: skip
STORIES: dict[str, dict[str, float]] = {
    "dry": {"rod_bearing": 0.7, "main_bearing": 0.6, "rod_journal": 0.5, "main_journal": 0.35, "cam_bearing": 0.5,
            "oil_pump": 0.5, "oil_pickup": 0.5, "crankshaft": 0.15, "connecting_rod": 0.12, "camshaft": 0.3},
    "hot": {"cylinder_head": 0.8, "head_gasket": 0.8, "piston_skirt": 0.5, "cylinder_bore": 0.45, "piston": 0.4,
            "valve_seat": 0.3, "valve_guide": 0.4, "deck": 0.25, "thermostat": 0.5},
    "contact": {"valve": 0.6, "piston_crown": 0.5, "valve_guide": 0.4, "rocker_arm": 0.2, "pushrod": 0.4,
                "timing_chain": 0.8, "piston": 0.3},
    "rust": {"cylinder_bore": 0.6, "top_ring": 0.7, "valve_seat": 0.4, "lifter": 0.3, "cam_lobe": 0.25,
             "main_journal": 0.2, "valve_spring": 0.3},
    "rod": {"connecting_rod": 0.3, "block": 0.6, "crankshaft": 0.4, "rod_bearing": 0.35, "rod_journal": 0.35,
            "cylinder_bore": 0.25, "piston": 0.3, "camshaft": 0.3, "oil_pan": 0.5},
    "worn": {"cylinder_bore": 0.6, "rod_bearing": 0.3, "main_bearing": 0.2, "valve_guide": 0.6, "cam_lobe": 0.2,
             "rocker_arm": 0.3, "top_ring": 0.7, "oil_pump": 0.3},
    "sound below": {"cylinder_head": 0.3, "head_gasket": 0.5, "valve": 0.2},
}  # fmt: skip
SPOILED = {"block": 0.8, "crankshaft": 0.7, "connecting_rod": 0.7, "piston": 0.4, "valve": 0.5, "cylinder_head": 0.35}


class World:
    """One engine with its hidden truth."""

    def __init__(self, of: Engine, blank: tuple[CoverageCell, ...], rng: random.Random) -> None:
        rates = STORIES[rng.choice(list(STORIES))]
        centre = rng.choice(of.cylinder_numbers)
        self.truth: dict[Key, State] = {}
        touched = {part: rng.random() < 0.85 for part in {cell.part for cell in blank}}
        for cell in blank:
            rate = rates.get(cell.part, 0.0) if touched[cell.part] else 0.0
            rate = min(0.95, rate * self._spread(cell.place, of, centre)) if rate else 0.03
            bad = rng.random() < rate
            spoiled = rng.random() < SPOILED.get(cell.part, 0.12)
            state = State.SPOILED if spoiled else State.IMPAIRED
            self.truth[(cell.part, cell.place)] = state if bad else State.SOUND

    @staticmethod
    def _spread(place: Place, of: Engine, centre: int) -> float:
        """Worse far from the pump and close to where it began."""
        if place.journal is not None:
            return 0.5 + of.distance_from_pump(place.journal) / max(1, of.main_count - 1)
        if place.cylinder is not None:
            away = abs(of.station_of(place.cylinder) - of.station_of(centre))
            return 1.6 if away == 0 else 1.0 if away == 1 else 0.6
        return 1.0

    def seen(self, cell: CoverageCell) -> CoverageCell:
        state = self.truth[(cell.part, cell.place)]
        named = () if state is State.SOUND else (WORDS.get(cell.part, "worn"),)
        return replace(cell, looked=Looked.SEEN, state=state, conditions=named, evidence=("x",))


class Trial:
    """The state of one teardown under one order."""

    def __init__(self, world: World, start: dict[Key, CoverageCell], market: Market, chances: Chances) -> None:
        self.world, self.market, self.chances = world, market, chances
        self.cells = dict(start)
        self.bench = Bench(self.cells.values(), TABLES)
        self.minutes = 0.0

    def cost(self, keys: list[Key]) -> float:
        opening = sum(self.bench.stage_minutes(self.bench.opening(part for part, _ in keys)))
        return opening + sum(self.bench.own_minutes(TABLES.parts[part], (place,)) for part, place in keys)

    def look(self, keys: list[Key]) -> None:
        self.minutes += self.cost(keys)
        for key in keys:
            self.cells[key] = self.world.seen(self.cells[key])
            self.bench.add(*key)

    def known(self) -> tuple[Known, dict[Key, object]]:
        cells = tuple(self.cells.values())
        believed = beliefs(cells, triggers(cells, (), self.chances.engine, TABLES), self.chances)
        facts = {key: fact_of(cell) for key, cell in self.cells.items()}
        odds = {key: belief.odds for key, belief in believed.items()}
        return Known(facts, frozenset(self.bench.open), odds, alike(cells, TABLES)), dict(believed)

    def open_keys(self) -> list[Key]:
        return [key for key, cell in self.cells.items() if cell.looked.open]

    def sold(self) -> float:
        """Net of the best plan on what is known, as the truth then lets it turn out."""
        known, _ = self.known()
        nets = self.market.nets(known)
        chosen = self.market.choose(nets, known.opened)
        problem = self.market.problem(known.opened)
        value = problem.value([0.0] * len(nets), chosen)
        for index in chosen:
            offer = self.market.offers[index]
            value += self.market.net(offer, self._brought(offer, known))
        return value - self.market.labour(self.minutes)

    def _brought(self, offer: Offer, known: Known) -> float:
        left = 1 - self.market.missing(offer, known)
        for hangs, keys in offer.hangs:
            expected = self.market.loss(hangs, keys, known, offer.returns)
            left_open = [key for key in keys if known.facts[key] is Fact.OPEN]
            if not left_open:
                left *= 1 - expected
                continue
            share = TABLES.parts[hangs.part].spoiled_share
            likely = known.chance_any_bad(keys) * ((1 - share) * hangs.impaired + share * hangs.spoiled)
            doubt = hangs.doubt * hangs.impaired * len(left_open) / len(keys)
            if likely > doubt + likely * offer.returns:
                left *= 1 - expected
                continue
            states = {self.world.truth[key] for key in left_open}
            turned = hangs.spoiled if State.SPOILED in states else hangs.impaired if State.IMPAIRED in states else 0.0
            facts = {known.facts[key] for key in keys}
            certain = hangs.spoiled if Fact.SPOILED in facts else hangs.impaired if Fact.IMPAIRED in facts else 0.0
            left *= (1 - certain) * (1 - min(1.0, doubt + turned * offer.returns))
        return left


def ours(trial: Trial, minute: float, draws: int) -> None:
    for _ in range(40):
        known, believed = trial.known()
        looks = candidates(believed, trial.bench, known, TABLES)  # type: ignore[arg-type]
        drawn = Draws(trial.market, known, draws)
        weigh_by_worth(looks, trial.market, drawn.outlook)
        weigh_bundles(looks, drawn, trial.bench, minute)
        best = next(((look, net) for look, net in ranked(looks, minute) if net > 0), None)
        if best is None:
            return
        trial.look([(best[0].row.name, place) for place in best[0].places])


def in_order(trial: Trial, order: list[list[Key]], budget: float) -> None:
    for keys in order:
        if trial.minutes + trial.cost(keys) <= budget + 1e-9:
            trial.look(keys)


def front_first(keys: list[Key], of: Engine, bench: Bench) -> list[list[Key]]:
    def station(key: Key) -> tuple[float, float]:
        place = key[1]
        at = 0.0
        if place.cylinder is not None:
            at = of.station_of(place.cylinder)
        elif place.journal is not None:
            at = place.journal - 0.5
        return sum(bench.stage_minutes(bench.opening([key[0]]))), at

    return [[key] for key in sorted(keys, key=station)]


def prices_like(prices: Prices, rng: random.Random) -> Prices:
    """Prices of another invented shop: each up or down by up to a third."""
    lots = {}
    for name, price in prices.lots.items():
        factor = rng.uniform(0.7, 1.35)
        lots[name] = replace(price, low=price.low * factor, high=price.high * factor)
    return replace(prices, lots=lots)


def layouts() -> list[Engine]:
    return [
        engine(layout="inline", cylinders=4),
        engine(layout="inline", cylinders=6),
        engine(layout="vee", cylinders=8),
    ]


def run(engines: int, seed: int, draws: int) -> dict[str, list[tuple[float, float]]]:
    rng = random.Random(seed)
    base = load_prices(Path(str(folder("demo_audio"))) / "prices.toml", TABLES.lots)
    out: dict[str, list[tuple[float, float]]] = {}
    done = 0
    while done < engines:
        of = layouts()[done // 25 % 3]
        blank = cover((), of, TABLES).cells
        market = Market(blank, of, TABLES, prices_like(base, rng))
        chances = Chances(blank, of, TABLES)
        for _ in range(min(25, engines - done)):
            done += 1
            one(of, blank, market, chances, rng, draws, out)
        if done % 100 == 0:
            print(f"  {done} engines", flush=True)
    return out


def one(
    of: Engine, blank: tuple[CoverageCell, ...], market: Market, chances: Chances, rng: random.Random, draws: int,
    out: dict[str, list[tuple[float, float]]],
) -> None:  # fmt: skip
    """One engine under every order; what lies open on the outside is seen in all of them, at no cost."""
    world = World(of, blank, rng)
    start = {
        (c.part, c.place): world.seen(c)
        if TABLES.parts[c.part].stage == "outside" and not TABLES.parts[c.part].one_by_one and c.part != "block"
        else c
        for c in blank
    }
    minute = market.labour(1.0)

    def trial() -> Trial:
        return Trial(world, start, market, chances)

    first = trial()
    ours(first, minute, draws)
    budget = first.minutes
    keys = first_keys = trial().open_keys()
    members = [[key] for key in rng.sample(keys, len(keys))]
    parts = sorted({part for part, _ in first_keys})
    groups = [[key for key in keys if key[0] == part] for part in rng.sample(parts, len(parts))]
    orders = {"random": members, "random part": groups, "front first": front_first(keys, of, first.bench)}
    found = {"ours": first}
    for name, order in orders.items():
        found[name] = trial()
        in_order(found[name], order, budget)
    found["none"], found["all"] = trial(), trial()
    found["all"].look(keys)
    for name, item in found.items():
        out.setdefault(name, []).append((item.sold(), item.minutes))


def report(out: dict[str, list[tuple[float, float]]]) -> str:
    ours_ = np.array([value for value, _ in out["ours"]])
    lines = [f"{'order':12}  {'net value':>10}  {'+-':>5}  {'minutes':>8}  {'ours better by':>15}  {'+-':>5}"]
    for name, rows in out.items():
        values, minutes = np.array([v for v, _ in rows]), np.array([m for _, m in rows])
        gap = ours_ - values
        error = 1.96 / np.sqrt(len(rows))
        lines.append(
            f"{name:12}  {values.mean():10.1f}  {error * values.std():5.1f}  {minutes.mean():8.1f}  "
            f"{gap.mean():15.1f}  {error * gap.std():5.1f}"
        )
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--engines", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--draws", type=int, default=48, help="draws a look is weighed with")
    given = parser.parse_args()
    start = time.perf_counter()
    out = run(given.engines, given.seed, given.draws)
    print(report(out))
    print(f"{given.engines} engines, {time.perf_counter() - start:.0f} s; invented prices; 95 percent intervals.")


if __name__ == "__main__":
    main()
