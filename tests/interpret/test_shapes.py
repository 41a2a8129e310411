"""Shapes of sentences, each with what it must give: (part, place, what, present or value)."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from benchvoice.domain.engine import Engine, Layout
from benchvoice.domain.words import typed
from benchvoice.interpret import Reader
from benchvoice.lexicon import load

SIX = Reader(load(), Engine(stock="T", layout=Layout.INLINE, cylinders=6, mains=7))
Found = tuple[str, dict[str, Any], str, object]


def found(*lines: str) -> list[Found]:
    """What the last of some lines gives."""
    reading = list(SIX.read_all(typed(n, line) for n, line in enumerate(lines)))[-1]
    return [
        (
            item.part,
            item.place.as_dict(),
            str(item.condition or item.quantity or item.kind),
            item.present if item.value is None else item.value,
        )
        for item in reading.findings
    ]


PLACES: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("bent pushrods at two intake and five exhaust",),
        [
            ("pushrod", {"cylinder": 2, "valve": "intake"}, "bent", True),
            ("pushrod", {"cylinder": 5, "valve": "exhaust"}, "bent", True),
        ],
    ),
    (
        ("the head gasket is blown at one and two",),
        [("head_gasket", {"cylinder": 1}, "blown", True), ("head_gasket", {"cylinder": 2}, "blown", True)],
    ),
    (
        ("number two rod is bent", "the cap on that rod is fretted"),
        [("rod_cap", {"cylinder": 2}, "fretted", True)],
    ),
    (
        ("left head is cracked", "the valve cover on that side is bent"),
        [("valve_cover", {"bank": "left"}, "bent", True)],
    ),
    (("piston three is broken into four pieces",), [("piston", {"cylinder": 3}, "broken", True)]),
    (("rocker covers on the left are rusty", "right ones are dry"), [("valve_cover", {"bank": "right"}, "dry", True)]),
    (("rear main is leaking",), [("rear_main_seal", {}, "leaking", True)]),
    (
        ("liner two is scored top to bottom",),
        [("cylinder_bore", {"cylinder": 2}, "scored", True)],
    ),
]
DENIALS: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("inlet valves on one and two are bent", "three isn't"),
        [("valve", {"cylinder": 3, "valve": "intake"}, "bent", False)],
    ),
    (("left manifold is cracked", "the other one isn't"), []),
    (
        ("liner two is pitted", "and at three"),
        [("cylinder_bore", {"cylinder": 3}, "pitted", True)],
    ),
    (("rod four is bent", "cap four hasn't"), [("rod_cap", {"cylinder": 4}, "bent", False)]),
    (
        ("seats are burned but they aren't cracked",),
        [("valve_seat", {}, "burned", True), ("valve_seat", {}, "cracked", False)],
    ),
    (
        ("water pump is worn but i don't think the oil pump's chipped",),
        [("water_pump", {}, "worn", True), ("oil_pump", {}, "chipped", False)],
    ),
    (
        ("camshaft is good no pitted lobes",),
        [("camshaft", {}, "good", True), ("cam_lobe", {}, "pitted", False)],
    ),
    (("the engine hasn't been apart before",), [("engine", {}, "opened_before", False)]),
]
VALUES: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("compression on two is one forty and on four it's ninety",),
        [
            ("cylinder_bore", {"cylinder": 2}, "compression", Decimal(140)),
            ("cylinder_bore", {"cylinder": 4}, "compression", Decimal(90)),
        ],
    ),
    (
        ("number one compression is one fifty two is one forty",),
        [
            ("cylinder_bore", {"cylinder": 1}, "compression", Decimal(150)),
            ("cylinder_bore", {"cylinder": 2}, "compression", Decimal(140)),
        ],
    ),
    (
        ("compression on one was one sixty", "three only eighty"),
        [("cylinder_bore", {"cylinder": 3}, "compression", Decimal(80))],
    ),
    (
        ("rod journal two measures forty seven point nine six no forty seven point nine eight millimetres",),
        [("rod_journal", {"cylinder": 2}, "diameter", Decimal("47.98"))],
    ),
    (
        ("end gap on the second ring in five is twenty two thou", "top ring sixteen"),
        [("top_ring", {"cylinder": 5}, "end_gap", Decimal("0.016"))],
    ),
    (("head bolts all came out at seventy",), [("head_bolt", {}, "torque", Decimal(70))]),
]
CLAUSES: list[tuple[tuple[str, ...], list[Found]]] = [
    (
        ("sump off and the gauze on the pickup is blocked",),
        [("oil_pickup", {}, "plugged", True)],
    ),
    (
        ("cracked flywheel and a damper that's loose",),
        [("flywheel", {}, "cracked", True), ("harmonic_damper", {}, "loose", True)],
    ),
    (("i pulled the number four piston and the rings are seized",), [("top_ring", {}, "seized", True)]),
    (("flakes of metal in the pan",), [("oil_pan", {}, "metal_debris", True)]),
    (("i'll have the crank checked when the scanner's free",), []),
    (
        ("crown of number five sorry number four piston is holed",),
        [("piston_crown", {"cylinder": 4}, "broken", True)],
    ),
]


@pytest.mark.parametrize(("lines", "wanted"), [*PLACES, *DENIALS, *VALUES, *CLAUSES])
def test_a_shape_of_sentence_gives(lines: tuple[str, ...], wanted: list[Found]) -> None:
    assert found(*lines) == wanted
