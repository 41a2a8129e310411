"""From a record to figures: each group, its verdicts and its provenance."""

from dataclasses import replace
from decimal import Decimal

import pytest

from benchvoice.domain.engine import BankOrder, Engine, Layout, Numbering
from benchvoice.domain.figures import Mark, Verdict, figure_to_json
from benchvoice.domain.findings import Flag
from benchvoice.domain.record import Status
from benchvoice.measure.bench import Bench
from benchvoice.measure.figures import figures
from tests.measure.records import EIGHT, codes, computed, condition, measured, named, record_of, sheet_of

SIZES = """
[cylinder_bore.diameter]
unit = "in"
nominal = 4.0000
oversizes = [0.020, 0.030, 0.040]
source = "page 1"
[crankshaft.stroke]
unit = "in"
nominal = 3.480
source = "page 1"
[engine.compression_ratio]
unit = "each"
nominal = 9.5
source = "page 1"
[rod_journal.diameter]
unit = "in"
nominal = 2.1000
undersizes = [0.010, 0.020]
source = "page 2"
"""


def bore(cylinder, level, value, **more):
    return measured("cylinder_bore", "diameter", value, cylinder=cylinder, level=level, **more)


def compression(*values, wet=False, unit="psi"):
    text = "wet test" if wet else ""
    return [
        measured("cylinder_bore", "compression", str(value), unit, cylinder=number, text=text)
        for number, value in enumerate(values, start=1)
        if value is not None
    ]


def test_a_bore_by_levels_and_directions():
    found = computed(
        bore(1, "top", "4.0046", side="thrust"), bore(1, "top", "4.0031", side="minor"),
        bore(1, "bottom", "4.0012", side="thrust"), bore(1, "bottom", "4.0009", side="minor"), sheet=SIZES,
    )  # fmt: skip
    assert named(found, "out_of_round").value == Decimal("0.0015")
    assert named(found, "taper").value == Decimal("0.0034")
    assert named(found, "wear").value == Decimal("0.0046")
    assert named(found, "taper").inputs == ("s.0.0", "s.2.0")


def test_rules_of_thumb_hint_and_never_decide():
    found = computed(bore(1, "top", "4.0200"), bore(1, "bottom", "4.0000"), sheet=SIZES)
    wear, taper = named(found, "wear"), named(found, "taper")
    for figure in (wear, taper):
        assert figure.verdict is Verdict.NO_LIMIT
        assert figure.limit is None
        assert figure.hint is Verdict.BEYOND
        assert figure.thumb is not None
    assert wear.thumb.high == Decimal("0.004")
    assert taper.thumb.high == Decimal("0.00174")


def test_the_sheet_decides_with_its_source():
    sheet = SIZES + '[cylinder_bore.taper]\nunit = "mm"\nmax = 0.05\nsource = "page 3"'
    found = computed(bore(1, "top", "4.0200"), bore(1, "bottom", "4.0000"), sheet=sheet)
    taper = named(found, "taper")
    assert taper.verdict is Verdict.BEYOND
    assert taper.probability == pytest.approx(0.0)
    assert taper.limit.basis.mark is Mark.SHEET
    assert taper.basis.source == "page 3"
    assert taper.hint is None


def test_the_whole_bank_goes_to_one_oversize():
    found = computed(
        bore(1, "top", "4.0039"), bore(3, "top", "4.0170"), bore(2, "top", "4.0010"), engine=EIGHT, sheet=SIZES
    )
    left, right = (named(found, "oversize", bank=bank) for bank in ("left", "right"))
    assert (left.value, right.value) == (Decimal("0.030"), Decimal("0.020"))
    assert "measured_n_of" in codes(left)
    assert set(named(found, "metal_to_remove", bank="left").inputs) <= {"s.0.0", "s.1.0"}
    displacement = named(found, "displacement_after")
    assert float(displacement.value) == pytest.approx(355.115, abs=0.001)
    assert dict(displacement.notes[0].values) == {"percent": "1.51"}


