"""How a spoken measurement becomes a value with its uncertainty."""

from decimal import Decimal

import pytest

from benchvoice.domain.figures import Verdict
from benchvoice.measure.bench import Bench
from tests.measure.records import computed, measured, named

BORE = '[cylinder_bore.diameter]\nunit = "in"\nmax = {limit}\nsource = "p"'


def bore(value, **more):
    return measured("cylinder_bore", "diameter", value, cylinder=1, **more)


def test_resolution_alone_when_the_gauge_is_perfect():
    found = named(computed(bore("3.543"), bench=Bench(gauges={"bore gauge": (Decimal(0), "in")})), "reading")
    assert found.uncertainty == pytest.approx(2 * 0.001 / 12**0.5)
    assert not found.assumed


def test_spoken_resolution_wins_over_written_digits():
    perfect = Bench(gauges={"strip gauge": (Decimal(0), "in")})
    said = measured("rod_bearing", "clearance", "0.0025", cylinder=1, resolution=Decimal("0.0005"))
    assert named(computed(said, bench=perfect), "reading").uncertainty == pytest.approx(2 * 0.0005 / 12**0.5)


def test_a_caliper_that_was_named_cannot_decide_half_a_thou():
    """One reading of 3.543 with a 0.001 caliper can't decide a limit half a thou away, either way."""
    for limit in ("3.5435", "3.5425"):
        found = computed(bore("3.543", text="three five four three with the caliper"), sheet=BORE.format(limit=limit))
        assert named(found, "reading").verdict is Verdict.CANT_TELL
    better = computed(bore("3.5430"), sheet=BORE.format(limit="3.5435"))
    assert named(better, "reading").verdict is Verdict.WITHIN


def test_unchecked_zero_doubles_the_assumed_gauge():
    once = named(computed(bore("3.5430")), "reading").uncertainty
    twice = named(computed(bore("3.5430"), bench=Bench(zero_checked=False)), "reading").uncertainty
    assert once < twice < 2 * once


def test_the_same_thing_said_twice_is_one_reading_on_two_entries():
    found = named(computed(bore("3.5430"), bore("3.5430")), "reading")
    assert found.inputs == ("s.0.0", "s.1.0")
    assert found.uncertainty == named(computed(bore("3.5430")), "reading").uncertainty


def test_repeats_are_averaged_and_scatter_counts():
    found = named(computed(*(bore(v, level="top", side="thrust") for v in ("3.5430", "3.5434", "3.5429"))), "reading")
    assert found.value == Decimal("3.5431")
    assert found.uncertainty > named(computed(bore("3.5430")), "reading").uncertainty


def test_readings_of_one_level_that_no_gauge_could_scatter_so_are_directions():
    found = computed(bore("3.5430", level="top"), bore("3.5450", level="top"))
    assert named(found, "out_of_round").value == Decimal("0.0020")
    close = computed(bore("3.5430", level="top"), bore("3.5431", level="top"))
    assert not [figure for figure in close if figure.name == "out_of_round"]


def test_hedged_and_approximate_readings_are_wider_and_say_so():
    sharp = named(computed(bore("3.543")), "reading")
    for vague in (bore("3.543", hedged=True), bore("3.543", bound="about")):
        found = named(computed(vague), "reading")
        assert found.hedged
        assert found.uncertainty > 4 * sharp.uncertainty


def test_a_spoken_range_takes_its_middle_and_its_width():
    gap = measured("top_ring", "end_gap", "0.010", cylinder=1, upper=Decimal("0.014"))
    found = named(computed(gap, bench=Bench(gauges={"feeler": (Decimal(0), "in")})), "reading")
    assert found.value == Decimal("0.012")
    assert found.uncertainty == pytest.approx(2 * 0.005 / 12**0.5)


def test_a_bound_decides_only_what_it_can():
    row = '[crankshaft.end_float]\nunit = "in"\nmax = 0.012\nsource = "p"'
    for bound, value, verdict in (
        ("at_least", "0.020", Verdict.BEYOND),
        ("at_least", "0.008", Verdict.CANT_TELL),
        ("at_most", "0.008", Verdict.WITHIN),
        ("at_most", "0.020", Verdict.CANT_TELL),
    ):
        found = named(computed(measured("crankshaft", "end_float", value, bound=bound), sheet=row), "reading")
        assert found.verdict is verdict
        assert found.value is None
        assert (found.low if bound == "at_least" else found.high) == Decimal(value)


def test_counts_claims_and_strange_units_make_no_figure():
    assert computed(measured("engine", "distance_run", "98000", "mi")) == ()
    assert computed(measured("main_bolt", "count", "8", "each")) == ()
    assert computed(measured("cylinder_bore", "diameter", "3.5", "psi", cylinder=1)) == ()
    assert computed(measured("cylinder_bore", "diameter", "3.5", "cubits", cylinder=1)) == ()


def test_repeats_that_the_gauge_cannot_explain_are_named():
    def notes(*values):
        return {note.code for note in named(computed(*(bore(value) for value in values)), "reading").notes}

    assert "repeats_differ" not in notes("3.5430", "3.5431")
    assert "repeats_differ" in notes("3.5430", "3.5451")
