"""The demo's two engines, from what their scripts expect to be found to causes, plan and claims."""

from __future__ import annotations

import json
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from benchvoice.app.intake import engine_from
from benchvoice.app.judging import judge
from benchvoice.domain.findings import Degree, Finding, Kind, Place
from benchvoice.domain.judgement import Judgement
from benchvoice.resources import folder
from tests.judge.casework import record

DEMO = Path(str(folder("demo_audio")))
INTAKE = {item["stock"]: item for item in tomllib.loads((DEMO / "intake.toml").read_text(encoding="utf-8"))["engine"]}


def finding(data: dict[str, Any], said: str) -> Finding:
    fields = {key: value for key, value in data.items() if key not in ("kind", "place", "degree", "value")}
    if data.get("degree"):
        fields["degree"] = Degree(data["degree"])
    if "value" in data:
        fields["value"] = Decimal(str(data["value"]))
    return Finding(kind=Kind(data["kind"]), place=Place(**data["place"]), text=said, **fields)


def judged(stock: str) -> Judgement:
    data = {key: value for key, value in INTAKE[stock].items() if key not in ("narrations", "spec_sheet")}
    found = [
        finding(item, utterance["say"])
        for name in INTAKE[stock]["narrations"]
        for line in (DEMO / "scripts" / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
        for utterance in json.loads(line)["utterances"]
        for item in utterance["findings"]
    ]
    return judge(record(engine_from(data), found), prices=DEMO / "prices.toml")


@pytest.mark.parametrize(("stock", "cause"), [("QF-114", "starved_of_oil"), ("QF-115", "overheated")])
def test_the_demo_tells_its_story(stock: str, cause: str) -> None:
    found = judged(stock)
    assert cause in [item.id for item in found.causes[:2]]
    assert found.worth is not None
    assert found.worth.plan.lots
    assert "invented" in found.worth.note.lower()


def test_the_demo_claims_nothing_of_what_stayed_closed() -> None:
    found = judged("QF-114")
    covered = {key for claim in found.claims for key in claim.covers}
    assert not any(key.startswith(("cam_bearing", "lifter", "thrust_bearing", "knock_sensor")) for key in covered)
    assert "connecting_rod:cylinder=6" not in covered
