"""Never a claim on a part that was not opened: over random records of random engines."""

from __future__ import annotations

import re
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Degree, Finding, Kind, Place
from benchvoice.domain.record import Status
from benchvoice.judge.assess import assess
from benchvoice.lexicon.judging import judging_tables
from benchvoice.lexicon.prices import Price, Prices
from tests.judge.casework import engine, record

TABLES = judging_tables()
PARTS = sorted(TABLES.parts)
CONDITIONS = sorted(TABLES.conditions.all)
TEXTS = (
    "rods look good", "all of them are good", "every one is fine", "did not pull it", "couldn't see it", "feels smooth",
    "the rest look good", "wiped", "", "both are clean", "mag checked, no cracks", "measured it",
)  # fmt: skip
PRICES = Prices(
    currency="", note="", labour_per_hour=0, cause_known=0,
    lots={row.id: Price(low=1, high=1, minutes=0, chance=1, days=1) for row in TABLES.lots},
)  # fmt: skip

maybe = st.none
engines = st.builds(
    engine,
    layout=st.sampled_from(["inline", "vee", "flat"]),
    cylinders=st.sampled_from([4, 6, 8]),
    valve_gear=st.sampled_from(["pushrod", "sohc", "dohc"]),
    bank_order=st.sampled_from(["alternate", "by_bank"]),
)
places = st.builds(
    Place,
    cylinder=maybe() | st.integers(1, 10),
    journal=maybe() | st.integers(1, 9),
    bank=maybe() | st.sampled_from(["left", "right"]),
    end=maybe() | st.sampled_from(["front", "rear"]),
    valve=maybe() | st.sampled_from(["intake", "exhaust"]),
    shell=maybe() | st.sampled_from(["upper", "lower"]),
)
common: dict[str, Any] = {
    "part": st.sampled_from(PARTS), "place": places, "text": st.sampled_from(TEXTS), "hedged": st.booleans()
}  # fmt: skip
findings = st.one_of(
    st.builds(
        Finding, kind=st.just(Kind.CONDITION), condition=st.sampled_from(CONDITIONS), present=st.booleans(),
        degree=maybe() | st.sampled_from(list(Degree)), **common,
    ),
    st.builds(
        Finding, kind=st.just(Kind.MEASUREMENT), quantity=st.sampled_from(["diameter", "compression", "flatness"]),
        value=st.just(1), unit=st.just("in"), **common,
    ),
    st.builds(Finding, kind=st.just(Kind.UNSEEN), **common),
    st.builds(
        Finding, kind=st.just(Kind.EVENT), done_by=st.just("teardown"),
        action=st.sampled_from(["removed", "opened", "cleaned", "turned_by_hand", "damaged_removing"]), **common,
    ),
)  # fmt: skip
STATUSES = st.sampled_from([Status.ACCEPTED, Status.PROPOSED, Status.DROPPED, Status.WITHDRAWN])


def opens(finding: Finding, part: str, place: Place, of: Engine) -> bool:
    """Written apart from the product: does this finding say that this one part was looked at?"""
    if finding.part != part or finding.kind is Kind.UNSEEN:
        return False
    if finding.kind is Kind.EVENT and finding.action not in ("turned_by_hand", "damaged_removing"):
        return False
    if finding.kind is Kind.MEASUREMENT and finding.quantity == "compression":
        return False
    said, several = finding.place, TABLES.parts[part].per != "engine"
    every = re.search(r"\b(all|every|both|each)\b", finding.text) and not TABLES.parts[part].one_by_one
    if several and every:
        return True
    for name, value in place.as_dict().items():
        told = getattr(said, name)
        if name == "bank" and told is None and said.cylinder is not None and said.cylinder <= of.cylinders:
            told = of.bank_of(said.cylinder)
        at_an_end = said.end is not None and name in ("cylinder", "journal") and told is None
        if told != value and not at_an_end:
            return False
    return True


@settings(max_examples=90, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(engines, st.lists(st.tuples(findings, STATUSES), max_size=14))
def test_a_supported_claim_covers_only_parts_that_were_opened(of: Engine, told: list[tuple[Finding, Status]]) -> None:
    made = record(of, [finding for finding, _ in told])
    entries = {
        name: type(entry)(id=name, sitting="s1", n=entry.n, finding=entry.finding, status=status)
        for (name, entry), (_, status) in zip(made.entries.items(), told, strict=True)
    }
    made = type(made)(engine=of, entries=entries, said=made.said)
    standing = [finding for finding, status in told if status in (Status.ACCEPTED, Status.PROPOSED)]
    judged = assess(made, of, (), TABLES, PRICES)
    cells = {cell.key: cell for cell in judged.coverage.cells}
    for claim in judged.claims:
        for key in claim.covers:
            assert claim.supported
            cell = cells[key]
            assert any(opens(finding, cell.part, cell.place, of) for finding in standing), (claim.text, key)
        assert set(claim.evidence) <= {name for name, entry in entries.items() if entry.counts}


@settings(max_examples=35, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(engines, st.lists(findings, max_size=10))
def test_every_part_of_a_lot_is_spoken_of(of: Engine, told: list[Finding]) -> None:
    """What was not opened is said, never left out: each lot's statements name all of its parts, once by what was seen
    or once as not seen.
    """
    judged = assess(record(of, told), of, (), TABLES, PRICES)
    assert judged.worth is not None
    taken = {lot.id: {key.partition(":")[0] for key in lot.takes} for lot in judged.worth.lots}
    for lot in judged.worth.plan.lots:
        spoken = {claim.id.partition(":")[0] for claim in judged.claims if claim.lot == lot and ":" in claim.id}
        assert taken[lot] <= spoken


@settings(max_examples=35, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(engines, st.lists(findings, max_size=12))
def test_chances_and_shares_are_chances(of: Engine, told: list[Finding]) -> None:
    judged = assess(record(of, told), of, (), TABLES, None)
    assert sum(cause.share for cause in judged.causes) <= 1 + 1e-9
    for look in judged.next_looks:
        assert 0 <= look.chance_bad <= 1
        assert look.minutes >= 0
    for sample in judged.samples:
        assert abs(sum(sample.rest_bad) - 1) < 1e-9
