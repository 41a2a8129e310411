"""Causes: weights, one event counted once, hedges, own damage, overruling."""

from __future__ import annotations

from typing import Any

import pytest

from benchvoice.domain.events import Overruled
from benchvoice.domain.judgement import Cause, Judgement
from benchvoice.judge.assess import assess
from benchvoice.lexicon.judging import judging_tables
from tests.judge.casework import engine, shorthand

TABLES = judging_tables()
FOUR = engine(layout="inline", cylinders=4)
WEIGHTS = TABLES.weights.classes


def judged(*told: str, of: Any = FOUR, **more: Any) -> Judgement:
    return assess(shorthand(of, told, **more), of, (), TABLES, None)


def cause(name: str, *told: str, **more: Any) -> Cause:
    return next(item for item in judged(*told, **more).causes if item.id == name)


def test_the_ratio_is_the_product_of_what_is_shown() -> None:
    found = cause("starved_of_oil", "oil_pickup plugged", "rod_bearing c1 wiped", "main_bearing j2 wiped")
    product = 1.0
    for item in (*found.speaks_for, *found.speaks_against):
        product *= item.ratio if item.counted else 1.0
    assert found.ratio == pytest.approx(product)
    assert found.ratio == pytest.approx(WEIGHTS["strong"] ** 2)


def test_shares_follow_from_priors_and_ratios() -> None:
    found = judged("oil_pickup plugged", "head_gasket blown").causes
    power = TABLES.weights.dependence_exponent
    whole = sum(item.prior * item.ratio**power for item in found) + TABLES.weights.something_else_prior
    for item in found:
        assert item.share == pytest.approx(item.prior * item.ratio**power / whole)


def test_findings_from_one_broken_part_count_once() -> None:
    one = cause("over_revved", "rod_bolt c2 broken")
    three = cause("over_revved", "rod_bolt c2 broken", "connecting_rod c2 broken", "block broken")
    assert three.ratio == pytest.approx(one.ratio)
    kept_out = [item for item in three.speaks_for if not item.counted]
    assert [item.observation for item in kept_out] == ["rod_broken"]
    assert kept_out[0].event == "a rod let go"


def test_saying_it_twice_changes_nothing() -> None:
    once = cause("overheated", "thermostat stuck")
    twice = cause("overheated", "thermostat stuck", "thermostat stuck | it is stuck all right")
    assert once.ratio == twice.ratio
    assert len(twice.speaks_for[0].entries) == 2


def test_a_hedge_weighs_less() -> None:
    sure, unsure = cause("overheated", "thermostat stuck"), cause("overheated", "thermostat stuck hedged")
    assert unsure.ratio == pytest.approx(sure.ratio**TABLES.weights.hedged_exponent)
    assert unsure.speaks_for[0].hedged
    assert "doubt" in unsure.wording


def test_absence_speaks_against() -> None:
    found = cause("starved_of_oil", "oil_pickup plugged absent")
    assert found.ratio < 1
    assert not found.speaks_against[0].held
    assert "not so" in found.speaks_against[0].text


def test_all_sound_bearings_speak_against_starvation() -> None:
    told = [f"rod_bearing c{c} good" for c in range(1, 5)] + [f"main_bearing j{j} good" for j in range(1, 6)]
    assert cause("starved_of_oil", *told[:-1], "thrust_bearing good").ratio == 1
    assert cause("starved_of_oil", *told, "thrust_bearing good").ratio == pytest.approx(WEIGHTS["strongly_against"])


def test_damage_done_while_taking_it_apart_is_no_evidence() -> None:
    before = cause("over_revved", "rod_bolt c2 broken")
    said = "rod_bolt c2 broken | broke that bolt taking it out"
    of = FOUR
    made = shorthand(of, [said, "rod_bolt c2 did=damaged_removing | broke that bolt taking it out"])
    entries = dict(made.entries)
    second = entries["s1.1.0"]
    entries["s1.1.0"] = type(second)(id="s1.1.0", sitting="s1", n=0, finding=second.finding, status=second.status)
    made = type(made)(engine=of, entries=entries, said=made.said)
    after = next(c for c in assess(made, of, (), TABLES, None).causes if c.id == "over_revved")
    assert before.ratio > 1
    assert after.ratio == 1


def test_what_would_decide_was_not_looked_at() -> None:
    found = judged("oil_pickup plugged")
    first = found.causes[0]
    assert first.id == "starved_of_oil"
    assert first.would_decide
    closed = {cell.part for cell in found.coverage.cells if cell.looked.open}
    assert {look.part for look in first.would_decide} <= closed
    assert first.would_decide[0].observation == "bearings_wiped"


def compressions(*values: int) -> list[str]:
    return [f"cylinder_bore c{c} compression={value}psi" for c, value in enumerate(values, start=1)]


def test_compression_of_neighbours() -> None:
    pair = cause("coolant_in_oil", *compressions(160, 100, 98, 155))
    far = cause("coolant_in_oil", *compressions(100, 160, 98, 155))
    assert [item.observation for item in pair.speaks_for] == ["low_pair"]
    assert not far.speaks_for


def test_a_warp_told_as_a_number_counts_like_a_hedge() -> None:
    told = "cylinder_head flatness=0.15mm | head is warped point one five millimeters"
    found = cause("overheated", told)
    assert [(item.observation, item.hedged) for item in found.speaks_for] == [("head_warped", True)]
    assert not cause("overheated", "cylinder_head flatness=0.02mm | head measures two hundredths").speaks_against


def test_stuck_open_is_not_stuck_shut() -> None:
    assert cause("overheated", "thermostat stuck | thermostat is stuck closed").ratio > 1
    assert cause("overheated", "thermostat stuck | thermostat is stuck open").ratio == 1


def test_one_denial_does_not_speak_for_all_bearings() -> None:
    assert not cause("starved_of_oil", "main_bearing j2 copper_showing absent | no copper showing").speaks_against


def test_words_count_without_a_finding_but_not_when_denied() -> None:
    assert cause("fuel_in_oil", "oil wet | the oil smells of fuel").ratio > 1
    assert cause("fuel_in_oil", "oil wet | the oil does not smell of fuel, not at all").ratio >= 1


def test_overruling_moves_the_cause_and_keeps_its_figures() -> None:
    plain = judged("oil_pickup plugged")
    ruled = judged(
        "oil_pickup plugged",
        overruled=(
            Overruled(subject="cause:starved_of_oil", verdict="rejected", reason="the screen was mine"),
            Overruled(subject="cause:dirt", verdict="settled", reason="filter box was open"),
        ),
    )
    assert plain.causes[0].id == "starved_of_oil"
    assert ruled.causes[0].id == "dirt"
    assert ruled.causes[-1].id == "starved_of_oil"
    assert ruled.causes[-1].share == pytest.approx(plain.causes[0].share)
    assert ruled.causes[-1].overruled is not None
    assert ruled.causes[-1].overruled.reason == "the screen was mine"
    assert ruled.overruled == ("cause:starved_of_oil", "cause:dirt")


def test_nothing_found_leaves_the_priors() -> None:
    for item in judged().causes:
        assert item.ratio == 1
        assert item.wording == TABLES.wording.causes["silent"]
