"""Invented engines for tests: findings written short, records made from them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from benchvoice.domain.engine import BankOrder, Engine, Fuel, Layout, Numbering, ValveGear
from benchvoice.domain.findings import Degree, Finding, Kind, Place
from benchvoice.domain.readings import Reading
from benchvoice.domain.record import Entry, Record, Said, Status
from benchvoice.domain.words import typed

PLANTED = Path(__file__).parent / "planted"
_WORDS = {
    **{w: ("bank", w) for w in ("left", "right")}, **{w: ("valve", w) for w in ("intake", "exhaust")},
    **{w: ("side", w) for w in ("thrust", "minor")}, **{w: ("shell", w) for w in ("upper", "lower")},
    **{w: ("end", w) for w in ("front", "rear")}, **{w: ("level", w) for w in ("top", "middle", "bottom")},
}  # fmt: skip


def engine(**given: Any) -> Engine:
    """An invented engine; layout, valve_gear, fuel and bank_order as words."""
    data = dict(given)
    order = BankOrder(data.pop("bank_order", "alternate"))
    kinds = {"layout": Layout, "valve_gear": ValveGear, "fuel": Fuel}
    for key, kind in kinds.items():
        if key in data:
            data[key] = kind(data[key])
    return Engine(stock=data.pop("stock", "T-1"), numbering=Numbering(bank_order=order, confirmed=True), **data)


def finding(short: str) -> Finding:
    """ "rod_bearing c4 upper wiped heavy hedged | words": part, place, condition, degree, absent, hedged; "unseen";
    "quantity=1.5in"; "did=removed". Without words the text is the short form itself.
    """
    body, _, text = short.partition("|")
    part, *words = body.split()
    place: dict[str, Any] = {}
    fields: dict[str, Any] = {"kind": Kind.CONDITION}
    for word in words:
        if match := re.fullmatch(r"([cj])(\d+)", word):
            place["cylinder" if match[1] == "c" else "journal"] = int(match[2])
        elif word in _WORDS:
            place[_WORDS[word][0]] = _WORDS[word][1]
        elif word in ("absent", "hedged"):
            fields["present" if word == "absent" else "hedged"] = word == "hedged"
        elif word == "unseen":
            fields["kind"] = Kind.UNSEEN
        elif word.startswith("did="):
            fields |= {"kind": Kind.EVENT, "action": word[4:], "done_by": "teardown"}
        elif "=" in word:
            quantity, _, rest = word.partition("=")
            number = re.match(r"[0-9.]+", rest)
            assert number, word
            fields |= {"kind": Kind.MEASUREMENT, "quantity": quantity, "value": Decimal(number[0])}
            fields["unit"] = rest[number.end() :]
        elif word in [degree.value for degree in Degree]:
            fields["degree"] = Degree(word)
        else:
            fields["condition"] = word
    return Finding(part=part, place=Place(**place), text=text.strip() or body.replace("_", " ").strip(), **fields)


def record(of: Engine, findings: Iterable[Finding], status: Status = Status.ACCEPTED, **more: Any) -> Record:
    """A record in one sitting, one utterance a finding."""
    entries, said = {}, {}
    for n, item in enumerate(findings):
        name = f"s1.{n}.0"
        entries[name] = Entry(id=name, sitting="s1", n=n, finding=item, status=status)
        reading = Reading(utterance=typed(n, item.text), findings=(item,))
        said[("s1", n)] = Said(sitting="s1", heard=reading, reading=reading, entries=(name,))
    return Record(engine=of, entries=entries, said=said, **more)


def shorthand(of: Engine, findings: Sequence[str], **more: Any) -> Record:
    return record(of, [finding(item) for item in findings], **more)


@dataclass(frozen=True)
class Planted:
    name: str
    true_cause: str
    engine: Engine
    record: Record
    hidden_bad: tuple[str, ...]


def planted() -> list[Planted]:
    out = []
    for path in sorted(PLANTED.glob("*.json")):
        data = json.loads(path.read_text(encoding="utf-8"))
        of = engine(**data["engine"])
        made = shorthand(of, data["findings"])
        out.append(Planted(data["name"], data["true_cause"], of, made, tuple(data["hidden_bad"])))
    return out
