"""What to look at next: the expected change in the best plan's value by knowing, against the minutes that it costs.

Value of information, one round ahead: for a part that nobody opened, the plan is made for "found bad" and for "found
sound", weighed by their chances, and compared with the plan as it stands. Parts that only pay together are weighed as
a bundle, and each gets its share of the bundle's gain and of the opening work (the oil pan). What a look would say
about other parts is not counted in its gain; it enters the chances as soon as the find is on record.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from benchvoice.domain.coverage import CoverageCell
from benchvoice.domain.findings import Place
from benchvoice.domain.judgement import Cause, NextLook, Overruling, Reason
from benchvoice.judge.beliefs import Belief
from benchvoice.judge.bundles import Bundle, Draws
from benchvoice.judge.deciding import Deciding
from benchvoice.judge.market import Fact, Key, Known, Market, Outlook
from benchvoice.judge.places import numbers
from benchvoice.lexicon.judging import JudgingTables
from benchvoice.lexicon.judging_types import PartRow

SUSPECTS = 3
"""How many members of one part are weighed by themselves, the likeliest ones."""

POINT_MINUTES = 10.0
"""Without prices a look is weighed in points of importance, and ten minutes cost one (common practice, no source)."""


@dataclass(slots=True)
class Candidate:
    """A look at one or several members of one part."""

    row: PartRow
    places: tuple[Place, ...]
    own_minutes: float
    opening: float = 0.0
    chance: float = 0.0
    gain: float = 0.0
    cause_gain: float = 0.0
    decides: tuple[str, ...] = ()
    reasons: list[Reason] = field(default_factory=list)
    opens: tuple[str, ...] = ()
    last: bool = False
    among: int = 1
    """How many of the part the engine has."""
    together: tuple[str, ...] = ()
    """The bundle that it is weighed in."""

    @property
    def minutes(self) -> float:
        return self.own_minutes + self.opening

    @property
    def key(self) -> str:
        if len(self.places) > 1:
            return f"next:{self.row.name}:all"
        return "next:" + CoverageCell(part=self.row.name, place=self.places[0]).key


class Bench:
    """Which stages of the teardown are open, and what the closed ones cost."""

    def __init__(self, cells: Iterable[CoverageCell], tables: JudgingTables) -> None:
        self.tables = tables
        self.open: set[str] = set()
        self.opened: set[Key] = set()
        for cell in cells:
            if cell.looked.backs_a_claim or (cell.evidence and cell.conditions):
                self.add(cell.part, cell.place)

    def add(self, part: str, place: Place) -> None:
        """A part was looked at: its stage is open, and all that comes before it."""
        self.opened.add((part, place))
        self.open.update(self.tables.before(self.tables.parts[part].stage))

    def closed(self, stage: str) -> list[str]:
        """The stages that must still be opened to reach this one, in order."""
        return [
            name for name in self.tables.before(stage) if name not in self.open and self.tables.stages[name].minutes > 0
        ]

    def opening(self, parts: Iterable[str]) -> frozenset[str]:
        """The stages that a look at these parts opens."""
        return frozenset(stage for part in parts for stage in self.closed(self.stage_of(part)))

    def stage_of(self, part: str) -> str:
        return self.tables.parts[part].stage

    def stage_minutes(self, stages: Iterable[str]) -> list[float]:
        return [self.tables.stages[stage].minutes for stage in stages]

    def minutes_of(self, parts: Iterable[str], keys: Mapping[str, Sequence[Key]]) -> float:
        """Minutes to look at every open member of these parts, shared opening work counted once."""
        named = sorted(parts)
        own = 0.0
        for part in named:
            row = self.tables.parts[part]
            with_mate = row.opened_with in named
            places = [place for _, place in keys[part]]
            own += len(places) * row.minutes if with_mate else self.own_minutes(row, places)
        return own + sum(self.stage_minutes(self.opening(named)))

    def own_minutes(self, row: PartRow, places: Sequence[Place]) -> float:
        mate = self.tables.parts.get(row.opened_with)
        out = 0.0
        for place in places:
            out += row.minutes
            if mate is not None and (mate.name, place) not in self.opened:
                out += mate.minutes
        return out


def candidates(beliefs: Mapping[Key, Belief], bench: Bench, known: Known, tables: JudgingTables) -> list[Candidate]:
    """The looks worth weighing: the likeliest member of each part, a few others that something points at, and all that
    are left together.
    """
    by_part: dict[str, list[tuple[Place, Belief]]] = {}
    for (part, place), belief in beliefs.items():
        by_part.setdefault(part, []).append((place, belief))
    out = []
    for part, members in by_part.items():
        row = tables.parts[part]
        ordered = sorted(members, key=lambda item: -item[1].chance)
        plainest = ordered[-1][1].chance
        for rank, (place, belief) in enumerate(ordered[:SUSPECTS]):
            if rank == 0 or belief.chance > plainest + 1e-9:
                look = Candidate(row, (place,), bench.own_minutes(row, (place,)), chance=belief.chance)
                look.reasons = list(belief.reasons)
                look.last = len(ordered) == 1
                out.append(look)
        if len(ordered) > 1:
            places = tuple(place for place, _ in members)
            every = Candidate(row, places, bench.own_minutes(row, places))
            every.chance = known.chance_any_bad([(part, place) for place in places])
            every.reasons = _shared_reasons(members)
            every.last = True
            out.append(every)
    for look in out:
        look.opens = tuple(bench.closed(look.row.stage))
        look.among = sum(1 for part, _ in known.facts if part == look.row.name)
    return out


def _shared_reasons(members: Sequence[tuple[Place, Belief]]) -> list[Reason]:
    found: dict[tuple[str, float], Reason] = {}
    for _, belief in members:
        for reason in belief.reasons:
            found.setdefault((reason.text, reason.odds), reason)
    return sorted(found.values(), key=lambda reason: -abs(math.log(reason.odds)))[:3]


def weigh_by_worth(looks: Iterable[Candidate], market: Market, outlook: Outlook) -> None:
    """Sets each look's gain: the expected value of the best plan after it, less the value now."""
    for look in looks:
        if look.row.name in market.hanging:
            look.gain = _gain(look, outlook)


