"""Sentences of people who teach, sell or hurry: orders, what could be done, slips, and words that point back."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.interpret.test_shapes import Found, found

ORDERS: list[tuple[tuple[str, ...], list[Found]]] = [
    (("bend the timing belt backwards and you see it's cracked",), [("timing_belt", {}, "cracked", True)]),
    (("bend it and it snaps",), []),
    (("valve three is bent you can clean the seat",), [("valve", {"cylinder": 3}, "bent", True)]),
    (("throttle body is coked up a buyer can clean that",), [("throttle_body", {}, "carboned", True)]),
    (("head gasket's blown so get a new one",), [("head_gasket", {}, "blown", True)]),
    (("both engine mounts are split so fit new ones",), [("motor_mount", {}, "split", True)]),
    (("hold number six exhaust valve up to the light and the edge is burned",),
     [("valve", {"cylinder": 6, "valve": "exhaust"}, "burned", True)]),
    (("block has been crack tested",), []),
]  # fmt: skip

REASONS: list[tuple[tuple[str, ...], list[Found]]] = [
    (("exhaust seat of number six has eroded because gas blew through there",),
     [("valve_seat", {"cylinder": 6, "valve": "exhaust"}, "eroded", True)]),
    (("turbine wheel is chipped", "the head gasket tells the same story it has blown"),
     [("head_gasket", {}, "blown", True)]),
    (("the rear main seal was not leaking what leaked was the oil pressure switch",),
     [("rear_main_seal", {}, "leaking", False), ("oil_pressure_sender", {}, "leaking", True)]),
    (("rod bearing three is good what spun was number four",),
     [("rod_bearing", {"cylinder": 3}, "good", True), ("rod_bearing", {"cylinder": 4}, "spun", True)]),
    (("this is a five cylinder diesel and i'll say it straight",), []),
]  # fmt: skip

SLIPS: list[tuple[tuple[str, ...], list[Found]]] = [
    (("bucket on three exhaust scuffed no sorry galled",),
     [("lifter", {"cylinder": 3, "valve": "exhaust"}, "galled", True)]),
    (("rod three bent no wait twisted",), [("connecting_rod", {"cylinder": 3}, "bent", True)]),
]  # fmt: skip

POINTING: list[tuple[tuple[str, ...], list[Found]]] = [
    (("plugs two and four clean",),
     [("spark_plug", {"cylinder": 2}, "clean", True), ("spark_plug", {"cylinder": 4}, "clean", True)]),
    (("exhaust valve on one's burned five too",),
     [("valve", {"cylinder": 1, "valve": "exhaust"}, "burned", True),
      ("valve", {"cylinder": 5, "valve": "exhaust"}, "burned", True)]),
    (("number two rod bearing is the wiped one and four is good",),
     [("rod_bearing", {"cylinder": 2}, "wiped", True), ("rod_bearing", {"cylinder": 4}, "good", True)]),
    (("there's teeth chipped on the cam gear",), [("timing_gear", {}, "chipped", True)]),
    (("balancer is split", "there's a tooth missing on the reluctor"),
     [("reluctor_wheel", {}, "broken", True)]),
    (("down the injector hole of number three the bore is scored",),
     [("cylinder_bore", {"cylinder": 3}, "scored", True)]),
    (("left exhaust manifold is rusted the right one slightly",),
     [("exhaust_manifold", {"bank": "left"}, "rusted", True), ("exhaust_manifold", {"bank": "right"}, "rusted", True)]),
    (("two has a scuffed skirt", "crown melted on five", "its ring land's broken"),
     [("ring_land", {"cylinder": 5}, "broken", True)]),
    (("number two exhaust valve is burned", "the other one is fine"),
     [("valve", {"cylinder": 2, "valve": "intake"}, "good", True)]),
]  # fmt: skip

MEASURED: list[tuple[tuple[str, ...], list[Found]]] = [
    (("push the crank back pull it forward and read the dial that's twelve thou of end float",),
     [("crankshaft", {}, "end_float", Decimal("0.012"))]),
    (("we put the injectors on the tester and number one opened at two hundred and ten bar",),
     [("injector", {"cylinder": 1}, "pressure", Decimal("210"))]),
    (("barrel four", "three point eight seven six inches at the top", "pitted there"),
     [("cylinder_bore", {"cylinder": 4, "level": "top"}, "pitted", True)]),
    (("right head is fine", "we pressure tested it and it held two hundred kilopascals"),
     [("cylinder_head", {"bank": "right"}, "pressure", Decimal("200"))]),
    (("ring gap on two is eighteen sorry twenty thou",), [("top_ring", {"cylinder": 2}, "end_gap", Decimal("0.02"))]),
]  # fmt: skip

BESIDE: list[tuple[tuple[str, ...], list[Found]]] = [
    (("the hose on the water pump is split",), []),
    (("the water pump hose is split",), []),
    (("head's off and the lower hose is rotten",), []),
    (("the thermostat housing leaks and the hose next to it is perished",), [("thermostat", {}, "leaking", True)]),
    (("the clamp on the oil cooler is loose",), []),
    (("the crank is good", "the oil passages are plugged"), [("crankshaft", {}, "plugged", True)]),
    (("compressor side oil seal is leaking",), []),
    (("the oil was black and there was metal in the filter",), [("oil_filter", {}, "metal_debris", True)]),
    (("no play in the water pump bearing and the seal is dry",), [("water_pump", {}, "dry", True)]),
    (("the previous owner said the block was cracked but it's good",), [("block", {}, "good", True)]),
    (("timing side first the chain is worn",), [("timing_chain", {"end": "front"}, "worn", True)]),
]  # fmt: skip

SHARED: list[tuple[tuple[str, ...], list[Found]]] = [
    (("intake two and exhaust four are bent",),
     [("valve", {"cylinder": 2, "valve": "intake"}, "bent", True),
      ("valve", {"cylinder": 4, "valve": "exhaust"}, "bent", True)]),
    (("intake valves all carboned except three",),
     [("valve", {"valve": "intake"}, "carboned", True),
      ("valve", {"cylinder": 3, "valve": "intake"}, "carboned", False)]),
    (("number two and number four pistons have scuffed skirts",),
     [("piston_skirt", {"cylinder": 2}, "scuffed", True), ("piston_skirt", {"cylinder": 4}, "scuffed", True)]),
    (("big ends one and two are marked three is spun",), [("rod_bearing", {"cylinder": 3}, "spun", True)]),
    (("valve clearance on four exhaust is fourteen thou and should be ten",),
     [("valve", {"cylinder": 4, "valve": "exhaust"}, "clearance", Decimal("0.014"))]),
    (("main journal four is ten thou under and it's scored",), [("main_journal", {"journal": 4}, "scored", True)]),
]  # fmt: skip

DENIED: list[tuple[tuple[str, ...], list[Found]]] = [
    (("pan's dented but not leaking",), [("oil_pan", {}, "leaking", False)]),
    (("light wear on the rocker tips but nothing on number eight",),
     [("rocker_arm", {}, "worn", True), ("rocker_arm", {"cylinder": 8}, "worn", False)]),
    (("bores one and two are scored none on three",),
     [("cylinder_bore", {"cylinder": 1}, "scored", True), ("cylinder_bore", {"cylinder": 2}, "scored", True),
      ("cylinder_bore", {"cylinder": 3}, "scored", False)]),
    (("someone has welded the exhaust manifold",), []),
    (("crack three the bore is scored",), [("cylinder_bore", {"cylinder": 3}, "scored", True)]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("lines", "wanted"), [*ORDERS, *REASONS, *SLIPS, *POINTING, *MEASURED, *BESIDE, *SHARED, *DENIED]
)
def test_people_who_teach_sell_or_hurry_give(lines: tuple[str, ...], wanted: list[Found]) -> None:
    assert found(*lines) == wanted