def test_a_scratch_is_bored_out_on_both_sides():
    deep = measured("cylinder_bore", "depth", "0.009", cylinder=1)
    found = computed(bore(1, "top", "4.0010"), deep, sheet=SIZES)
    assert named(found, "metal_to_remove").value == Decimal("0.0010") + Decimal("0.018") + Decimal("0.004")
    assert named(found, "oversize").value == Decimal("0.030")


def test_beyond_the_last_oversize_is_said():
    found = computed(bore(1, "top", "4.0390"), sheet=SIZES)
    oversize = named(found, "oversize")
    assert oversize.value is None
    assert "beyond_largest_oversize" in codes(oversize)


def test_a_wall_that_was_not_measured_never_passes():
    for least, verdict in (("0.100", Verdict.CANT_TELL), ("0.195", Verdict.BEYOND)):
        wall = f'[cylinder_bore.wall]\nunit = "in"\nnew = [0.200, 0.202]\nmin = {least}\nsource = "p"'
        found = computed(bore(1, "top", "4.0010"), sheet=SIZES + wall)
        assert named(found, "wall_after").verdict is verdict


def test_the_worst_journal_sends_the_whole_shaft_under():
    pins = [measured("rod_journal", "diameter", value, cylinder=n) for n, value in ((1, "2.0998"), (2, "2.0885"))]
    found = computed(*pins, sheet=SIZES)
    under = named(found, "undersize")
    assert under.value == Decimal("0.020")
    assert ("cylinder", "2") in next(note for note in under.notes if note.code == "worst_at").values
    ground = computed(measured("rod_journal", "diameter", "2.0898", cylinder=1), sheet=SIZES)
    assert "ground_before" in codes(named(ground, "undersize"))


def test_oil_clearance_from_sizes_and_by_inch():
    shell = measured("rod_bearing", "diameter", "2.1020", cylinder=2)
    pin = measured("rod_journal", "diameter", "2.1000", cylinder=2)
    other = measured("rod_journal", "diameter", "2.0900", cylinder=3)
    found = computed(shell, pin, other)
    clearance = named(found, "oil_clearance")
    assert clearance.value == Decimal("0.0020")
    assert clearance.inputs == ("s.0.0", "s.1.0")
    assert clearance.hint is not None
    assert round(named(found, "clearance_per_size").value, 6) == Decimal("0.000952")


def test_a_lower_limit_is_held_against_the_tightest_spot():
    sheet = '[piston.clearance]\nunit = "in"\nmin = 0.0010\nmax = 0.0060\nsource = "p"'
    found = computed(
        bore(1, "top", "4.0050"), bore(1, "bottom", "4.0002"),
        measured("piston_skirt", "diameter", "4.0000", cylinder=1), sheet=sheet,
    )  # fmt: skip
    assert named(found, "piston_clearance").verdict is Verdict.WITHIN
    assert named(found, "least_clearance").verdict is Verdict.BEYOND


def test_a_number_in_doubt_gives_no_verdict_until_it_is_accepted():
    finding = measured("crankshaft", "end_float", "0.050", flags=(Flag.TWO_READINGS,))
    sheet = sheet_of('[crankshaft.end_float]\nunit = "in"\nmax = 0.012\nsource = "p"')
    accepted = record_of(finding)
    proposed = replace(accepted, entries={k: replace(e, status=Status.PROPOSED) for k, e in accepted.entries.items()})
    assert named(figures(accepted, sheet), "reading").verdict is Verdict.BEYOND
    waiting = named(figures(proposed, sheet), "reading")
    assert waiting.verdict is Verdict.CANT_TELL
    assert "number_unsettled" in codes(waiting)


