"""Use case: judge an engine from its record, with the person's tables and prices."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from benchvoice import paths
from benchvoice.app.figures import work
from benchvoice.domain.coverage import Coverage
from benchvoice.domain.engine import Engine
from benchvoice.domain.judgement import Judgement
from benchvoice.domain.record import Record
from benchvoice.errors import BenchvoiceError
from benchvoice.judge.assess import assess
from benchvoice.judge.coverage import cover
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
