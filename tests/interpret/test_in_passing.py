"""Words that look like a claim and are none, and claims that look like something else."""

from __future__ import annotations

from decimal import Decimal

import pytest

from benchvoice.domain.words import typed
from benchvoice.interpret import Reader
from benchvoice.lexicon import load
from tests.interpret.test_shapes import Found, found

TALK: list[tuple[tuple[str, ...], list[Found]]] = [
    # Small numbers that measure nothing.
    (
        ("rod bearing one is good", "then you get to four through six and they've all got copper showing"),
        [("rod_bearing", {"cylinder": number}, "copper_showing", True) for number in (4, 5, 6)],
    ),
    (("this engine takes two men to lift it",), []),
    (("the timing belt is split along one edge",), [("timing_belt", {}, "split", True)]),
    (
        ("bore one has rust in it from sitting and three just has a rust stain",),
        [("cylinder_bore", {"cylinder": 1}, "rusted", True), ("cylinder_bore", {"cylinder": 3}, "rust_stain", True)],
    ),
    (("the top ring on four is broken into three",), [("top_ring", {"cylinder": 4}, "broken", True)]),
    # "I mean" that stresses and one that takes back.
    (
        ("rod bearings one and two are good i mean really good",),
        [("rod_bearing", {"cylinder": 1}, "good", True), ("rod_bearing", {"cylinder": 2}, "good", True)],
    ),
    (("rod bearing one i mean two is good",), [("rod_bearing", {"cylinder": 2}, "good", True)]),
    # Likenesses, praise and aims.
    (("the valve seals are brittle as potato chips",), [("valve_stem_seal", {}, "brittle", True)]),
    (("well that's no good news for the yard",), []),
    (("the crank is good for a polish",), [("crankshaft", {}, "good", True)]),
    (("the torque to break the main bolts loose was eighty foot pounds",), [("main_bolt", {}, "torque", Decimal(80))]),
    (("the flywheel is dry", "the dual mass flywheel has too much rotation in it"), []),
    # What was sought and not found.
    (("sprayed the crank for cracks and found none",), [("crankshaft", {}, "cracked", False)]),
    (("the rods weren't checked for twist",), [("connecting_rod", {}, "unseen", True)]),
    # What is left open, who is left out, and which is the last.
    (
        ("with the main caps off i got fretting on one and five",),
        [("main_cap", {"journal": 1}, "fretted", True), ("main_cap", {"journal": 5}, "fretted", True)],
    ),
    (
        ("spark plugs are all tan except four which is oily",),
        [("spark_plug", {"cylinder": 4}, "oil_fouled", True)],
    ),
    (("the last cylinder is scored",), [("cylinder_bore", {"cylinder": 6}, "scored", True)]),
    (("it has never been apart",), [("engine", {}, "opened_before", False)]),
    (("the oil pump has never been apart",), [("oil_pump", {}, "unseen", True)]),
    (("piston three is scuffed", "also on four but not as bad"), [("piston", {"cylinder": 4}, "scuffed", True)]),
    (
        ("flat six pulled from a coupe with eighty two thousand miles",),
        [("engine", {}, "distance_run", Decimal(82_000))],
    ),
    # The same value, a deep score and a deep one, a thermostat and its heat.
    (
        (
            "main journal two measures two point four nine seven",
            "three is two point four nine eight and four is the same",
        ),
        [
            ("main_journal", {"journal": 3}, "diameter", Decimal("2.498")),
            ("main_journal", {"journal": 4}, "diameter", Decimal("2.498")),
        ],
    ),
    (("thermostat opens at one ninety two",), [("thermostat", {}, "temperature", Decimal(192))]),
    (("the head is warped", "there are cracks between the valves"), [("cylinder_head", {}, "cracked", True)]),
]


@pytest.mark.parametrize(("says", "expected"), TALK, ids=[says[-1][:40] for says, _ in TALK])
def test_what_is_said_in_passing(says: tuple[str, ...], expected: list[Found]) -> None:
    assert found(*says) == expected


def test_nobody_knows_the_last_cylinder_of_an_engine_that_nobody_described() -> None:
    says = (
        "the last cylinder is scored",
        "leak down on the last cylinder was forty percent",
        "same on the last cylinder",
    )
    assert [reading.findings for reading in Reader(load()).read_all(typed(n, say) for n, say in enumerate(says))] == [
        ()
    ] * 3