def test_a_row_that_contradicts_itself_decides_nothing():
    row = '[valve_guide.clearance]\nunit = "in"\nmax = 0.006\nsource = "p"\nalso = {{ unit = "mm", max = {} }}'
    guide = measured("valve_guide", "clearance", "0.010", cylinder=1, valve="intake")
    assert named(computed(guide, sheet=row.format("0.15")), "reading").verdict is Verdict.BEYOND
    doubted = named(computed(guide, sheet=row.format("0.015")), "reading")
    assert doubted.verdict is Verdict.CANT_TELL
    assert "sheet_doubted" in codes(doubted)


def test_sizes_that_are_no_pair_make_no_clearance():
    big_end = measured("connecting_rod", "diameter", "2.2250", cylinder=1)
    pin = measured("wrist_pin", "diameter", "0.9270", cylinder=1)
    assert not [figure for figure in computed(big_end, pin) if figure.name == "pin_clearance"]
    bush = measured("connecting_rod", "diameter", "0.9278", cylinder=1)
    assert named(computed(bush, pin), "pin_clearance").value == Decimal("0.0008")


def test_a_cold_bench_shifts_a_piston_s_clearance():
    sizes = (measured("cylinder_bore", "diameter", "4.0020", cylinder=1),
             measured("piston_skirt", "diameter", "4.0000", cylinder=1))  # fmt: skip
    found = named(computed(*sizes, bench=Bench(temperature=10.0)), "piston_clearance")
    assert found.value == Decimal("0.0020")
    assert dict(found.notes[-1].values)["shift"] == "-0.0004"


def test_head_valve_train_and_springs():
    sheet = SIZES + (
        '[valve_spring.length]\nunit = "in"\nnominal = 2.00\nsource = "p"\n'
        '[cam_lobe.lift]\nunit = "in"\nmin = 0.275\nsource = "p"\n'
        '[valve_spring.pressure]\nunit = "lbf"\nmin = 80\nsource = "p"'
    )
    found = computed(
        measured("cylinder_head", "flatness", "0.010"),
        measured("cam_lobe", "length", "1.7300", cylinder=1, valve="intake"),
        measured("cam_lobe", "diameter", "1.4500", cylinder=1, valve="intake"),
        measured("valve_spring", "length", "1.90", cylinder=1, valve="intake"),
        measured("valve_spring", "pressure", "60", "psi", cylinder=1, valve="intake"), sheet=sheet,
    )  # fmt: skip
    assert round(named(found, "ratio_after_cut").high, 2) == Decimal("9.71")
    lift = named(found, "lift")
    assert (lift.value, lift.verdict) == (Decimal("0.2800"), Verdict.WITHIN)
    assert named(found, "shrinkage").hint is Verdict.BEYOND
    load = named(found, "reading", quantity="pressure")
    assert (load.unit, load.verdict) == ("lbf", Verdict.BEYOND)


def test_ring_gaps_measure_taper():
    gaps = [measured("top_ring", "end_gap", value, cylinder=1, level=level)
            for level, value in (("top", "0.0306"), ("bottom", "0.0180"))]  # fmt: skip
    found = named(computed(*gaps), "taper_from_ring_gap")
    assert round(found.value, 4) == Decimal("0.0040")


def test_compression_over_the_cylinders():
    found = computed(*compression(170, 168, 165, 140))
    share = named(found, "lowest_share")
    assert round(share.value) == 82
    assert share.place.cylinder == 4
    assert share.verdict is Verdict.NO_LIMIT
    assert "loose_rule_met" in codes(share)
    assert named(found, "compression_spread").value == 30
    odd = named(found, "odd_one_out")
    assert odd.place.cylinder == 4
    assert {"few_values", "dixon_agrees"} <= codes(odd)


