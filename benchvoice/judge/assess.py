"""One function from the record to everything that is judged of it."""

from __future__ import annotations

from collections.abc import Sequence

from benchvoice.domain.coverage import Coverage
from benchvoice.domain.engine import Engine
from benchvoice.domain.figures import Figure
from benchvoice.domain.findings import Kind
from benchvoice.domain.judgement import AS_JUDGED, Cause, Judgement, Overruling, Worth
from benchvoice.domain.record import Record
from benchvoice.judge.beliefs import Chances, alike, beliefs, triggers
from benchvoice.judge.bundles import Draws
from benchvoice.judge.causes import causes
from benchvoice.judge.claims import Subject, claims, grounds, refused_words, warranties
from benchvoice.judge.coverage import cover
from benchvoice.judge.deciding import Deciding
from benchvoice.judge.looks import (
    POINT_MINUTES,
    Bench,
    candidates,
    next_looks,
    ranked,
    weigh_bundles,
    weigh_by_importance,
    weigh_by_worth,
    weigh_causes,
)
from benchvoice.judge.market import Known, Market, fact_of
from benchvoice.judge.observing import material, spoken
from benchvoice.judge.sampling import samples
from benchvoice.judge.worth import worth
from benchvoice.lexicon.judging import JudgingTables
from benchvoice.lexicon.prices import Price, Prices


def assess(
    record: Record, engine: Engine, figures: tuple[Figure, ...], tables: JudgingTables, prices: Prices | None
) -> Judgement:
    """Judges an engine from its record as it stands, reviewed or not.

    figures: what was computed from its measurements. prices: None leaves worth out and ranks looks by importance. An
    Overruled event's subject and verdict are those of RULINGS; the last one on a subject counts.
    """
    entries = record.standing()
    last = {item.subject: Overruling(verdict=item.verdict, reason=item.reason) for item in record.overruled}
    overruled = {subject: ruling for subject, ruling in last.items() if ruling.verdict != AS_JUDGED}
    coverage = cover(entries, engine, tables, figures)
    found_causes = _in_order(causes(material(record, coverage, figures, engine, tables), overruled))
    chances = Chances(coverage.cells, engine, tables)
    believed = beliefs(coverage.cells, triggers(coverage.cells, entries, engine, tables), chances)
    bench = Bench(coverage.cells, tables)
    known = Known(
        {(cell.part, cell.place): fact_of(cell) for cell in coverage.cells},
        frozenset(bench.open),
        {key: belief.odds for key, belief in believed.items()},
        alike(coverage.cells, tables),
    )
    market = Market(coverage.cells, engine, tables, prices) if prices else None
    looks = candidates(believed, bench, known, tables)
    deciding = Deciding(found_causes, tables)
    if market is not None and prices is not None:
        minute = prices.labour_per_hour / 60
        draws = Draws(market, known)
        weigh_by_worth(looks, market, draws.outlook)
        weigh_causes(looks, deciding, prices.cause_known)
        weigh_bundles(looks, draws, bench, minute)
    else:
        minute = 1 / POINT_MINUTES
        weigh_causes(looks, deciding, POINT_MINUTES)
        weigh_by_importance(looks, coverage.cells, tables, minute)
    valued = worth(market, known, engine, overruled) if market else None
    subjects = _spoken_for(_subjects(coverage, engine, tables, market), valued)
    texts = [words for _, words in spoken(record)]
    return Judgement(
        stock=engine.stock,
        coverage=coverage,
        samples=samples(coverage, tables),
        next_looks=next_looks(ranked(looks, minute), tables, found_causes, overruled),
        causes=found_causes,
        worth=valued,
        claims=claims(subjects, grounds(texts, figures), tables, overruled),
        warranties=warranties(coverage, [cell for subject in subjects for cell in subject.cells], tables),
        refused=refused_words(tables),
        cautions=_cautions(record, tables),
        overruled=tuple(overruled),
        notes=_notes(record, engine, prices),
        unreviewed=len(record.unreviewed()),
    )


def _in_order(found: tuple[Cause, ...]) -> tuple[Cause, ...]:
    """Causes that the person settled stand first, rejected ones last; the program's figures stay beside them."""

    def moved(cause: Cause) -> int:
        verdict = cause.overruled.verdict if cause.overruled else ""
        return {"settled": -1, "rejected": 1}.get(verdict, 0)

    return tuple(sorted(found, key=moved))


def _subjects(coverage: Coverage, engine: Engine, tables: JudgingTables, market: Market | None) -> list[Subject]:
    """Lots to make claims for, whether or not they have a price."""
    if market is None:
        market = Market(coverage.cells, engine, tables, _no_prices(tables))
    by_key = {(cell.part, cell.place): cell for cell in coverage.cells}
    out = []
    for offer in market.offers:
        asked = [tables.claims[name] for name in offer.row.claims if not tables.claims[name].own_parts_only]
        needed = {need.part for claim in asked for need in claim.needs}
        keys = dict.fromkeys([*offer.takes, *(key for _, keys in offer.hangs for key in keys)])
        bank = offer.place.bank
        for cell in coverage.cells:
            here = cell.place.bank or (engine.bank_of(cell.place.cylinder) if cell.place.cylinder else None)
            if cell.part in needed and (bank is None or here in (bank, None)):
                keys.setdefault((cell.part, cell.place))
        out.append(Subject(offer.id, offer.name, offer.row, tuple(by_key[key] for key in keys)))
    return out


def _no_prices(tables: JudgingTables) -> Prices:
    free = Price(low=0, high=0, minutes=0, chance=0, days=1)
    return Prices(currency="", note="", labour_per_hour=0, cause_known=0, lots={row.id: free for row in tables.lots})


def _spoken_for(subjects: Sequence[Subject], valued: Worth | None) -> list[Subject]:
    """The lots that claims are made for: those of the plan; without prices the whole engine."""
    if valued is not None:
        return [subject for subject in subjects if subject.id in valued.plan.lots]
    return [max(subjects, key=lambda subject: len(subject.row.takes))] if subjects else []


def _cautions(record: Record, tables: JudgingTables) -> tuple[str, ...]:
    """Safety reminders that the findings call for, each once."""
    found = {
        (entry.finding.part, entry.finding.condition)
        for entry in record.standing()
        if entry.finding.kind is Kind.CONDITION and entry.finding.present
    }
    return tuple(
        f"{row.text} ({row.source})"
        for row in tables.cautions
        if any(part in row.parts and condition in row.conditions for part, condition in found)
    )


def _notes(record: Record, engine: Engine, prices: Prices | None) -> tuple[str, ...]:
    out = []
    if not engine.numbering.confirmed:
        out.append("The numbering scheme has not been confirmed: pairs, neighbours and ends may be the wrong ones.")
    if engine.claimed:
        told = "; ".join(engine.claimed)
        out.append(f"The seller said: {told}. That is hearsay and counts for nothing here.")
    if prices is None:
        out.append("No prices were given: next looks are ranked by importance, and there is no plan.")
    if record.unreviewed():
        out.append(f"{len(record.unreviewed())} findings have not been reviewed; they count here as they were heard.")
    return tuple(out)
