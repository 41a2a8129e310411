"""Records to report on: the demo's own, random ones, and hostile ones. Everything in them is invented."""

from __future__ import annotations

import json
import random
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from benchvoice.domain.engine import BankOrder, Engine, Layout, NumberedFrom, Numbering, ValveGear
from benchvoice.domain.events import Event, Filed, FindingsAccepted, SittingOpened, SoundKept, UtteranceHeard
from benchvoice.domain.findings import Degree, Finding, Kind, Place
from benchvoice.domain.fold import fold
from benchvoice.domain.readings import Reading
from benchvoice.domain.record import Record
from benchvoice.domain.words import Utterance, Word
from benchvoice.report import Options
from benchvoice.report.language import data

ROOT = Path(__file__).resolve().parents[2]
WHEN = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
FIXED = Options(made_at=WHEN)
VIN = "0VN6PL3418W100114"


def engine(**changes: Any) -> Engine:
    fields: dict[str, Any] = {
        "stock": "QF-114",
        "maker": "Vennbrook",
        "family": "Plover 34",
        "displacement": "3.4 L",
        "layout": Layout.VEE,
        "cylinders": 6,
        "mains": 4,
        "vin": VIN,
        "source": "an invented auction",
        "cost": Decimal("420.00"),
        "currency": "USD",
        "claimed": ("never been apart", "the oil light came on once"),
        "verified": ("the number on the block pad is the one on the papers",),
        "numbering": Numbering(
            numbered_from=NumberedFrom.FRONT, bank_order=BankOrder.ALTERNATE, first_bank="left", confirmed=True
        ),
        "valve_gear": ValveGear.PUSHROD,
    }
    return Engine(**fields | changes)


def finding(raw: dict[str, Any], text: str) -> Finding:
    """A finding from the contract's form."""
    fields: dict[str, Any] = {"kind": Kind(raw["kind"]), "part": raw["part"], "place": Place(**raw["place"])}
    fields |= {key: raw[key] for key in ("condition", "present", "hedged", "quantity", "unit") if key in raw}
    if raw.get("degree"):
        fields["degree"] = Degree(raw["degree"])
    if raw.get("value") is not None:
        fields["value"] = Decimal(str(raw["value"]))
    if raw["kind"] == "event":
        fields |= {key: raw.get(key) for key in ("action", "done_by")}
    return Finding(text=text, **fields)


def utterance(n: int, text: str, *, start: float | None = None, seconds: float = 2.5) -> Utterance:
    words = tuple(Word(text=item) for item in text.split())
    end = None if start is None else start + seconds
    return Utterance(n=n, words=words, t0=start, t1=end, recogniser="text", confidence=0.9)


def record_of(
    spoken: Sequence[tuple[str, Iterable[Finding]]], *, filed: bool = True, timed: bool = True, of: Engine | None = None
) -> Record:
    """A record in which everything that was said is accepted, made by folding events as the program does."""
    stock = (of or engine()).stock
    bodies: list[Any] = [SittingOpened(sitting="s1", source="file", title="bench", recogniser="text")]
    ids: list[str] = []
    for n, (text, found) in enumerate(spoken):
        start = 4.0 * n + 1.0 if timed else None
        heard = utterance(n, text, start=start)
        reading = Reading(utterance=heard, findings=tuple(found), domain=bool(tuple(found)))
        bodies.append(UtteranceHeard(sitting="s1", reading=reading))
        ids += [f"s1.{n}.{k}" for k in range(len(reading.findings))]
    if ids:
        bodies.append(FindingsAccepted(finding_ids=tuple(ids)))
    if timed:
        length = 4.0 * len(spoken) + 4.0
        bodies.insert(1, SoundKept(sitting="s1", path="sound/s1/part-0.flac", start=0.0, seconds=length, rate=16000))
    if filed:
        bodies.append(Filed(revision=1, by="Quillfork Salvage", finding_ids=tuple(ids), sha256="ab" * 32))
    events = [Event(id=k + 1, at=1773478800.0 + k, stock=stock, body=body) for k, body in enumerate(bodies)]
    return fold(events)


@cache
def demo() -> Record:
    """The demo's narration as a filed record."""
    spoken: list[tuple[str, list[Finding]]] = []
    for name in ("orchard-truck-six", "orchard-truck-six-heads"):
        script = json.loads((ROOT / "demo_audio" / "scripts" / f"{name}.jsonl").read_text())
        for item in script["utterances"]:
            if not item.get("withdrawn"):
                spoken.append((item["say"], [finding(raw, item["say"]) for raw in item["findings"]]))
    return record_of(spoken)


