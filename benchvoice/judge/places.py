"""Which parts this engine has, and which of them a spoken place means."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from benchvoice.domain.engine import Engine, Fuel, ValveGear
from benchvoice.domain.findings import Place
from benchvoice.lexicon.judging_types import PartRow


@dataclass(frozen=True, slots=True)
class Member:
    """One part at one place."""

    part: str
    place: Place


def fits(row: PartRow, engine: Engine) -> bool:
    """False for a part that this kind of engine doesn't have."""
    if row.only in ("petrol", "diesel"):
        return engine.fuel is Fuel(row.only)
    if row.only == "overhead":
        return engine.valve_gear is not ValveGear.PUSHROD
    return not row.only or engine.valve_gear is ValveGear(row.only)


def asked(rows: Collection[PartRow], engine: Engine, mentioned: Collection[str]) -> list[PartRow]:
    """The parts that a buyer of this engine would ask about; some only when the record names them."""
    out = []
    for row in rows:
        if row.per == "none" or not (fits(row, engine) or row.name in mentioned):
            continue
        if row.name not in mentioned and (row.if_mentioned or any(other in mentioned for other in row.instead_of)):
            continue
        out.append(row)
    return out


def places(row: PartRow, engine: Engine) -> tuple[Place, ...]:
    """Every place of the part, in order."""
    if row.per == "cylinder":
        return tuple(Place(cylinder=c) for c in engine.cylinder_numbers)
    if row.per == "journal":
        return tuple(Place(journal=j) for j in engine.journal_numbers)
    if row.per == "valve":
        return tuple(Place(cylinder=c, valve=v) for c in engine.cylinder_numbers for v in ("intake", "exhaust"))
    banks = tuple(Place(bank=bank) for bank in engine.banks) or (Place(),)
    if row.per == "bank":
        return banks
    if row.per == "cam" and engine.valve_gear is ValveGear.SOHC:
        return banks
    if row.per == "cam" and engine.valve_gear is ValveGear.DOHC:
        return tuple(replace(bank, valve=valve) for bank in banks for valve in ("intake", "exhaust"))
    return (Place(),)


def meant(row: PartRow, place: Place, engine: Engine) -> tuple[Place, ...]:
    """The places of the part that a finding at `place` may mean: one if it is named exactly, several for a group, none
    for a place that the engine lacks.
    """
    if not engine.has(cylinder=place.cylinder, journal=place.journal):
        return ()
    if place.bank is not None and not engine.banks:
        place = replace(place, bank=None)
    return tuple(here for here in places(row, engine) if _may_be(here, place, row, engine))


def _may_be(here: Place, place: Place, row: PartRow, engine: Engine) -> bool:
    if here.journal is not None:
        return _journal_may_be(here.journal, place, engine)
    if here.cylinder is not None:
        return _cylinder_may_be(here, place, engine)
    bank = engine.bank_of(place.cylinder) if here.bank is not None and place.cylinder is not None else place.bank
    if here.bank is not None and bank is not None and here.bank != bank:
        return False
    return here.valve is None or place.valve is None or here.valve == place.valve


def _journal_may_be(journal: int, place: Place, engine: Engine) -> bool:
    if place.journal is not None:
        return place.journal == journal
    if place.end is not None:
        return journal == (1 if place.end == "front" else engine.main_count)
    return True


def _cylinder_may_be(here: Place, place: Place, engine: Engine) -> bool:
    assert here.cylinder is not None
    if here.valve is not None and place.valve is not None and here.valve != place.valve:
        return False
    if place.cylinder is not None:
        return place.cylinder == here.cylinder
    if place.bank is not None and engine.bank_of(here.cylinder) != place.bank:
        return False
    if place.end is not None:
        return engine.station_of(here.cylinder) == (1 if place.end == "front" else engine.rows)
    return True


def numbers(found: Collection[Place]) -> str:
    """Places in words: "3 and 8", "2 intake", "1 to 4 (intake and exhaust)", "left", "" for a part without a place."""
    valves = [place for place in found if place.cylinder is not None and place.valve is not None]
    both = {c for c in {p.cylinder for p in valves} if sum(1 for p in valves if p.cylinder == c) == 2}
    texts = _runs(sorted(place.cylinder for place in found if place.cylinder is not None and place.valve is None))
    texts += _runs(sorted(place.journal for place in found if place.journal is not None))
    texts += [_one(place) for place in valves if place.cylinder not in both]
    texts += [_one(place) for place in found if place.cylinder is None and place.journal is None and _one(place)]
    if both:
        texts.append(_joined(_runs(sorted(c for c in both if c is not None))) + " (intake and exhaust)")
    return _joined(texts)


def _one(place: Place) -> str:
    return " ".join(str(value) for value in (place.cylinder, place.bank, place.valve, place.end) if value is not None)


def _runs(values: list[int]) -> list[str]:
    """Three or more in a row as "4 to 7"."""
    out: list[str] = []
    start = 0
    for index in range(len(values)):
        if index + 1 < len(values) and values[index + 1] == values[index] + 1:
            continue
        run = values[start : index + 1]
        out += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(value) for value in run]
        start = index + 1
    return out


def _joined(texts: list[str]) -> str:
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}" if texts else ""
