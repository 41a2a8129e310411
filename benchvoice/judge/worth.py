"""Worth: the best set of lots, what would have to change for another, and what a bad surprise would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from benchvoice.domain.coverage import CoverageCell
from benchvoice.domain.engine import Engine
from benchvoice.domain.judgement import BreakEven, ClaimValue, Lot, Overruling, Plan, Surprise, Worth
from benchvoice.judge.market import Fact, Key, Known, Market, Offer, Outlook
from benchvoice.judge.packing import best_set
from benchvoice.judge.places import numbers


def worth(market: Market, known: Known, engine: Engine, overruled: Mapping[str, Overruling]) -> Worth:
    """The plan and its what-ifs. Lots that the person ruled out or in are kept out or forced in."""
    outlook = Outlook(market, known)
    must, never = _ruled(market.offers, overruled)
    blocked = [i for i, offer in enumerate(market.offers) if market.factor(offer, known) <= 0]
    problem = market.problem(known.opened)
    chosen = best_set(problem, outlook.nets, must=must, never=[*never, *blocked])
    plan = _plan(market, known, outlook, chosen, engine)
    return Worth(
        currency=market.prices.currency,
        note=market.prices.note,
        lots=tuple(_lot(market, known, offer, overruled) for offer in market.offers),
        plan=plan,
        break_even=_break_evens(market, known, outlook, must, [*never, *blocked]),
        surprises=_surprises(market, known, outlook, chosen),
        by_claims=_by_claims(market, known, plan.purchase),
    )


def _ruled(offers: Sequence[Offer], overruled: Mapping[str, Overruling]) -> tuple[list[int], list[int]]:
    def rulings(verdict: str) -> list[int]:
        return [i for i, o in enumerate(offers) if (r := overruled.get(f"lot:{o.id}")) and r.verdict == verdict]

    return rulings("in"), rulings("out")


def _lot(market: Market, known: Known, offer: Offer, overruled: Mapping[str, Overruling]) -> Lot:
    factor = market.factor(offer, known)
    return Lot(
        id=offer.id,
        name=offer.name,
        takes=tuple(CoverageCell(part=part, place=place).key for part, place in offer.takes),
        price_low=offer.price.low,
        price_high=offer.price.high,
        minutes=offer.price.minutes,
        chance=offer.price.chance,
        days=offer.price.days,
        factor=factor,
        net=market.net(offer, factor),
        possible=factor > 0,
        why=_why(market, known, offer),
        place=offer.place,
        overruled=overruled.get(f"lot:{offer.id}"),
    )


def _why(market: Market, known: Known, offer: Offer) -> tuple[str, ...]:
    """What takes from the price, the heaviest first, in words."""
    words = market.tables.wording.lots
    out: list[tuple[float, str]] = []
    if (missing := market.missing(offer, known)) > 0:
        out.append((missing, words["missing"]))
    for hangs, keys in offer.hangs:
        loss = market.loss(hangs, keys, known, offer.returns)
        if loss >= 0.005:
            out.append((loss, ", ".join(_troubles(market, known, hangs.part, keys))))
    ordered = sorted(out, key=lambda item: -item[0])
    return tuple(words["off"].format(what=what, percent=f"{100 * loss:.0f}") for loss, what in ordered)


def _troubles(market: Market, known: Known, part: str, keys: Sequence[Key]) -> list[str]:
    words, row = market.tables.wording.lots, market.tables.parts[part]
    bad = [key[1] for key in keys if known.facts[key] in (Fact.IMPAIRED, Fact.SPOILED)]
    unseen = sum(1 for key in keys if known.facts[key] is Fact.OPEN)
    out = []
    if bad:
        parts = f"{row.plural if len(bad) > 1 else row.say} {numbers(bad)}".strip()
        out.append(words["known_bad"].format(parts=parts))
    if unseen and len(keys) > 1:
        out.append(words["unopened"].format(count=unseen, total=len(keys), parts=row.plural))
    elif unseen:
        out.append(words["unopened_one"].format(part=row.say))
    return out


def _plan(market: Market, known: Known, outlook: Outlook, chosen: Sequence[int], engine: Engine) -> Plan:
    offers = [market.offers[i] for i in chosen]
    purchase = float(engine.cost or 0)
    problem = market.problem(known.opened)
    strip = -problem.value([0.0] * len(market.offers), chosen)
    labour = strip + sum(market.labour(offer.price.minutes) for offer in offers)

    def net(price: str) -> float:
        asked = [market.net(o, market.factor(o, known), getattr(o.price, price)) for o in offers]
        return sum(asked) - strip - purchase

    total = problem.value(outlook.nets, chosen)
    return Plan(
        lots=tuple(offer.id for offer in offers),
        income=total + labour,
        labour=labour,
        purchase=purchase,
        net=total - purchase,
        low=net("low"),
        high=net("high"),
    )


def _break_evens(
    market: Market, known: Known, outlook: Outlook, must: Sequence[int], never: Sequence[int]
) -> tuple[BreakEven, ...]:
    """For every lot: the price from which on it belongs into the plan.

    The best plan without it, less the best plan that gives it away for nothing, is what it must bring after labour.
    """
    problem = market.problem(known.opened)
    out = []
    for index, offer in enumerate(market.offers):
        factor = market.factor(offer, known) * offer.price.chance
        if factor <= 0 or index in must or index in never:
            continue
        without = market.choose(outlook.nets, known.opened, must, [*never, index])
        free = outlook.nets.copy()
        free[index] = 0.0
        given = market.choose(free, known.opened, [*must, index], never)
        needed = problem.value(outlook.nets, without) - problem.value(free, given)
        price = (needed + market.labour(offer.price.minutes)) / factor
        instead = [market.offers[i] for i in without if i not in given]
        out.append(
            BreakEven(
                lot=offer.id,
                price=price,
                sentence=_break_even_sentence(market, offer, price, instead),
                instead=tuple(other.id for other in instead),
            )
        )
    return tuple(out)


def _break_even_sentence(market: Market, offer: Offer, price: float, instead: Sequence[Offer]) -> str:
    words, range_ = market.tables.wording.lots, offer.price
    kind = "far_above" if price > 3 * range_.high else "above" if price > range_.high else "within"
    if price < range_.low:
        kind = "below"
    return words[kind].format(
        lot=offer.name,
        price=f"{price:.0f}",
        currency=market.prices.currency,
        low=f"{range_.low:.0f}",
        high=f"{range_.high:.0f}",
        instead=", ".join(other.name for other in instead) or words["nothing"],
    )


def _surprises(market: Market, known: Known, outlook: Outlook, chosen: Sequence[int]) -> tuple[Surprise, ...]:
    """For each part with members that nobody opened: what a bad one would do to the plan, the worst first."""
    by_part: dict[str, list[Key]] = {}
    for key, fact in known.facts.items():
        if fact is Fact.OPEN and key[0] in market.hanging:
            by_part.setdefault(key[0], []).append(key)
    found = [_surprise(market, known, outlook, chosen, part, keys) for part, keys in by_part.items()]
    return tuple(sorted((s for s in found if s.change_if_kept < -0.5), key=lambda s: s.chance * s.change_if_kept))


def _surprise(
    market: Market, known: Known, outlook: Outlook, chosen: Sequence[int], part: str, keys: list[Key]
) -> Surprise:
    share = market.tables.parts[part].spoiled_share
    worst = max(keys, key=lambda key: known.odds.get(key, 1.0))
    bad = {fact: outlook.nets_if(part, {worst: fact}) for fact in (Fact.IMPAIRED, Fact.SPOILED)}
    mix = (1 - share) * bad[Fact.IMPAIRED] + share * bad[Fact.SPOILED]
    here = list(chosen)
    kept = float(mix[here].sum() - outlook.nets[here].sum())
    both = market.best(np.column_stack([bad[Fact.IMPAIRED], bad[Fact.SPOILED]]), known.opened)
    anew = float((1 - share) * both[0] + share * both[1]) - outlook.value
    likelier = bad[Fact.SPOILED] if share >= 0.5 else bad[Fact.IMPAIRED]
    replanned = market.choose(likelier, known.opened)
    return Surprise(
        part=part,
        places=tuple(place for _, place in keys),
        chance=known.chance_any_bad(keys),
        change_if_kept=kept,
        change_if_replanned=anew,
        drops=tuple(market.offers[i].id for i in chosen if i not in replanned),
        adds=tuple(market.offers[i].id for i in replanned if i not in chosen),
    )


def _by_claims(market: Market, known: Known, purchase: float) -> tuple[ClaimValue, ...]:
    """The best plan when nothing sound is claimed, with what the record supports, and with everything opened and
    sound.
    """
    problem = market.problem(known.opened)

    def value(name: str, here: Known) -> ClaimValue:
        nets = market.nets(here)
        chosen = market.choose(nets, known.opened)
        return ClaimValue(
            name=name,
            net=problem.value(nets, chosen) - purchase,
            lots=tuple(market.offers[i].id for i in chosen),
        )

    silent: dict[Key, Fact] = {key: Fact.OPEN if fact is Fact.SOUND else fact for key, fact in known.facts.items()}
    opened: dict[Key, Fact] = {key: Fact.SOUND if fact is Fact.OPEN else fact for key, fact in known.facts.items()}
    return (
        value("only the faults that were found are stated", replace(known, facts=silent)),
        value("what the record supports now", known),
        value(
            "all that is still closed, opened and found sound (before the labour to open it)",
            replace(known, facts=opened),
        ),
    )
