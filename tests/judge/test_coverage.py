"""What was looked at, read off findings."""

from __future__ import annotations

import pytest

from benchvoice.domain.coverage import CoverageCell, Looked, State
from benchvoice.domain.engine import Engine
from benchvoice.domain.figures import Basis, Figure, Limit, Mark, Verdict
from benchvoice.domain.findings import Place
from benchvoice.domain.record import Status
from benchvoice.judge.coverage import cover
from benchvoice.judge.places import numbers
from benchvoice.lexicon.judging import judging_tables
from tests.judge.casework import engine, finding, record

TABLES = judging_tables()
FOUR = engine(layout="inline", cylinders=4)
EIGHT = engine(layout="vee", cylinders=8)


def cells(of: Engine, *told: str) -> dict[str, CoverageCell]:
    made = record(of, [finding(item) for item in told])
    return {cell.key: cell for cell in cover(made.standing(), of, TABLES).cells}


@pytest.mark.parametrize(
    ("told", "key", "looked"),
    [
        ("rod_bearing c3 wiped", "rod_bearing:cylinder=3", Looked.SEEN),
        ("rod_journal c3 diameter=2.0985in", "rod_journal:cylinder=3", Looked.MEASURED),
        ("lifter c1 intake good | lifter feels smooth", "lifter:cylinder=1,valve=intake", Looked.FELT),
        ("cylinder_bore c1 scratched | can feel it with a fingernail", "cylinder_bore:cylinder=1", Looked.SEEN),
        ("rod_bearing c2 upper scored", "rod_bearing:cylinder=2", Looked.SEEN_IN_PART),
        ("wrist_pin unseen | did not pull the wrist pins", "wrist_pin:cylinder=1", Looked.NOT_LOOKED_AT),
        ("cam_bearing rear unseen | couldn't get to the back one", "cam_bearing:journal=5", Looked.COULD_NOT_BE_SEEN),
        ("throttle_body missing", "throttle_body", Looked.GONE),
        ("oil_pump did=removed | threw the pump away", "oil_pump", Looked.GONE),
        ("crankshaft did=turned_by_hand | turned by hand", "crankshaft", Looked.FELT),
        ("cylinder_bore c1 compression=150psi", "cylinder_bore:cylinder=1", Looked.NOT_LOOKED_AT),
        ("crankshaft end_float=0.009in", "crankshaft", Looked.SEEN_IN_PART),
        ("ring_land c2 cracked", "piston:cylinder=2", Looked.SEEN_IN_PART),
        ("main_bearing rear good", "main_bearing:journal=5", Looked.SEEN),
        ("head_gasket c2 blown", "head_gasket", Looked.SEEN),
    ],
)
def test_how_a_finding_counts(told: str, key: str, looked: Looked) -> None:
    assert cells(FOUR, told)[key].looked is looked


@pytest.mark.parametrize("text", ["rods look good", "all four rods look good", "every rod is good"])
def test_a_group_never_covers_members_that_have_to_be_opened(text: str) -> None:
    found = cells(FOUR, f"connecting_rod good | {text}", "rod_bearing good | rod bearings look good")
    for cylinder in FOUR.cylinder_numbers:
        assert not found[f"connecting_rod:cylinder={cylinder}"].looked.backs_a_claim
        assert not found[f"rod_bearing:cylinder={cylinder}"].looked.backs_a_claim


def test_a_group_that_lies_open_counts_when_all_were_meant() -> None:
    plural = cells(FOUR, "rocker_arm good | rockers look good")
    every = cells(FOUR, "rocker_arm good | every rocker is good")
    assert plural["rocker_arm:cylinder=1,valve=intake"].looked is Looked.SEEN_IN_PART
    assert every["rocker_arm:cylinder=1,valve=intake"].looked is Looked.SEEN


def test_one_member_of_a_group_stays_what_it_was() -> None:
    found = cells(FOUR, "rod_bearing c2 wiped", "rod_bearing good | the rest look good")
    assert found["rod_bearing:cylinder=2"].state is State.IMPAIRED
    assert found["rod_bearing:cylinder=2"].looked is Looked.SEEN
    assert found["rod_bearing:cylinder=3"].looked is Looked.NOT_LOOKED_AT


def test_not_looked_at_of_a_group_leaves_what_was_seen() -> None:
    found = cells(FOUR, "main_bearing j2 wiped", "main_bearing unseen | did not pull the other mains")
    assert found["main_bearing:journal=2"].looked is Looked.SEEN
    assert found["main_bearing:journal=3"].looked is Looked.NOT_LOOKED_AT