def test_two_low_neighbours_point_at_the_gasket():
    straight = Engine(stock="T", layout=Layout.INLINE, cylinders=8)
    values = compression(160, 158, 100, 98, 162, 155, 160, 159)
    found = computed(*values, engine=straight)
    gasket = named(found, "low_neighbours")
    assert (gasket.part, gasket.place.cylinder) == ("head_gasket", 3)
    assert {figure.place.cylinder for figure in found if figure.name == "odd_one_out"} == {3, 4}
    # In a vee numbered in turns, three and four lie on different banks; numbered by bank they are neighbours.
    assert not [figure for figure in computed(*values, engine=EIGHT) if figure.name == "low_neighbours"]
    by_bank = Engine(stock="T", layout=Layout.VEE, cylinders=8, numbering=Numbering(bank_order=BankOrder.BY_BANK))
    assert named(computed(*values, engine=by_bank), "low_neighbours").place.cylinder == 3


@pytest.mark.parametrize(("wet", "code"), [(150, "wet_rises"), (108, "wet_unclear"), (100, "wet_stays")])
def test_wet_against_dry(wet, code):
    found = computed(*compression(100, 160, 160, 158), *compression(wet, wet=True))
    rise = named(found, "wet_rise")
    assert code in codes(rise)
    assert named(found, "reading", cylinder=1).value == 100


def test_altitude_saves_healthy_cylinders():
    row = '[cylinder_bore.compression]\nunit = "psi"\nmin = 150\nsource = "p"'
    at_sea = computed(*compression(135, 134), sheet=row)
    assert {figure.verdict for figure in at_sea if figure.name == "reading"} == {Verdict.BEYOND}
    up = computed(*compression(135, 134), sheet=row, bench=Bench(altitude=1524.0))
    corrected = [figure for figure in up if figure.name == "compression_at_sea_level"]
    assert [round(figure.value) for figure in corrected] == [162, 161]
    assert {figure.verdict for figure in corrected} == {Verdict.WITHIN}
    assert {figure.verdict for figure in up if figure.name == "reading"} == {None}


def test_where_the_air_goes():
    leak = measured("cylinder_bore", "leakage", "40", "percent", cylinder=2, text="forty percent out the exhaust")
    found = computed(leak, bench=Bench(orifice=1.0, supply=551.6))
    assert ("path", "exhaust_valve") in named(found, "reading").notes[0].values
    assert named(found, "reading").hint is Verdict.BEYOND
    assert float(named(found, "leak_hole").value) == pytest.approx(1.25, abs=0.05)


def test_a_coarse_gauge_makes_nobody_odd():
    assert not [figure for figure in computed(*compression(160, 160, 160, 155)) if figure.name == "odd_one_out"]


def test_heat_of_an_engine_that_was_in_a_fire():
    found = computed(
        condition("intake_manifold", "melted"), condition("alternator", "melted"), condition("water_pump", "good"),
        condition("oil_filter", "melted", present=False), condition("valve_cover", "good"),
        condition("crankshaft", "heat_discolored", text="crank is light straw at the front", end="front"),
    )  # fmt: skip
    top = next(figure for figure in found if figure.region == "top")
    assert (top.low, round(top.high)) == (Decimal(120), 1510)
    assert "temper_lost_perhaps" in codes(top)
    front = next(figure for figure in found if figure.region == "front")
    assert front.low == 500
    bottom = next(figure for figure in found if figure.region == "bottom")
    assert (bottom.low, bottom.high) == (None, Decimal(320))
    inside = next(figure for figure in found if figure.region == "front inside")
    assert 205 < inside.low < 230 < inside.high < 270
    assert {"colour_means"} <= codes(inside)


def test_contradicting_heat_is_a_conflict():
    found = computed(condition("alternator", "melted"), condition("timing_belt", "good"))
    assert "heat_conflict" in codes(named(found, "temperature"))


def test_a_healthy_engine_has_no_heat_figures():
    assert computed(condition("cylinder_head", "good"), condition("intake_manifold", "clean")) == ()


def test_hedged_conditions_bound_no_heat():
    doubt = replace(condition("alternator", "melted"), hedged=True)
    assert computed(doubt) == ()


def test_figures_as_json():
    found = computed(bore(1, "top", "4.0046"), sheet=SIZES)
    data = figure_to_json(named(found, "wear"))
    assert data["value"] == 0.0046
    assert data["rule_of_thumb"]["mark"] == "source"
    assert data["inputs"] == ["s.0.0"]