def _gain(look: Candidate, outlook: Outlook) -> float:
    part, share = look.row.name, look.row.spoiled_share
    keys = [(part, place) for place in look.places]
    opened = outlook.known.opened | set(look.opens)
    sound = outlook.value_if(part, dict.fromkeys(keys, Fact.SOUND), opened)
    worst = max(keys, key=lambda key: outlook.known.odds.get(key, 1.0))
    bad = 0.0
    for fact, weight in ((Fact.IMPAIRED, 1 - share), (Fact.SPOILED, share)):
        if weight:
            bad += weight * outlook.value_if(part, {**dict.fromkeys(keys, Fact.SOUND), worst: fact}, opened)
    return (1 - look.chance) * sound + look.chance * bad - outlook.value


def weigh_by_importance(
    looks: Sequence[Candidate], cells: Sequence[CoverageCell], tables: JudgingTables, minute: float
) -> None:
    """Without prices: importance times the chance of a bad find, and half of it for what could then be claimed."""
    counts: dict[str, int] = {}
    for cell in cells:
        counts[cell.part] = counts.get(cell.part, 0) + 1
    for look in looks:
        share = len(look.places) / counts[look.row.name]
        look.gain = look.row.importance * (look.chance + 0.5 * share)
    _spread_opening(looks, tables, minute)


def _spread_opening(looks: Sequence[Candidate], tables: JudgingTables, minute: float) -> None:
    """Spreads the minutes of each closed stage over the looks behind it that would pay by themselves, by their gain.

    A stage that not even all of them together would pay for weighs on each look in full. minute: cost of a minute.
    """
    best: dict[str, Candidate] = {}
    for look in looks:
        spare = _spare(look, minute)
        if spare > 0 and (look.row.name not in best or spare > _spare(best[look.row.name], minute)):
            best[look.row.name] = look
    for look in looks:
        full = sum(tables.stages[stage].minutes for stage in look.opens)
        behind = sum(_spare(other, minute) for other in best.values() if set(look.opens) <= set(other.opens))
        mine = _spare(look, minute)
        look.opening = full
        if full and mine > 0 and behind > full * minute:
            look.opening = full * min(1.0, mine / behind)


def _spare(look: Candidate, minute: float) -> float:
    return look.gain + look.cause_gain - look.own_minutes * minute


def weigh_causes(looks: Iterable[Candidate], deciding: Deciding, worth_of_knowing: float) -> None:
    """Adds what a look would do for naming the likely cause."""
    for look in looks:
        gain, look.decides = deciding.by_part(look.row.name)
        look.cause_gain = gain * worth_of_knowing


def weigh_bundles(looks: Sequence[Candidate], draws: Draws, bench: Bench, minute: float) -> None:
    """Gives every look its share of the best bundle that it belongs to, where that beats what it does by itself.

    A look that belongs to none bears the opening work in full.
    """
    for look in looks:
        look.opening = sum(bench.tables.stages[stage].minutes for stage in look.opens)
    taken: set[str] = set()
    for bundle in _best_bundles(draws, bench, minute):
        closed = {part for part in bundle.parts if bench.closed(bench.stage_of(part))}
        behind = sum(share for part, share in zip(bundle.parts, bundle.shares, strict=True) if part in closed)
        for part, share in zip(bundle.parts, bundle.shares, strict=True):
            if part not in taken:
                taken.add(part)
                opening = bundle.opening * share / behind if part in closed else 0.0
                _share_out([look for look in looks if look.row.name == part], bundle, share, opening, draws)


def _share_out(looks: Sequence[Candidate], bundle: Bundle, share: float, opening: float, draws: Draws) -> None:
    """One part's share of a bundle, over the looks at all of it or at one member of it."""
    keys = draws.keys[looks[0].row.name]
    odds = {key: draws.known.odds.get(key, 1.0) for key in keys}
    for look in looks:
        members = [(look.row.name, place) for place in look.places]
        part = sum(odds[key] for key in members) / sum(odds.values())
        gain = bundle.gain * share * part
        if gain > look.gain:
            look.gain, look.opening, look.together = gain, opening * part, bundle.parts