def test_said_seen_and_said_unseen_is_in_part() -> None:
    found = cells(FOUR, "main_bearing j2 wiped", "main_bearing j2 unseen | did not pull number two main")
    assert found["main_bearing:journal=2"].looked is Looked.SEEN_IN_PART


def test_not_measured_is_no_denial_of_a_look() -> None:
    found = cells(FOUR, "main_bearing j2 wiped", "main_bearing j2 unseen | did not measure it")
    assert found["main_bearing:journal=2"].looked is Looked.SEEN


@pytest.mark.parametrize(
    ("told", "state"),
    [
        ("main_bearing j2 scored light", State.SOUND),
        ("main_bearing j2 scored", State.IMPAIRED),
        ("main_bearing j2 spun", State.SPOILED),
        ("main_bearing j2 scored absent", State.SOUND),
        ("main_bearing j2 good absent", State.IMPAIRED),
        ("oil_pan metal_debris", State.SOUND),
    ],
)
def test_state(told: str, state: State) -> None:
    key = "oil_pan" if "oil_pan" in told else "main_bearing:journal=2"
    assert cells(FOUR, told)[key].state is state


def test_dropped_and_withdrawn_findings_show_nothing() -> None:
    for status in (Status.DROPPED, Status.WITHDRAWN):
        made = record(FOUR, [finding("rod_bearing c3 wiped")], status=status)
        assert not any(cell.evidence for cell in cover(made.standing(), FOUR, TABLES).cells)
        assert not any(cell.evidence for cell in cover(made.entries.values(), FOUR, TABLES).cells)


def test_a_place_that_the_engine_lacks_covers_nothing() -> None:
    assert not any(cell.evidence for cell in cells(FOUR, "rod_bearing c9 wiped").values())


def test_a_figure_beyond_its_limit_leaves_the_part_impaired() -> None:
    made = record(FOUR, [finding("cylinder_bore c1 diameter=3.56in")])
    limit = Limit(unit="in", basis=Basis(mark=Mark.SHEET))
    figure = Figure(
        name="wear", part="cylinder_bore", place=Place(cylinder=1), unit="in", verdict=Verdict.BEYOND, limit=limit,
        inputs=("s1.0.0",),
    )  # fmt: skip
    found = {cell.key: cell for cell in cover(made.standing(), FOUR, TABLES, (figure,)).cells}
    assert found["cylinder_bore:cylinder=1"].state is State.IMPAIRED


def test_what_the_engine_has_follows_its_layout() -> None:
    eight, twin = cells(EIGHT), cells(engine(layout="inline", cylinders=4, valve_gear="dohc"))
    assert sum(1 for key in eight if key.startswith("main_bearing")) == 5
    assert {key for key in eight if key.startswith("cylinder_head")} == {
        "cylinder_head:bank=left", "cylinder_head:bank=right"
    }  # fmt: skip
    assert "pushrod:cylinder=1,valve=intake" in eight
    assert not any(key.startswith("pushrod") for key in twin)
    assert {"camshaft:valve=intake", "camshaft:valve=exhaust"} <= set(twin)
    assert "turbocharger" not in eight
    assert "turbocharger" in cells(EIGHT, "turbocharger worn")
    assert not any(key.startswith("spark_plug") for key in cells(engine(layout="inline", cylinders=6, fuel="diesel")))
    belt = cells(FOUR, "timing_belt stripped")
    assert "timing_belt" in belt
    assert "timing_chain" not in belt


def test_unseen_comes_by_importance() -> None:
    made = record(FOUR, [finding("block good")])
    unseen = cover(made.standing(), FOUR, TABLES).unseen()
    assert [cell.importance for cell in unseen] == sorted((cell.importance for cell in unseen), reverse=True)
    assert "block" not in {cell.part for cell in unseen}


def test_places_in_words() -> None:
    assert numbers([Place(cylinder=c) for c in (1, 2, 3, 5, 8)]) == "1 to 3, 5 and 8"
    assert numbers([Place(cylinder=2, valve="intake")]) == "2 intake"
    both = [Place(cylinder=c, valve=v) for c in (1, 2) for v in ("intake", "exhaust")]
    assert numbers(both) == "1 and 2 (intake and exhaust)"
    assert numbers([Place(bank="left"), Place(bank="right")]) == "left and right"
    assert numbers([Place()]) == ""