BORED = '[cylinder_bore.wear]\nunit = "in"\nmax = 0.0040\nsource = "p"\n'


def test_wear_of_bores_that_were_bored_before_counts_from_their_size():
    """Thirty over and two thou worn is not thirty-two thou of wear; the sheet's largest diameter is for standard."""
    sheet = SIZES.replace("nominal = 4.0000", "nominal = 4.0000\nmax = 4.0045") + BORED
    found = computed(bore(1, "top", "4.0320"), bore(1, "bottom", "4.0302"), bore(2, "top", "4.0310"), sheet=sheet)
    wear = named(found, "wear", cylinder=1)
    assert (wear.value, wear.verdict) == (Decimal("0.0020"), Verdict.WITHIN)
    assert "bored_before" in codes(wear)
    assert named(found, "oversize").value == Decimal("0.040")
    for reading in (figure for figure in found if figure.name == "reading"):
        assert reading.verdict is Verdict.CANT_TELL
        assert "sized_before" in codes(reading)
    standard = computed(bore(1, "top", "4.0060"), bore(1, "bottom", "4.0030"), sheet=sheet)
    assert named(standard, "wear").verdict is Verdict.BEYOND
    assert named(standard, "reading", level="top", cylinder=1).verdict is Verdict.BEYOND


def test_wear_of_a_ground_shaft_counts_from_its_size():
    limit = '[rod_journal.wear]\nunit = "in"\nmax = 0.0010\nsource = "p"\n'
    pins = [measured("rod_journal", "diameter", value, cylinder=n) for n, value in ((1, "2.0899"), (2, "2.0897"))]
    found = computed(*pins, sheet=SIZES + limit)
    assert [figure.value for figure in found if figure.name == "wear"] == [Decimal("0.0001"), Decimal("0.0003")]
    assert {figure.verdict for figure in found if figure.name == "wear"} == {Verdict.WITHIN}
    # Worn ten thou on one journal, none on the other: that is wear, not a size.
    worn = [measured("rod_journal", "diameter", value, cylinder=n) for n, value in ((1, "2.0899"), (2, "2.0999"))]
    assert named(computed(*worn, sheet=SIZES + limit), "wear", cylinder=1).verdict is Verdict.BEYOND


def test_two_readings_of_no_level_prove_no_ovality():
    limit = '[rod_journal.out_of_round]\nunit = "in"\nmax = 0.0005\nsource = "p"\n'
    bare = [measured("rod_journal", "diameter", value, cylinder=1) for value in ("2.0998", "2.0980")]
    figure = named(computed(*bare, sheet=limit), "out_of_round")
    assert (figure.value, figure.verdict) == (Decimal("0.0018"), Verdict.CANT_TELL)
    assert "level_not_said" in codes(figure)
    assert named(computed(*bare), "out_of_round").hint is Verdict.CANT_TELL
    across = [measured("rod_journal", "diameter", value, cylinder=1, side=side)
              for value, side in (("2.0998", "thrust"), ("2.0980", "minor"))]  # fmt: skip
    assert named(computed(*across, sheet=limit), "out_of_round").verdict is Verdict.BEYOND


def test_a_shift_by_temperature_leaves_a_verdict_open():
    sheet = '[piston.clearance]\nunit = "in"\nmax = 0.0025\nsource = "p"'
    sizes = (measured("cylinder_bore", "diameter", "4.0020", cylinder=1),
             measured("piston_skirt", "diameter", "4.0000", cylinder=1))  # fmt: skip
    at_20 = computed(*sizes, sheet=sheet, bench=Bench(temperature=20.0))
    assert named(at_20, "piston_clearance").verdict is Verdict.WITHIN
    hot = computed(*sizes, sheet=sheet, bench=Bench(temperature=38.0))
    assert named(hot, "piston_clearance").verdict is Verdict.CANT_TELL


