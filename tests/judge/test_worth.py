"""Worth, next looks and claims, on the demo's invented prices."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from benchvoice.domain.events import Overruled
from benchvoice.domain.figures import Basis, Figure, Limit, Mark, Verdict
from benchvoice.domain.findings import Place
from benchvoice.domain.judgement import Claim, Judgement, plain
from benchvoice.domain.record import Status
from benchvoice.judge.assess import assess
from benchvoice.judge.claims import refused_in, refused_words
from benchvoice.judge.pages import pages, text
from benchvoice.lexicon.judge_wording import page_wording
from benchvoice.lexicon.judging import judging_tables
from benchvoice.lexicon.prices import Prices, load_prices
from benchvoice.resources import folder
from tests.judge.casework import engine, shorthand

TABLES = judging_tables()
PRICES = load_prices(Path(str(folder("demo_audio"))) / "prices.toml", TABLES.lots)
EIGHT = engine(layout="vee", cylinders=8, cost=Decimal(400))
TOLD = (
    "rod_bearing c4 wiped", "rod_journal c4 scored heavy", "main_bearing j2 good", "oil_pickup plugged",
    "oil_pan metal_debris",
)  # fmt: skip


def judged(*told: str, prices: Prices | None = PRICES, **more: Any) -> Judgement:
    return assess(shorthand(EIGHT, told, **more), EIGHT, (), TABLES, prices)


def test_demo_prices_say_that_they_are_invented() -> None:
    assert "invented" in PRICES.note.lower()
    assert "INVENTED" in (Path(str(folder("demo_audio"))) / "prices.toml").read_text(encoding="utf-8")


def test_no_part_is_sold_twice_and_the_sum_is_right() -> None:
    worth = judged(*TOLD).worth
    assert worth is not None
    lots = {lot.id: lot for lot in worth.lots}
    taken = [key for name in worth.plan.lots for key in lots[name].takes]
    assert len(taken) == len(set(taken))
    assert worth.plan.net == pytest.approx(worth.plan.income - worth.plan.labour - 400)
    assert worth.plan.low <= worth.plan.net <= worth.plan.high


def test_break_even_is_the_price_at_which_the_plan_changes() -> None:
    first = judged(*TOLD).worth
    assert first is not None
    for item in first.break_even:
        name = item.lot.partition(":")[0]
        if item.price <= 0 or ":" in item.lot:
            continue
        for factor, inside in ((1.01, True), (0.99, False)):
            price = replace(PRICES.lots[name], low=item.price * factor, high=item.price * factor)
            again = judged(*TOLD, prices=replace(PRICES, lots={**PRICES.lots, name: price})).worth
            assert again is not None
            assert (item.lot in again.plan.lots) is inside, (item.lot, item.price, factor)


def test_a_spoiled_block_can_not_be_sold_as_a_block() -> None:
    worth = judged("block broken").worth
    assert worth is not None
    assert not worth.plan.lots or not {"bare_block", "short_block", "long_block"} & set(worth.plan.lots)
    assert {lot.id for lot in worth.lots if not lot.possible} >= {"bare_block", "short_block", "long_block"}


def test_more_claims_are_never_worth_less() -> None:
    worth = judged(*TOLD, *[f"cylinder_bore c{c} good" for c in range(1, 9)]).worth
    assert worth is not None
    silent, now, opened = (item.net for item in worth.by_claims)
    assert silent <= now + 1e-6 <= opened + 1e-6
    assert worth.plan.net == pytest.approx(now)


def test_a_bad_surprise_never_helps_and_planning_anew_never_hurts() -> None:
    worth = judged(*TOLD).worth
    assert worth is not None
    assert worth.surprises
    for item in worth.surprises:
        assert item.change_if_kept < 0
        assert item.change_if_replanned >= item.change_if_kept - 1e-6


def test_looks_that_pay_stand_first_and_say_why() -> None:
    looks = judged(*TOLD).next_looks
    nets = [look.net > 0 for look in looks]
    assert nets == sorted(nets, reverse=True)
    assert any(nets)
    for look in looks:
        assert look.reasons or not look.net > 0 or look.decides
        for reason in look.reasons:
            assert reason.source


def test_mates_of_a_bad_part_are_believed_worse() -> None:
    looks = {look.key: look for look in judged(*TOLD).next_looks}
    mate, far = looks["next:rod_bearing:cylinder=3"], looks["next:main_cap:journal=1"]
    assert mate.chance_bad > 0.5 > far.chance_bad
    assert any("crankpin" in reason.text for reason in mate.reasons)


def test_worn_pushrod_points_at_its_rocker_lifter_and_lobe() -> None:
    told = ("pushrod c3 intake worn",)
    looks = {look.key: look for look in judged(*told).next_looks}
    for part in ("rocker_arm", "lifter", "cam_lobe"):
        mate = looks[f"next:{part}:cylinder=3,valve=intake"]
        assert any("pushrod 3 intake" in reason.text for reason in mate.reasons)


def test_a_group_said_to_be_bad_makes_its_members_suspect() -> None:
    before = {look.key: look.chance_bad for look in judged("block good").next_looks}
    after = {look.key: look for look in judged("top_ring stuck | the rings are stuck").next_looks}
    ring = after["next:top_ring:all"]
    assert ring.chance_bad > before["next:top_ring:all"]
    assert any("without saying which" in reason.text for reason in ring.reasons)


def test_standard_size_needs_a_figure_within_the_sheet() -> None:
    told = [f"cylinder_bore c{c} diameter=4.000in" for c in range(1, 9)]
    limit = Limit(unit="in", basis=Basis(mark=Mark.SHEET))

    def claim(verdict: Verdict) -> Claim:
        figures = tuple(
            Figure(name="wear", part="cylinder_bore", place=Place(cylinder=c), unit="in", verdict=verdict, limit=limit)
            for c in range(1, 9)
        )
        found = assess(shorthand(EIGHT, told), EIGHT, figures, TABLES, PRICES)
        return next(item for item in found.claims if item.id == "bores_standard")

    assert claim(Verdict.WITHIN).supported
    for verdict in (Verdict.BEYOND, Verdict.CANT_TELL, Verdict.NO_LIMIT):
        assert not claim(verdict).supported


def test_without_prices_importance_ranks() -> None:
    found = judged(*TOLD, prices=None)
    assert found.worth is None
    assert found.next_looks
    assert any("No prices" in note for note in found.notes)


def test_overruling_a_look_and_a_lot() -> None:
    first = judged(*TOLD)
    assert first.worth is not None
    top, lot = first.next_looks[0].key, first.worth.plan.lots[0]
    rulings = (
        Overruled(subject=top, verdict="skip", reason="done by eye"),
        Overruled(subject=f"lot:{lot}", verdict="out", reason="kept for stock"),
        Overruled(subject="lot:core_return", verdict="in"),
    )
    second = judged(*TOLD, overruled=rulings)
    assert second.next_looks[-1].key == top
    assert second.worth is not None
    assert lot not in second.worth.plan.lots
    assert "core_return" in second.worth.plan.lots
    shown = next(item for item in second.worth.lots if item.id == lot)
    assert shown.overruled is not None
    assert shown.overruled.reason == "kept for stock"


def test_a_claim_can_be_withheld_and_never_forced() -> None:
    told = [f"rocker_arm c{c} {v} good" for c in range(1, 9) for v in ("intake", "exhaust")]
    claim = next(item for item in judged(*told).claims if item.id == "rockers_sound")
    assert claim.supported
    ruled = judged(*told, overruled=(Overruled(subject="claim:rockers:rockers_sound", verdict="withheld"),))
    assert not next(item for item in ruled.claims if item.id == "rockers_sound").supported
    forced = judged(overruled=(Overruled(subject="claim:rockers:rockers_sound", verdict="supported"),))
    assert not any(item.supported for item in forced.claims if item.id == "rockers_sound")


def test_claims_need_a_named_test_for_cracks() -> None:
    told = ["cylinder_head left good", "cylinder_head right good"]
    without = [item for item in judged(*told).claims if item.id == "no_cracks" and item.lot == "head:left"]
    dye = [*told[:1], "cylinder_head right good | no cracks, dye penetrant on both heads"]
    with_test = [item for item in judged(*dye).claims if item.id == "no_cracks" and item.lot == "head:left"]
    assert [item.supported for item in without] == [False]
    assert [item.supported for item in with_test] == [True]


def test_a_test_named_in_a_dropped_utterance_is_no_test() -> None:
    told = ["cylinder_head left good", "cylinder_head right good", "valve c1 intake good | dye penetrant on both heads"]
    made = shorthand(EIGHT, told)
    last = made.entries["s1.2.0"]
    dropped = replace(made, entries={**made.entries, "s1.2.0": replace(last, status=Status.DROPPED)})
    for record, supported in ((made, True), (dropped, False)):
        found = assess(record, EIGHT, (), TABLES, PRICES).claims
        claim = next(item for item in found if item.id == "no_cracks" and item.lot == "head:left")
        assert claim.supported is supported


def test_warranty_of_fitness_needs_everything() -> None:
    found = {item.id: item for item in judged(*TOLD).warranties}
    assert found["as_is"].fits
    assert found["as_described"].fits
    assert not found["fit_for_use"].fits
    assert not {item.id: item for item in judged().warranties}["as_described"].fits


def test_refused_words_are_found_whole() -> None:
    refused = refused_words(TABLES)
    assert [item.word for item in refused_in("a rebuilt engine, like new", refused)] == ["rebuilt", "new", "like new"]
    assert not refused_in("news of a renewed interest", refused)


def test_pages_and_json_hold_everything() -> None:
    found = judged(*TOLD)
    shown = text(pages(found, TABLES, page_wording(), everything=True))
    for heading in ("Why it failed", "What to look at next", "What it is worth", "What may be said", "Not looked at"):
        assert heading in shown
    assert "Invented prices" in shown
    assert "{" not in shown
    document = plain(found)
    assert document["causes"][0]["id"] == "starved_of_oil"
    assert document["coverage"]["cells"][0]["place"] == {}


def test_burned_seals_bring_a_caution() -> None:
    assert any("seals" in item.lower() for item in judged("wiring_harness burned").cautions)
    assert not judged("rod_bearing c4 wiped").cautions
