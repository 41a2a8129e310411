"""Use case: judge an engine from its record, with the person's tables and prices."""

from __future__ import annotations

from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path

from benchvoice import paths
from benchvoice.app.figures import work
from benchvoice.domain.coverage import Coverage
from benchvoice.domain.engine import Engine
from benchvoice.domain.events import Overruled
from benchvoice.domain.judgement import RULINGS, Judgement
from benchvoice.domain.record import Record
from benchvoice.errors import BenchvoiceError
from benchvoice.journal import Journal
from benchvoice.judge.assess import assess
from benchvoice.judge.coverage import cover
from benchvoice.judge.looks import described
from benchvoice.lexicon.judging import JudgingTables, judging_tables
from benchvoice.lexicon.prices import Prices, load_prices


def judge(record: Record, *, prices: Path | None = None, sheet: Path | None = None, filed: bool = False) -> Judgement:
    """Everything that is judged of an engine.

    prices: a price file, which must be usable; None: prices.toml of the configuration folder, and if there is none the
    judgement is made without money. sheet: as for figures. filed: only what was filed, or accepted if nothing was.
    Raises BenchvoiceError for an engine that wasn't taken in and for files that can't be used.
    """
    engine = engine_of(record)
    tables = judging_tables()
    here = _only_filed(record) if filed else record
    figures = work(here, sheet=sheet, filed=filed).figures
    return assess(here, engine, figures, tables, own_prices(tables, prices))


def coverage(record: Record, *, sheet: Path | None = None, filed: bool = False) -> Coverage:
    """What was looked at and how."""
    here = _only_filed(record) if filed else record
    figures = work(here, sheet=sheet, filed=filed).figures
    return cover(here.standing(), engine_of(record), judging_tables(), figures)


def rule(
    journal: Journal, stock: str, subject: str, verdict: str, reason: str = "", *, prices: Path | None = None
) -> None:
    """Overrules a judgement, or takes that back with the verdict "as_judged"; kept as an event, undone like any other.

    Raises BenchvoiceError for a subject that this engine's judgement doesn't have and for an unknown verdict.
    """
    kind = subject.partition(":")[0]
    allowed = RULINGS.get(kind)
    if allowed is None:
        raise BenchvoiceError(f"{subject!r} can't be overruled.", hint=f"Begin with {', '.join(RULINGS)} and a colon.")
    if verdict not in allowed:
        raise BenchvoiceError(f"{verdict!r} is no verdict on a {kind}.", hint=f"Say {', '.join(allowed)}.")
    known = subjects(judge(journal.record(stock), prices=prices))
    if subject not in known:
        near = get_close_matches(subject, known, n=3, cutoff=0.4)
        hint = f"Did you mean {' or '.join(near)}?" if near else "`benchvoice judge --json` names them."
        raise BenchvoiceError(f"There is no {subject} to overrule.", hint=hint)
    journal.append(Overruled(subject=subject, verdict=verdict, reason=reason), stock)


def subjects(judgement: Judgement) -> list[str]:
    """Everything of a judgement that can be overruled."""
    lots = [f"lot:{lot.id}" for lot in judgement.worth.lots] if judgement.worth else []
    return [
        *(f"cause:{cause.id}" for cause in judgement.causes),
        *(look.key for look in judgement.next_looks),
        *lots,
        *(f"claim:{claim.lot}:{claim.id}" for claim in judgement.claims if claim.supported or claim.missing),
        *judgement.overruled,
    ]


def steps(record: Record, most: int = 5) -> tuple[str, ...]:
    """The next looks that are expected to pay, one line each with the first reason, to show beside the log."""
    tables = judging_tables()
    found = [look for look in judge(record).next_looks if look.net > 0][:most]
    return tuple(
        f"{described(look, tables)}: {look.reasons[0].text}" if look.reasons else described(look, tables)
        for look in found
    )


def engine_of(record: Record) -> Engine:
    if record.engine is None:
        raise BenchvoiceError("This engine was not taken in.", hint="`benchvoice intake` says what it is.")
    return record.engine


def own_prices(tables: JudgingTables, chosen: Path | None) -> Prices | None:
    """The chosen price file, else the person's own, else None."""
    own = paths.config() / "prices.toml"
    path = chosen or (own if own.is_file() else None)
    return load_prices(path, tables.lots) if path else None


def _only_filed(record: Record) -> Record:
    return replace(record, entries={entry.id: entry for entry in record.filed_entries()})