def test_air_that_went_nowhere_is_not_reported():
    text = "forty percent nothing out the exhaust but bubbles in the radiator"
    leak = measured("cylinder_bore", "leakage", "40", "percent", cylinder=2, text=text)
    found = named(computed(leak), "reading")
    assert [dict(note.values)["path"] for note in found.notes if note.code == "air_goes"] == ["cooling"]


def test_the_looser_rule_counts_altitude_and_the_gauge():
    def code(*values, **bench):
        found = codes(named(computed(*compression(*values), bench=Bench(**bench)), "lowest_share"))
        return next(name for name in found if name.startswith("loose_rule"))

    assert code(110, 92) == "loose_rule_missed"
    assert code(110, 92, altitude=1524.0) == "loose_rule_met"
    assert code(150, 105) == "loose_rule_open"


def test_only_what_must_lose_its_temper_surely_did():
    found = computed(condition("alternator", "melted"), condition("intake_manifold", "melted"),
                     condition("throttle_body", "melted"))  # fmt: skip
    top = next(figure for figure in found if figure.region == "top")
    assert "temper_lost_surely" not in codes(top)
    assert "temper_lost_perhaps" in codes(top)


def test_a_reading_said_with_reserve_is_shown_with_reserve():
    from benchvoice.measure.wording import value_text

    said = measured("crankshaft", "end_float", "0.008", hedged=True)
    assert value_text(named(computed(said), "reading")).startswith("about 0.008 ")


def test_hardness_said_or_by_its_dent():
    said = measured("cylinder_head", "hardness", "58", "each", bank="left")
    dent = measured("cylinder_head", "hardness", "3.0", "mm", bank="right")
    spoken = named(computed(said), "reading")
    assert (spoken.unit, spoken.hint, spoken.verdict) == ("HB", Verdict.BEYOND, Verdict.NO_LIMIT)
    by_dent = named(computed(dent), "hardness_by_dent")
    assert round(by_dent.value, 1) == Decimal("69.1")
    assert by_dent.hint is Verdict.CANT_TELL
    assert not [figure for figure in computed(measured("cylinder_head", "hardness", "9", "mm"))
                if figure.name == "hardness_by_dent"]  # fmt: skip


def test_a_bolt_that_has_grown():
    sheet = '[rod_bolt.length]\nunit = "in"\nnominal = 2.1350\nsource = "p"\n' \
        '[rod_bolt.growth]\nunit = "in"\nmax = 0.0015\nsource = "p"'  # fmt: skip
    mike = {"text": "two point one three nine oh with the mike", "resolution": Decimal("0.0001")}
    found = computed(measured("rod_bolt", "length", "2.1390", cylinder=2, **mike), sheet=sheet)
    growth = named(found, "growth")
    assert (growth.value, growth.verdict) == (Decimal("0.0040"), Verdict.BEYOND)


def test_the_tension_of_a_torque_is_an_interval():
    sheet = '[head_bolt.diameter]\nunit = "mm"\nnominal = 12\nsource = "p"\n' \
        '[head_bolt.pitch]\nunit = "mm"\nnominal = 1.75\nsource = "p"\n' \
        '[head_bolt.property_class]\nunit = "each"\nnominal = 8.8\nsource = "p"'  # fmt: skip
    tension = named(computed(measured("head_bolt", "torque", "88", "N_m"), sheet=sheet), "tension")
    # 88 N m give 36,667 N dry and 48,889 N oiled; the wrench's 4 % and the reading's own step widen that.
    assert 34_000 < tension.low < 36_667
    assert 48_889 < tension.high < 52_000
    share = next(note for note in tension.notes if note.code == "share_of_proof")
    assert dict(share.values)["load"] == "48.9"
    assert tension.verdict is None
    assert not [figure for figure in computed(measured("head_bolt", "torque", "88", "N_m"))
                if figure.name == "tension"]  # fmt: skip
