"""Thirty invented teardowns whose cause and hidden state only the test knows."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from benchvoice.judge.assess import assess
from benchvoice.judge.beliefs import Chances, beliefs, triggers
from benchvoice.judge.causes import causes
from benchvoice.judge.coverage import cover
from benchvoice.judge.observing import material
from benchvoice.lexicon.judging import judging_tables
from tests.judge.casework import Planted, planted

CASES = planted()
TABLES = judging_tables()


def rank(case: Planted, keep: set[str] | None = None) -> int:
    record = case.record
    if keep is not None:
        said = {key: said for key, said in record.said.items() if set(said.entries) <= keep}
        record = replace(record, entries={i: e for i, e in record.entries.items() if i in keep}, said=said)
    coverage = cover(record.standing(), case.engine, TABLES)
    found = causes(material(record, coverage, (), case.engine, TABLES), {})
    return [cause.id for cause in found].index(case.true_cause) + 1


def test_there_are_thirty_of_every_cause() -> None:
    assert len(CASES) == 30
    issue = {
        "starved_of_oil", "detonation", "pre_ignition", "overheated", "hydraulic_lock", "over_revved", "fuel_in_oil",
        "coolant_in_oil", "dirt", "fire_outside", "water_after_fire", "ring_land", "spun_bearing", "timing_failure",
        "loose_fasteners", "long_storage",
    }  # fmt: skip
    assert issue <= {case.true_cause for case in CASES}


def test_the_true_cause_comes_first_or_second_in_twenty_seven() -> None:
    ranks = {case.name: rank(case) for case in CASES}
    assert sum(1 for place in ranks.values() if place <= 2) >= 27, ranks


def test_half_of_the_findings_still_point_the_right_way() -> None:
    """A random half of each engine's findings, ten times: the cause stays among the first three in four of five."""
    random.seed(1)
    ranks = []
    for case in CASES:
        names = list(case.record.entries)
        ranks += [rank(case, set(random.sample(names, (len(names) + 1) // 2))) for _ in range(10)]
    assert sum(1 for place in ranks if place <= 3) / len(ranks) >= 0.8


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_wording_never_says_more_than_consistent(case: Planted) -> None:
    judged = assess(case.record, case.engine, (), TABLES, None)
    for cause in judged.causes:
        told = cause.wording.lower()
        assert not any(word in told for word in ("caused by", "is the cause", "proven", "certain", "because of"))
        if cause.speaks_for and cause.ratio > 1:
            assert "consistent with" in told


def test_hidden_bad_parts_are_believed_worse_than_their_sound_mates() -> None:
    """Mean chance given to parts that are truly bad and closed, against closed ones of the same kind that are sound."""
    bad: list[float] = []
    sound: list[float] = []
    for case in CASES:
        entries = case.record.standing()
        cells = cover(entries, case.engine, TABLES).cells
        believed = beliefs(cells, triggers(cells, entries, case.engine, TABLES), Chances(cells, case.engine, TABLES))
        keys = {cell.key: (cell.part, cell.place) for cell in cells}
        hidden = {keys[name] for name in case.hidden_bad}
        parts = {part for part, _ in hidden}
        for key, belief in believed.items():
            if key[0] in parts:
                (bad if key in hidden else sound).append(belief.chance)
    assert len(bad) >= 40
    assert sum(bad) / len(bad) > sum(sound) / len(sound) + 0.1
