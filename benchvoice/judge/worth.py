"""Worth: the best set of lots, what would have to change for another, and what a bad surprise would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from benchvoice.domain.coverage import CoverageCell
from benchvoice.domain.engine import Engine
from benchvoice.domain.judgement import BreakEven, ClaimValue, Lot, Overruling, Plan, Surprise, Worth
from benchvoice.judge.market import Fact, Key, Known, Market, Offer, Outlook
from benchvoice.judge.packing import best_set, conflicts
from benchvoice.judge.places import numbers


def worth(market: Market, known: Known, engine: Engine, overruled: Mapping[str, Overruling]) -> Worth:
    """The plan and its what-ifs. Lots that the person ruled out or in are kept out or forced in."""
    outlook = Outlook(market, known)
    must, never = _ruled(market.offers, overruled)
    blocked = [i for i, offer in enumerate(market.offers) if market.factor(offer, known) <= 0]
    chosen = best_set(outlook.nets, market.takes, must=must, never=[*never, *blocked])
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
    out: list[tuple[float, str]] = []
    if (missing := market.missing(offer, known)) > 0:
        out.append((missing, f"parts missing: {100 * missing:.0f} percent off"))
    for hangs, keys in offer.hangs:
        loss = market.loss(hangs, keys, known)
        if loss < 0.005:
            continue
        row = market.tables.parts[hangs.part]
        bad = [place for part, place in keys if known.facts[(part, place)] in (Fact.IMPAIRED, Fact.SPOILED)]
        unseen = sum(1 for key in keys if known.facts[key] is Fact.OPEN)
        parts = [f"{row.plural if len(bad) > 1 else row.say} {numbers(bad)}".strip() + " bad"] if bad else []
        if unseen:
            parts.append(
                f"{unseen} of {len(keys)} {row.plural} not opened" if len(keys) > 1 else f"{row.say} not opened"
            )
        out.append((loss, f"{', '.join(parts)}: {100 * loss:.0f} percent off"))
    return tuple(text for _, text in sorted(out, key=lambda item: -item[0]))


def _plan(market: Market, known: Known, outlook: Outlook, chosen: Sequence[int], engine: Engine) -> Plan:
    offers = [market.offers[i] for i in chosen]
    purchase = float(engine.cost or 0)
    labour = sum(market.labour(offer.price.minutes) for offer in offers)

    def net(price: str) -> float:
        return sum(market.net(o, market.factor(o, known), getattr(o.price, price)) for o in offers) - purchase

    total = float(sum(outlook.nets[i] for i in chosen))
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
    """For every lot that another could be sold in place of: the price from which on it belongs into the plan."""
    clash = conflicts(market.takes)
    out = []
    for index, offer in enumerate(market.offers):
        factor = market.factor(offer, known) * offer.price.chance
        if not clash[index] or factor <= 0 or index in must or index in never:
            continue
        without = best_set(outlook.nets, market.takes, must=must, never=[*never, index])
        beside = best_set(outlook.nets, market.takes, must=must, never=[*never, index, *clash[index] - set(must)])
        needed = sum(outlook.nets[list(without)]) - sum(outlook.nets[list(beside)])
        price = (float(needed) + market.labour(offer.price.minutes)) / factor
        instead = [market.offers[i] for i in without if i not in beside]
        out.append(
            BreakEven(
                lot=offer.id,
                price=price,
                sentence=_break_even_sentence(offer, price, instead, market.prices.currency),
                instead=tuple(other.id for other in instead),
            )
        )
    return tuple(out)


def _break_even_sentence(offer: Offer, price: float, instead: Sequence[Offer], currency: str) -> str:
    others = ", ".join(other.name for other in instead) or "nothing of it"
    inside = "above" if price > offer.price.high else "below" if price < offer.price.low else "within"
    return (
        f"The {offer.name} must bring {price:.0f} {currency} or more; otherwise sell {others}. "
        f"That is {inside} your range of {offer.price.low:.0f} to {offer.price.high:.0f}."
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
    worst = max(keys, key=lambda key: known.chances.get(key, 0.0))
    bad = {fact: outlook.nets_if(part, {worst: fact}) for fact in (Fact.IMPAIRED, Fact.SPOILED)}
    mix = (1 - share) * bad[Fact.IMPAIRED] + share * bad[Fact.SPOILED]
    here = list(chosen)
    kept = float(mix[here].sum() - outlook.nets[here].sum())
    anew = (1 - share) * market.best(bad[Fact.IMPAIRED]) + share * market.best(bad[Fact.SPOILED]) - outlook.value
    replanned = best_set(bad[Fact.SPOILED] if share >= 0.5 else bad[Fact.IMPAIRED], market.takes)
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

    def value(name: str, here: Known) -> ClaimValue:
        nets = market.nets(here)
        chosen = best_set(nets, market.takes)
        return ClaimValue(
            name=name,
            net=float(nets[list(chosen)].sum()) - purchase,
            lots=tuple(market.offers[i].id for i in chosen),
        )

    silent: dict[Key, Fact] = {key: Fact.OPEN if fact is Fact.SOUND else fact for key, fact in known.facts.items()}
    rates = {key: market.tables.parts[key[0]].bad_rate for key in known.facts}
    opened: dict[Key, Fact] = {key: Fact.SOUND if fact is Fact.OPEN else fact for key, fact in known.facts.items()}
    return (
        value("only the faults that were found are stated", Known(silent, {**rates, **known.chances})),
        value("what the record supports now", known),
        value("all that is still closed, opened and found sound", replace(known, facts=opened, chances={})),
    )
