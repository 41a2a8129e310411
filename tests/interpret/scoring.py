"""Scores readings against narrations with expected findings, by the rules of the finding contract."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from benchvoice.domain.engine import BankOrder, Engine, Fuel, Layout, Numbering, ValveGear
from benchvoice.domain.readings import reading_to_contract
from benchvoice.domain.words import Utterance, typed
from benchvoice.interpret import Reader
from benchvoice.lexicon import Lexicon
from tests.hearing.scoring import same


@dataclass
class Score:
    """Counts over all narrations; `misses` are lines for a person."""

    right: int = 0
    missed: int = 0
    wrong: int = 0
    degree: int = 0
    hedged: int = 0
    domain: Counter[bool] = field(default_factory=Counter)
    misses: list[str] = field(default_factory=list)

    @property
    def precision(self) -> float:
        return self.right / max(1, self.right + self.wrong)

    @property
    def recall(self) -> float:
        return self.right / max(1, self.right + self.missed)

    @property
    def f1(self) -> float:
        both = self.precision + self.recall
        return 2 * self.precision * self.recall / both if both else 0.0

    @property
    def degree_share(self) -> float:
        return self.degree / max(1, self.right)

    @property
    def hedged_share(self) -> float:
        return self.hedged / max(1, self.right)

    def __str__(self) -> str:
        return (
            f"f1 {self.f1:.4f}  precision {self.precision:.4f}  recall {self.recall:.4f}"
            f"  degree {self.degree_share:.4f}  hedged {self.hedged_share:.4f}"
            f"  right {self.right} missed {self.missed} wrong {self.wrong}"
        )


def narrations(path: Path) -> list[dict[str, Any]]:
    """The narrations of a file or of all files of a folder."""
    files = sorted(path.glob("*.jsonl")) if path.is_dir() else [path]
    return [json.loads(line) for file in files for line in file.read_text("utf-8").splitlines() if line.strip()]


def engine_of(narration: dict[str, Any]) -> Engine | None:
    """The engine that a narration says it is about."""
    data = narration.get("engine")
    if data is None:
        return None
    numbering = data.get("numbering", {})
    banks = {name: numbers for name, numbers in numbering.items() if name in ("left", "right")}
    first = next((name for name, numbers in banks.items() if 1 in numbers), "left")
    mine = banks.get(first, [1])
    order = BankOrder.BY_BANK if len(mine) > 1 and mine[1] == 2 else BankOrder.ALTERNATE
    return Engine(
        stock="T1",
        layout=Layout(data["layout"]),
        cylinders=data["cylinders"],
        mains=data.get("mains"),
        valve_gear=ValveGear(data["valve_gear"]),
        fuel=Fuel(data["fuel"]),
        numbering=Numbering(first_bank=first, bank_order=order),
    )


Corrupt = Callable[[str], str]


def score(
    stories: Iterable[dict[str, Any]], lexicon: Lexicon, corrupt: Corrupt | None = None, with_engine: bool = True
) -> Score:
    """Reads all narrations and counts; each expected finding matches at most one of the same utterance."""
    total = Score()
    readers: dict[Engine | None, Reader] = {}
    for story in stories:
        engine = engine_of(story) if with_engine else None
        if engine not in readers:
            readers[engine] = Reader(lexicon, engine)
        _one(story, readers[engine], corrupt, total)
    return total


def _one(story: dict[str, Any], reader: Reader, corrupt: Corrupt | None, total: Score) -> None:
    utterances: list[Utterance] = [
        typed(n, corrupt(item["say"]) if corrupt and not item.get("withdraws") else item["say"])
        for n, item in enumerate(story["utterances"])
    ]
    lines = [reading_to_contract(reading) for reading in reader.read_all(utterances)]
    gone = {n for line in lines for n in line["withdraws"]}
    for n, item in enumerate(story["utterances"]):
        got = [] if n in gone else list(lines[n]["findings"])
        total.domain[lines[n]["domain"] == item.get("domain", True)] += 1
        _utterance(story["narration"], utterances[n].text, n, item["findings"], got, total)


def _utterance(
    name: str, text: str, n: int, wanted: Sequence[dict[str, Any]], got: list[dict[str, Any]], total: Score
) -> None:
    for want in wanted:
        hit = next((item for item in got if same(want, item)), None)
        if hit is None:
            total.missed += 1
            total.misses.append(f"missed {name} {n} {text!r}: {brief(want)}")
            continue
        got.remove(hit)
        total.right += 1
        for key in ("degree", "hedged"):
            good = want.get(key) == hit.get(key)
            setattr(total, key, getattr(total, key) + good)
            if not good:
                total.misses.append(
                    f"{key} {name} {n} {text!r}: want {want.get(key)} got {hit.get(key)}: {brief(want)}"
                )
    total.wrong += len(got)
    total.misses += [f"wrong  {name} {n} {text!r}: {brief(item)}" for item in got]


def brief(finding: dict[str, Any]) -> str:
    keys = ("condition", "present", "degree", "hedged", "quantity", "value", "unit", "action")
    shown = " ".join(f"{key}={finding[key]}" for key in keys if finding.get(key) is not None)
    return f"{finding['kind']} {finding['part']} {finding['place']} {shown}"
