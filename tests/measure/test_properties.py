"""What must hold for any reading: the same in inches and millimetres, monotone, no pass beyond U, no crash."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchvoice.domain.figures import Basis, Limit, Mark, Verdict
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.measure import units
from benchvoice.measure.conformity import judge, probability
from benchvoice.measure.figures import figures
from benchvoice.measure.machining import displacement, next_oversize, ratio_after
from benchvoice.measure.outliers import modified_z, odd_ones
from benchvoice.measure.uncertainty import Amount, combined, repeated
from benchvoice.measure.wording import load as load_wording
from tests.measure.records import EIGHT, FOUR, record_of, sheet_of

LENGTHS = st.decimals(min_value="0.0001", max_value="8", places=4)
SMALL_U = st.floats(min_value=1e-6, max_value=0.01)
SHEET_LIMIT = Basis(mark=Mark.SHEET, source="a test")


def limit(low=None, high=None, unit="in"):
    return Limit(low=low, high=high, unit=unit, basis=SHEET_LIMIT)


@given(value=LENGTHS, u=SMALL_U, high=LENGTHS)
def test_never_a_pass_when_beyond_by_more_than_its_uncertainty(value, u, high):
    amount = Amount(value=value, u=u, unit="in")
    verdict = judge(amount, limit(high=high)).verdict
    if float(value) - 2 * u > float(high) * (1 + 1e-12):
        assert verdict is Verdict.BEYOND
    if value > high:
        assert verdict is not Verdict.WITHIN


@given(value=LENGTHS, u=SMALL_U, high=LENGTHS, low=LENGTHS)
def test_a_verdict_is_the_same_in_inches_and_millimetres(value, u, high, low):
    low, high = sorted((low, high))
    inch = Amount(value=value, u=u, unit="in")
    inch_limit, mm_limit = limit(low, high), limit(low * Decimal("25.4"), high * Decimal("25.4"), "mm")
    answers = {judge(inch, inch_limit).verdict, judge(inch.to("mm"), mm_limit).verdict}
    answers |= {judge(inch, mm_limit).verdict, judge(inch.to("mm"), inch_limit).verdict}
    # At an edge the last binary digit of U may fall either way; away from it all four agree.
    near = any(abs(abs(float(value - end)) - 2 * u) < 1e-12 for end in (low, high))
    assert len(answers) == 1 or near


@given(first=LENGTHS, more=LENGTHS, u=SMALL_U, high=LENGTHS)
def test_a_larger_reading_is_never_more_likely_to_conform(first, more, u, high):
    order = [Verdict.WITHIN, Verdict.CANT_TELL, Verdict.BEYOND]
    small, large = (Amount(value=value, u=u, unit="in") for value in (first, first + more))
    bound = limit(high=high)
    assert probability(small, bound) >= probability(large, bound)
    assert order.index(judge(small, bound).verdict) <= order.index(judge(large, bound).verdict)


@given(value=LENGTHS, u=SMALL_U, worse=st.floats(min_value=1.0, max_value=10.0), high=LENGTHS)
def test_a_worse_gauge_never_makes_a_verdict_firmer(value, u, worse, high):
    good, bad = (Amount(value=value, u=size, unit="in") for size in (u, u * worse))
    firm = judge(good, limit(high=high)).verdict
    assert judge(bad, limit(high=high)).verdict in (firm, Verdict.CANT_TELL)


@given(value=LENGTHS, places=st.integers(min_value=0, max_value=4))
def test_a_conversion_there_and_back_stays_within_the_last_digit(value, places):
    written = value.quantize(Decimal(1).scaleb(-places))
    step = units.step_of(written)
    there = units.convert_honestly(written, None, "in", "mm")
    back = units.convert(there, "mm", "in")
    assert abs(back - written) <= 2 * step
    # No invented precision: the rounding step is at least a third of the original one.
    assert units.step_of(there) * 4 >= step * Decimal("25.4")


@given(st.lists(st.tuples(st.floats(-10, 10), SMALL_U), min_size=1, max_size=8))
def test_propagation_is_the_root_sum_square(terms):
    amounts = [(c, Amount(value=Decimal(1), u=u, unit="in")) for c, u in terms]
    expected = sum((c * u) ** 2 for c, u in terms) ** 0.5
    assert combined(Decimal(1), "in", amounts).u == pytest.approx(expected)


@given(st.lists(LENGTHS, min_size=2, max_size=6), SMALL_U)
def test_repeats_lie_among_the_readings_and_are_no_better_than_the_gauge(values, u):
    found = repeated([Amount(value=value, u=u, unit="in") for value in values])
    assert min(values) <= round(found.value, 20) <= max(values)
    assert found.u >= u


@given(st.lists(st.floats(1, 300), min_size=1, max_size=16), st.floats(0, 5), st.floats(-50, 50))
def test_scores_do_not_depend_on_where_zero_is(values, floor, shift):
    before, after = modified_z(values, floor), modified_z([value + shift for value in values], floor)
    scatter = max(values) - min(values)
    if scatter > 1e-3:
        assert after == pytest.approx(before, rel=1e-3, abs=1e-3) or floor < 1e-3


@given(st.lists(st.floats(1, 300), min_size=3, max_size=10))
def test_at_most_half_of_a_set_is_odd(values):
    assert len(odd_ones(values, floor=0.01).flagged) <= len(values) / 2


@given(LENGTHS, LENGTHS, st.sampled_from(["0.020", "0.030", "0.060"]))
def test_boring_always_adds_displacement_and_compression(bore, stroke, step):
    bigger = bore + Decimal(step)
    assert displacement(bigger, stroke, 4) > displacement(bore, stroke, 4)
    ratio = Decimal("9.5")
    assert ratio_after(ratio, bore, stroke, cut=Decimal(0), new_bore=bigger) > ratio


@given(LENGTHS, LENGTHS)
def test_a_larger_wear_never_needs_a_smaller_step(first, more):
    steps = [Decimal(step) for step in ("0.010", "0.020", "0.030", "0.040", "8", "20")]
    small, large = (next_oversize(Amount(value=v, unit="in", u=0.001), steps).step for v in (first, first + more))
    assert small is not None
    assert large is not None
    assert small <= large


WORN = '[cylinder_bore.taper]\nunit = "in"\nmax = 0.0020\nsource = "p"\n' \
    '[cylinder_bore.diameter]\nunit = "in"\nnominal = 3.5000\nmax = 3.5100\nsource = "p"'  # fmt: skip
BORES = st.lists(st.decimals(min_value="3.4990", max_value="3.5150", places=4), min_size=2, max_size=3, unique=True)


@given(BORES)
@settings(deadline=None)
def test_a_bore_measured_in_millimetres_gives_the_same_figures(values):
    sheet = sheet_of(WORN)
    levels = ("top", "middle", "bottom")
    inch = [
        Finding(kind=Kind.MEASUREMENT, part="cylinder_bore", place=Place(cylinder=1, level=level), quantity="diameter",
                value=value, unit="in", resolution=Decimal("0.0001"))
        for level, value in zip(levels, values, strict=False)
    ]  # fmt: skip
    mm = [
        replace(f, value=f.value * Decimal("25.4"), unit="mm", resolution=Decimal("0.00254"))  # type: ignore[operator]
        for f in inch
    ]
    ours, theirs = (figures(record_of(*findings), sheet) for findings in (inch, mm))
    assert [(f.name, f.place, f.verdict, f.hint) for f in ours] == [
        (f.name, f.place, f.verdict, f.hint) for f in theirs
    ]
    for a, b in zip(ours, theirs, strict=True):
        if a.value is not None and b.value is not None:
            assert float(units.convert(b.value, b.unit, a.unit)) == pytest.approx(float(a.value), rel=1e-9, abs=1e-12)
        if a.uncertainty is not None and b.uncertainty is not None:
            assert b.uncertainty * float(units.factor(b.unit, a.unit)) == pytest.approx(a.uncertainty, rel=1e-9)


PARTS = ["cylinder_bore", "main_journal", "rod_journal", "rod_bearing", "top_ring", "cylinder_head", "valve_spring",
         "cam_lobe", "piston", "wrist_pin", "valve", "valve_guide", "alternator", "engine", "nonsense"]  # fmt: skip
QUANTITIES = ["diameter", "clearance", "end_gap", "compression", "leakage", "flatness", "depth", "length", "pressure",
              "torque", "count", "strangeness"]  # fmt: skip
NUMBERS = st.one_of(
    st.decimals(min_value="-1000", max_value="100000", places=4),
    st.sampled_from([Decimal(0), Decimal("1E+20"), Decimal("1E-20"), Decimal("-0.001")]),
)
ANY = st.builds(
    Finding,
    kind=st.sampled_from([Kind.MEASUREMENT, Kind.CONDITION, Kind.UNSEEN]),
    part=st.sampled_from(PARTS),
    place=st.builds(
        Place, cylinder=st.none() | st.integers(1, 12), journal=st.none() | st.integers(1, 9),
        level=st.none() | st.sampled_from(["top", "bottom"]), side=st.none() | st.sampled_from(["thrust", "minor"]),
        bank=st.none() | st.sampled_from(["left", "right"]),
    ),
    condition=st.none() | st.sampled_from(["melted", "good", "heat_discolored", "burned"]),
    present=st.booleans(),
    hedged=st.booleans(),
    quantity=st.none() | st.sampled_from(QUANTITIES),
    value=st.none() | NUMBERS,
    unit=st.none() | st.sampled_from(["in", "mm", "psi", "kPa", "percent", "deg_C", "lbf", "each", "furlong"]),
    resolution=st.none() | st.sampled_from([Decimal("0.001"), Decimal("0.0001")]),
    upper=st.none() | NUMBERS,
    bound=st.none() | st.sampled_from(["about", "at_least", "at_most"]),
    text=st.sampled_from(["", "blue at the back", "wet test", "out the exhaust", "with the caliper"]),
)  # fmt: skip


@given(st.lists(ANY, max_size=25), st.sampled_from([FOUR, EIGHT]), st.booleans())
@settings(deadline=None, max_examples=150)
def test_any_record_at_all_is_computed_without_a_fault(findings, engine, with_sheet):
    record = record_of(*findings, engine=engine)
    found = figures(record, sheet_of(WORN) if with_sheet else None)
    wording = load_wording()
    for figure in found:
        assert set(figure.inputs) <= set(record.entries)
        if figure.verdict in (Verdict.WITHIN, Verdict.BEYOND, Verdict.CANT_TELL) and figure.limit is not None:
            assert figure.limit.decides
        if figure.limit is None:
            assert figure.verdict in (None, Verdict.NO_LIMIT)
        for note in figure.notes:
            assert "{" not in wording.note(note)
