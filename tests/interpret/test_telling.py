"""Long sentences of somebody who tells as they work: the finding in the middle, reasons and remarks round it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from benchvoice.domain.words import typed
from tests.interpret.test_shapes import SIX, Found, found

REASONS: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("cylinder three measures four point oh three one which is a good six thou over what it ought to be",),
        [("cylinder_bore", {"cylinder": 3}, "diameter", Decimal("4.031"))],
    ),
    (
        ("when i got the intake off there was a rag stuffed in port number five and the valve under it is bent",),
        [("valve", {"cylinder": 5, "valve": "intake"}, "bent", True)],
    ),
    (
        ("the crank pulley came off easy for a change and the front seal behind it is leaking",),
        [("front_seal", {}, "leaking", True)],
    ),
    (
        ("the left head is cracked and that's what put the water in the oil",),
        [("cylinder_head", {"bank": "left"}, "cracked", True), ("oil", {}, "coolant_in_oil", True)],
    ),
    (("the thermostat is plugged with mud just like a wasp had been at it",), [("thermostat", {}, "plugged", True)]),
    (
        ("the intake valves are sooty although with the oil on them i wouldn't swear",),
        [("valve", {"valve": "intake"}, "carboned", True)],
    ),
    (("the front cover is warped like a potato chip",), [("front_cover", {}, "warped", True)]),
    (("the thermostat is stuck and i've had it soaking in a coffee can",), [("thermostat", {}, "stuck", True)]),
    (("the screen is plugged with stuff that somebody smeared on",), [("oil_pickup", {}, "plugged", True)]),
    (("the oil cooler is cracked so it might have been frozen once",), [("oil_cooler", {}, "cracked", True)]),
]

SECOND: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("the left motor mount is split and the right one isn't so it must've been sitting crooked",),
        [("motor_mount", {"bank": "left"}, "split", True), ("motor_mount", {"bank": "right"}, "split", False)],
    ),
    (
        ("the left head is warped", "the right one is not warped at all and i couldn't begin to tell you why"),
        [("cylinder_head", {"bank": "right"}, "warped", False)],
    ),
    (
        ("number four piston is scuffed", "two and three are clean so maybe somebody started the job and lost heart"),
        [("piston", {"cylinder": 2}, "clean", True), ("piston", {"cylinder": 3}, "clean", True)],
    ),
    (
        ("number three main cap was loose and i spun those bolts out with two fingers", "one and two i never pulled"),
        [("main_cap", {"journal": 1}, "unseen", True), ("main_cap", {"journal": 2}, "unseen", True)],
    ),
    (
        ("injectors two and three are sooty and i haven't had the nerve to pull the others",),
        [
            ("injector", {"cylinder": 2}, "carboned", True),
            ("injector", {"cylinder": 3}, "carboned", True),
            ("injector", {}, "unseen", True),
        ],
    ),
    (
        ("i would have bet money the tensioner was stuck and it isn't",),
        [("chain_tensioner", {}, "stuck", False)],
    ),
]

THIRD: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("i'll go through the spark plugs quick so number one through number three are clean and four is oil fouled",),
        [
            ("spark_plug", {"cylinder": 1}, "clean", True),
            ("spark_plug", {"cylinder": 2}, "clean", True),
            ("spark_plug", {"cylinder": 3}, "clean", True),
            ("spark_plug", {"cylinder": 4}, "oil_fouled", True),
        ],
    ),
    (
        ("i went looking for scuffing in number two bore with a mirror and there isn't any",),
        [("cylinder_bore", {"cylinder": 2}, "scuffed", False)],
    ),
    (
        ("i pulled the valve cover expecting a mess and it's spotless",),
        [("valve_cover", {}, "clean", True)],
    ),
    (
        ("then i turned number four over and the piston crown on four is cracked", "the top ring on that one is stuck"),
        [("top_ring", {"cylinder": 4}, "stuck", True)],
    ),
    (
        (
            "number two bearing cap is loose and i threw it in the bucket",
            "you can see there's a rust stain on the block",
        ),
        [("block", {}, "rust_stain", True)],
    ),
    (
        ("the exhaust manifold is cracked between the two middle ports just like the last one",),
        [("exhaust_manifold", {}, "cracked", True)],
    ),
]

REMARKS: list[tuple[tuple[str, ...], list[Found]]] = [
    (("i dragged a magnet through the oil pan and there's no metal in it",), [("oil_pan", {}, "metal_debris", False)]),
    (
        ("the valve cover is bent and you wouldn't find that until you'd gone this far",),
        [("valve_cover", {}, "bent", True)],
    ),
    (
        ("rod three is bent and i've never seen that on one of these",),
        [("connecting_rod", {"cylinder": 3}, "bent", True)],
    ),
    (
        ("number two lifter is worn you can see it when you hold a brand new one next to it",),
        [("lifter", {"cylinder": 2}, "worn", True)],
    ),
    (
        ("the water pump is cracked so it must've got good and hot before it let go",),
        [("water_pump", {}, "cracked", True)],
    ),
    (("no surprise that the thermostat is stuck",), [("thermostat", {}, "stuck", True)]),
    (("the second ring is broken one on each side",), [("second_ring", {}, "broken", True)]),
]

CLAUSES: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("pistons came out first and the piston on number three is scuffed probably from somebody running it dry",),
        [("piston", {"cylinder": 3}, "scuffed", True)],
    ),
    (("of the two turbos the left one is seized",), [("turbocharger", {"bank": "left"}, "seized", True)]),
    (
        ("the main caps are loose and i mean you could turn the bolts with two fingers",),
        [("main_cap", {}, "loose", True)],
    ),
    (("with the pan off you can see the oil pickup is plugged",), [("oil_pickup", {}, "plugged", True)]),
    (
        (
            "rod two is bent",
            "its journal is going to need a grinder since it's scored and my fingernail catches on it",
        ),
        [("rod_journal", {"cylinder": 2}, "scored", True)],
    ),
    (
        ("i rolled the pushrods on window glass because that's how my uncle did it and not one of them is bent",),
        [("pushrod", {}, "bent", False)],
    ),
    (
        ("the exhaust seat on two is loose and it dropped out in my hand while i was looking for the camera",),
        [("valve_seat", {"cylinder": 2, "valve": "exhaust"}, "loose", True)],
    ),
]


@pytest.mark.parametrize(("lines", "wanted"), REMARKS + REASONS, ids=[lines[-1] for lines, _ in REMARKS + REASONS])
def test_remarks_claim_nothing(lines: tuple[str, ...], wanted: list[Found]) -> None:
    assert found(*lines) == wanted


@pytest.mark.parametrize(
    ("lines", "wanted"), CLAUSES + SECOND + THIRD, ids=[lines[-1] for lines, _ in CLAUSES + SECOND + THIRD]
)
def test_what_is_claimed_goes_to_its_part(lines: tuple[str, ...], wanted: list[Found]) -> None:
    assert found(*lines) == wanted


def test_words_after_strike_that_say_why() -> None:
    readings = list(SIX.read_all(typed(n, line) for n, line in enumerate(STRUCK)))
    assert readings[0].findings
    assert readings[1].withdraws == (0,)
    assert not readings[1].findings


STRUCK = ("the oil pump is scored in the housing", "strike that what i was looking at was a casting mark")