def random_finding(dice: random.Random, of: Engine) -> Finding:
    """Any finding that the contract allows on this engine, with the words left out."""
    parts = [part for region in data("parts")["region"] for part in region["parts"]]
    part = dice.choice(parts)
    place = random_place(dice, part, of)
    roll = dice.random()
    if roll < 0.62:
        condition = dice.choice(sorted(set(data("conditions")) - {"coolant_in_oil"}))
        degree = dice.choice([None, None, None, *Degree]) if _scales(condition) else None
        present = dice.random() < 0.75
        if dice.random() < 0.03:
            part, place, condition, degree = "oil", Place(), "coolant_in_oil", None
        return Finding(
            kind=Kind.CONDITION, part=part, place=place, condition=condition, present=present,
            degree=degree if present else None, hedged=dice.random() < 0.2,
        )  # fmt: skip
    if roll < 0.9:
        return random_measurement(dice, of)
    if roll < 0.95:
        action, done_by = dice.choice(_DONE)
        return Finding(kind=Kind.EVENT, part=part, place=place, action=action, done_by=done_by)
    return Finding(kind=Kind.UNSEEN, part=part, place=place)


_DONE = (("cut", "teardown"), ("drilled", "teardown"), ("cleaned", "teardown"), ("damaged_removing", "teardown"),
         ("removed", "teardown"), ("opened", "teardown"))  # fmt: skip


def _scales(condition: str) -> bool:
    return condition not in ("good", "clean", "reusable", "scrap", "missing", "opened_before", "turns_freely", "dry")


_QUANTITIES = (
    ("cylinder_bore", "diameter", "in", (3200, 4200), 3), ("cylinder_bore", "compression", "psi", (90, 190), 0),
    ("cylinder_bore", "leakage", "percent", (3, 60), 0), ("cylinder_bore", "taper", "in", (1, 9), 3),
    ("main_journal", "diameter", "in", (20000, 27000), 4), ("rod_journal", "diameter", "in", (18000, 23000), 4),
    ("top_ring", "end_gap", "in", (10, 40), 3), ("second_ring", "end_gap", "in", (10, 45), 3),
    ("crankshaft", "end_float", "in", (2, 15), 3), ("cylinder_head", "flatness", "in", (1, 12), 3),
    ("cylinder_bore", "diameter", "mm", (70000, 99999), 3), ("rod_bearing", "clearance", "in", (10, 45), 4),
    ("head_bolt", "torque", "ft_lbf", (40, 110), 0), ("timing_chain", "slack", "in", (100, 700), 3),
)  # fmt: skip


def random_measurement(dice: random.Random, of: Engine) -> Finding:
    part, quantity, unit, (low, high), places = dice.choice(_QUANTITIES)
    value = Decimal(dice.randint(low, high)).scaleb(-places)
    place = random_place(dice, part, of, level=quantity == "diameter")
    return Finding(
        kind=Kind.MEASUREMENT, part=part, place=place, quantity=quantity, value=value, unit=unit,
        hedged=dice.random() < 0.1, resolution=Decimal(1).scaleb(-places),
    )  # fmt: skip


def random_place(dice: random.Random, part: str, of: Engine, *, level: bool = False) -> Place:
    keys: dict[str, Any] = {}
    tables = data("parts")
    if part in tables["cylinder"]:
        keys["cylinder"] = dice.choice(of.cylinder_numbers)
    elif part in tables["journal"]:
        keys["journal"] = dice.choice(of.journal_numbers)
    elif part in ("cylinder_head", "valve_cover", "exhaust_manifold") and of.banks:
        keys["bank"] = dice.choice(of.banks)
    elif part in ("intake_manifold", "oil_pan", "crankshaft", "camshaft") and dice.random() < 0.3:
        keys["end"] = dice.choice(["front", "rear"])
    if part in ("valve", "rocker_arm", "valve_seat", "cam_lobe", "valve_spring"):
        keys["valve"] = dice.choice(["intake", "exhaust"])
    if part in ("main_bearing", "rod_bearing") and dice.random() < 0.3:
        keys["shell"] = dice.choice(["upper", "lower"])
    if part in ("piston_skirt",) and dice.random() < 0.5:
        keys["side"] = dice.choice(["thrust", "minor"])
    if part == "cylinder_bore" and (level or dice.random() < 0.2):
        keys["level"] = dice.choice(["top", "middle", "bottom"])
    return Place(**keys)


def random_record(seed: int) -> tuple[Record, Engine]:
    """A record of some dozens of findings on one of several engines."""
    dice = random.Random(seed)
    shapes = [(Layout.INLINE, 4), (Layout.INLINE, 6), (Layout.VEE, 6), (Layout.VEE, 8), (Layout.FLAT, 4)]
    layout, cylinders = dice.choice(shapes)
    of = engine(layout=layout, cylinders=cylinders, mains=None, stock=f"R-{seed}")
    claims: dict[tuple[object, ...], Finding] = {}
    for _ in range(dice.randint(1, 40)):
        item = random_finding(dice, of)
        claims.setdefault((item.part, item.place, item.condition, item.quantity, item.kind), item)
    spoken = [("", [item]) for item in claims.values()]
    return record_of(spoken, of=of), of