def _best_bundles(draws: Draws, bench: Bench, minute: float) -> list[Bundle]:
    """Bundles that pay, the best first: for each lot what its price hangs on, stage by stage, without what doesn't
    pay its own minutes.
    """
    tried: dict[frozenset[str], float] = {}
    for offer in draws.market.offers:
        parts = [hangs.part for hangs, _ in offer.hangs if hangs.part in draws.keys]
        cost = {part: sum(bench.stage_minutes(bench.closed(bench.stage_of(part)))) for part in parts}
        for most in sorted(set(cost.values())):
            reach = frozenset(part for part in parts if cost[part] <= most)
            if len(reach) > 1 and reach not in tried:
                tried[reach] = _net(reach, draws, bench, minute)
    out = []
    for reach in sorted(tried, key=lambda parts: -tried[parts])[:4]:
        kept = _pruned(reach, draws, bench, minute)
        net = _net(kept, draws, bench, minute)
        if len(kept) > 1 and net > 0:
            stages = bench.opening(kept)
            out.append((net, draws.weigh(sorted(kept), sum(bench.stage_minutes(stages)), stages)))
    return [bundle for _, bundle in sorted(out, key=lambda item: -item[0])]


def _net(parts: frozenset[str], draws: Draws, bench: Bench, minute: float) -> float:
    return draws.gain(parts, bench.opening(parts)) - bench.minutes_of(parts, draws.keys) * minute


def _pruned(parts: frozenset[str], draws: Draws, bench: Bench, minute: float) -> frozenset[str]:
    """Without the parts whose look costs more than it adds, the worst taken out first."""
    best = _net(parts, draws, bench, minute)
    while len(parts) > 1:
        value, drop = max((_net(parts - {part}, draws, bench, minute), part) for part in sorted(parts))
        if value <= best:
            break
        best, parts = value, parts - {drop}
    return parts


def ranked(looks: Iterable[Candidate], minute: float) -> list[tuple[Candidate, float]]:
    """Looks that pay first, by net gain a minute; then the others by what they lose. One look a part and member set."""
    valued = [(look, look.gain + look.cause_gain - look.minutes * minute) for look in looks]
    paying = sorted(
        ((look, net) for look, net in valued if net > 0), key=lambda item: -item[1] / max(0.5, item[0].minutes)
    )
    losing = sorted(((look, net) for look, net in valued if net <= 0), key=lambda item: -item[1])
    out: list[tuple[Candidate, float]] = []
    covered: dict[str, set[Place]] = {}
    for look, net in [*paying, *losing]:
        done = covered.setdefault(look.row.name, set())
        if not set(look.places) <= done:
            done.update(look.places)
            out.append((look, net))
    return out


def next_looks(
    order: Sequence[tuple[Candidate, float]],
    tables: JudgingTables,
    causes: Sequence[Cause],
    overruled: Mapping[str, Overruling],
) -> tuple[NextLook, ...]:
    """The ranking with its reasons. What the person put first or wants to skip is moved, and says so."""
    names = {cause.id: cause.name for cause in causes}
    looks = [_next_look(look, net, tables, names, overruled) for look, net in order]

    def moved(look: NextLook) -> int:
        verdict = look.overruled.verdict if look.overruled else ""
        return {"first": -1, "skip": 1}.get(verdict, 0)

    return tuple(sorted(looks, key=moved))


def _next_look(
    look: Candidate, net: float, tables: JudgingTables, names: Mapping[str, str], overruled: Mapping[str, Overruling]
) -> NextLook:
    reasons = list(look.reasons)
    if look.last and (len(look.places) > 1 or not reasons):
        all_ = f"all {look.row.plural}" if look.among > 1 else f"the {look.row.say}"
        text = f"then {all_} may be spoken of to a buyer"
        reasons.append(Reason(text=text, source="common practice, no source", odds=1.0))
    if look.together:
        rows = [tables.parts[part] for part in look.together if part != look.row.name]
        others = ", ".join(row.say if row.per == "engine" else row.plural for row in rows)
        reasons.append(Reason(text=f"pays together with a look at {others}", source="the prices given", odds=1.0))
    return NextLook(
        key=look.key,
        part=look.row.name,
        places=look.places,
        minutes=look.minutes,
        chance_bad=look.chance,
        gain=look.gain + look.cause_gain,
        net=net,
        opens=tuple(f"{tables.stages[stage].name} ({tables.stages[stage].minutes:g} min)" for stage in look.opens),
        reasons=tuple(reasons),
        decides=tuple(names.get(cause, cause) for cause in look.decides),
        importance=look.row.importance,
        overruled=overruled.get(look.key),
    )


def described(look: NextLook, tables: JudgingTables) -> str:
    """ "rod bearings 3 and 8"."""
    row = tables.parts[look.part]
    many = len(look.places) > 1
    return f"{row.plural if many else row.say} {numbers(look.places)}".strip()
