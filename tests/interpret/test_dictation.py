"""Sentences of somebody who dictates notes: passives, verbless lists, clauses that lean on the one before."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.interpret.test_shapes import Found, found

TURNS: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("lobes on one and two good on three and four worn",),
        [
            ("cam_lobe", {"cylinder": 1}, "good", True),
            ("cam_lobe", {"cylinder": 2}, "good", True),
            ("cam_lobe", {"cylinder": 3}, "worn", True),
            ("cam_lobe", {"cylinder": 4}, "worn", True),
        ],
    ),
    (
        ("lifters on the left bank stuck on the right bank free",),
        [
            ("lifter", {"bank": "left"}, "stuck", True),
            ("lifter", {"bank": "right"}, "turns_freely", True),
        ],
    ),
    (
        ("end gap on number one twenty eight thou on number three thirty thou",),
        [
            ("top_ring", {"cylinder": 1}, "end_gap", Decimal("0.028")),
            ("top_ring", {"cylinder": 3}, "end_gap", Decimal("0.030")),
        ],
    ),
    (
        ("cracked flywheel and a bent damper",),
        [("flywheel", {}, "cracked", True), ("harmonic_damper", {}, "bent", True)],
    ),
    (("no bent valves or broken springs",), [("valve", {}, "bent", False), ("valve_spring", {}, "broken", False)]),
    (
        ("scoring on bore two no pitting on bore three",),
        [("cylinder_bore", {"cylinder": 2}, "scored", True), ("cylinder_bore", {"cylinder": 3}, "pitted", False)],
    ),
    (("oil pan cracked rear end",), [("oil_pan", {"end": "rear"}, "cracked", True)]),
    (
        ("wrist pin four loose in the piston wrist pin one not loose",),
        [("wrist_pin", {"cylinder": 4}, "loose", True), ("wrist_pin", {"cylinder": 1}, "loose", False)],
    ),
]
LEANING: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("compressor wheel is chipped the turbine wheel isn't",),
        [("compressor_wheel", {}, "chipped", True), ("turbine_wheel", {}, "chipped", False)],
    ),
    (
        ("rear mounts appear brittle the front ones don't",),
        [("motor_mount", {"end": "rear"}, "brittle", True), ("motor_mount", {"end": "front"}, "brittle", False)],
    ),
    (
        ("deck on the right bank has pitting deck on the left has none",),
        [("deck", {"bank": "right"}, "pitted", True), ("deck", {"bank": "left"}, "pitted", False)],
    ),
    (
        ("bore three is scuffed four possibly",),
        [("cylinder_bore", {"cylinder": 3}, "scuffed", True), ("cylinder_bore", {"cylinder": 4}, "scuffed", True)],
    ),
    (("piston one is cracked three isn't out yet",), [("piston", {"cylinder": 1}, "cracked", True)]),
    (("front seal no rear main seal is leaking",), [("rear_main_seal", {}, "leaking", True)]),
    (
        ("intake valve no exhaust valve on four is bent",),
        [("valve", {"cylinder": 4, "valve": "exhaust"}, "bent", True)],
    ),
    (("rod four is bent", "its cap is fretted"), [("rod_cap", {"cylinder": 4}, "fretted", True)]),
    (("piston two is seized", "its rings are stuck"), [("top_ring", {"cylinder": 2}, "stuck", True)]),
    (
        ("exhaust valve on one is stuck open", "its intake is pitted"),
        [("valve", {"cylinder": 1, "valve": "intake"}, "pitted", True)],
    ),
    (("cylinder head is cracked", "its intake is cracked"), [("intake_manifold", {}, "cracked", True)]),
]
FOUND: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("main bearing two was found wiped", "wear was found on cam lobe five"),
        [("cam_lobe", {"cylinder": 5}, "worn", True)],
    ),
    (("left head is cracked", "no cracks found in the block"), [("block", {}, "cracked", False)]),
    (("we have a cracked liner on number two",), [("cylinder_bore", {"cylinder": 2}, "cracked", True)]),
    (("timing gear backlash is six thou", "a chipped tooth noted"), [("timing_gear", {}, "chipped", True)]),
]
VALUES: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        (
            "bore five measured one thirty point zero six millimetres at the top",
            "at the bottom one thirty point zero one",
        ),
        [("cylinder_bore", {"cylinder": 5, "level": "bottom"}, "diameter", Decimal("130.01"))],
    ),
    (
        ("leak down on one is six percent", "nine percent on number two and eight on number three"),
        [
            ("cylinder_bore", {"cylinder": 2}, "leakage", Decimal(9)),
            ("cylinder_bore", {"cylinder": 3}, "leakage", Decimal(8)),
        ],
    ),
    (
        ("leak down on two is nine percent", "next one at thirty one percent"),
        [("cylinder_bore", {"cylinder": 3}, "leakage", Decimal(31))],
    ),
    (
        ("compression on two is ten bar", "the worst of the lot is five at four bar"),
        [("cylinder_bore", {"cylinder": 5}, "compression", Decimal(4))],
    ),
    (
        ("main bearing clearance is two thou at number one", "four thou at three"),
        [("main_bearing", {"journal": 3}, "clearance", Decimal("0.004"))],
    ),
    (
        ("taper in bore two is three thou in bore four one and a half",),
        [
            ("cylinder_bore", {"cylinder": 2}, "taper", Decimal("0.003")),
            ("cylinder_bore", {"cylinder": 4}, "taper", Decimal("0.0015")),
        ],
    ),
    (
        ("block cracked at cylinder one", "the crack is sixty millimetres long"),
        [("block", {"cylinder": 1}, "length", Decimal(60))],
    ),
    (
        ("piston three has a melted crown", "depth of the damage six millimetres"),
        [("piston_crown", {"cylinder": 3}, "depth", Decimal(6))],
    ),
]
OWN: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("compression all even at one sixty except number five at ninety",),
        [
            ("cylinder_bore", {}, "compression", Decimal(160)),
            ("cylinder_bore", {"cylinder": 5}, "compression", Decimal(90)),
        ],
    ),
    (
        ("leak down was forty percent on three with air out of the exhaust",),
        [("cylinder_bore", {"cylinder": 3}, "leakage", Decimal(40))],
    ),
    (("we found nothing in the pan",), []),
    (
        ("both heads are warped the left by four thou and the right by six",),
        [
            ("cylinder_head", {"bank": "left"}, "flatness", Decimal("0.004")),
            ("cylinder_head", {"bank": "right"}, "flatness", Decimal("0.006")),
        ],
    ),
    (
        ("rod journal one came in at two point oh nine nine two and three at two point oh nine eight",),
        [
            ("rod_journal", {"cylinder": 1}, "diameter", Decimal("2.0992")),
            ("rod_journal", {"cylinder": 3}, "diameter", Decimal("2.098")),
        ],
    ),
    (("damper hub cracked through the keyway",), [("harmonic_damper", {}, "cracked", True)]),
    (
        ("main caps one and five have fretting the middle three don't",),
        [("main_cap", {"journal": 1}, "fretted", True), ("main_cap", {"journal": 5}, "fretted", True)],
    ),
    (
        (
            "compression on two is one fifty",
            "cylinder one one hundred and ten psi dry one hundred and forty wet",
        ),
        [
            ("cylinder_bore", {"cylinder": 1}, "compression", Decimal(110)),
            ("cylinder_bore", {"cylinder": 1}, "compression", Decimal(140)),
        ],
    ),
    (("piston one has a crack from the pin boss to the skirt",), [("piston", {"cylinder": 1}, "cracked", True)]),
    (
        ("one of the lifters is collapsed number five exhaust",),
        [("lifter", {"cylinder": 5, "valve": "exhaust"}, "worn", True)],
    ),
    (("timing chain hanging loose",), [("timing_chain", {}, "loose", True)]),
    (("wiring loom chewed by mice",), [("wiring_harness", {}, "cut", True)]),
]
CARRIED: list[tuple[tuple[str, ...], list[Found]]] = [
    (("rod cap three is off", "bolts are stripped"), [("rod_bolt", {"cylinder": 3}, "stripped", True)]),
    (("rod cap three is off", "rod bolts are stripped"), [("rod_bolt", {}, "stripped", True)]),
    (("pistons one and two are worn", "number three is out too"), []),
    (
        ("rod four is out", "number five is out too", "the bearing is wiped"),
        [("rod_bearing", {"cylinder": 5}, "wiped", True)],
    ),
    (("straight six out of a truck",), []),
    (
        ("pushrod four is straight six is bent",),
        [("pushrod", {"cylinder": 4}, "bent", False), ("pushrod", {"cylinder": 6}, "bent", True)],
    ),
    (("spark plug two is wet with oil",), [("spark_plug", {"cylinder": 2}, "oil_fouled", True)]),
    (("exhaust manifold on the right is wet with oil",), [("exhaust_manifold", {"bank": "right"}, "wet", True)]),
    (("cam sensor left where it was so not examined",), [("cam_sensor", {}, "unseen", True)]),
    (
        ("guides loose on one intake and on three intake",),
        [
            ("valve_guide", {"cylinder": 1, "valve": "intake"}, "loose", True),
            ("valve_guide", {"cylinder": 3, "valve": "intake"}, "loose", True),
        ],
    ),
    (
        ("rocker three intake mushroomed at the tip three exhaust worn at the tip",),
        [
            ("rocker_arm", {"cylinder": 3, "valve": "intake"}, "mushroomed", True),
            ("rocker_arm", {"cylinder": 3, "valve": "exhaust"}, "worn", True),
        ],
    ),
]


@pytest.mark.parametrize(("lines", "wanted"), [*TURNS, *LEANING, *FOUND, *VALUES, *CARRIED, *OWN])
def test_dictated_notes_give(lines: tuple[str, ...], wanted: list[Found]) -> None:
    assert found(*lines) == wanted
