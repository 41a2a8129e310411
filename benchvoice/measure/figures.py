"""From a record to figures: everything that its measurements allow, each with the entries that it stands on."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from benchvoice.domain.figures import Figure
from benchvoice.domain.findings import Flag
from benchvoice.domain.record import Entry, Record, Status
from benchvoice.domain.sheet import Sheet
from benchvoice.measure.bench import Bench
from benchvoice.measure.case import Case, readings_of
from benchvoice.measure.compute import bores, crank, direct, fastening, fits, head, heat, odd, sealing
from benchvoice.measure.misprints import doubts
from benchvoice.measure.tables import Tables, load

_DOUBTS = frozenset({Flag.TWO_READINGS, Flag.IMPLAUSIBLE})
GROUPS = ("sealing", "bores", "crank", "rods_and_pistons", "head", "valve_train", "heat", "other")
"""In the order in which they are shown."""


def figures(
    record: Record,
    sheet: Sheet | None = None,
    *,
    entries: Iterable[Entry] | None = None,
    bench: Bench | None = None,
    tables: Tables | None = None,
) -> tuple[Figure, ...]:
    """All figures of an engine, group by group.

    entries: which of the record's entries to compute from; the standing ones if None. Never raises for what a record
    may hold: a measurement in a unit that doesn't fit is left out of the figures that can't use it.
    """
    tables = tables or load()
    bench = bench or Bench()
    chosen = tuple(record.standing() if entries is None else entries)
    case = Case(
        engine=record.engine,
        sheet=sheet,
        bench=bench,
        tables=tables,
        readings=readings_of(chosen, bench, tables),
        entries=chosen,
        unsettled=frozenset(entry.id for entry in chosen if _unsettled(entry)),
        doubted=frozenset(
            (part, quantity)
            for doubt in (doubts(sheet, tables) if sheet else ())
            for part, _, quantity in [doubt.where.partition(".")]
        ),
    )
    found: list[Figure] = []
    for module in (direct, sealing, bores, crank, fits, head, fastening, heat):
        found += module.figures(case)
    found += odd.figures(case, found)
    return tuple(sorted((figure for figure in found if not _repeats_a_reading(figure)), key=_order(found)))


def _unsettled(entry: Entry) -> bool:
    """A number that the reader itself doubts is no ground for a verdict until a person has accepted it."""
    return entry.status is Status.PROPOSED and bool(_DOUBTS.intersection(entry.finding.flags))


def _repeats_a_reading(figure: Figure) -> bool:
    """The largest or smallest of one reading is that reading: it served for comparing and isn't shown twice."""
    return figure.formula in ("largest", "smallest") and len(figure.inputs) < 2


def _order(found: Iterable[Figure]) -> Callable[[Figure], tuple[int, int, int, int, str, str]]:
    """By group, then part as it first appeared, then kind of figure, then place."""
    groups = {group: index for index, group in enumerate(GROUPS)}
    kinds: dict[tuple[str, str, str], int] = {}
    parts: dict[str, int] = {}
    for figure in found:
        parts.setdefault(figure.part, len(parts))
        kinds.setdefault((figure.part, figure.name, figure.quantity), len(kinds))

    def key(figure: Figure) -> tuple[int, int, int, int, str, str]:
        place = figure.place
        return (
            groups.get(figure.group, len(groups)),
            parts[figure.part],
            kinds[figure.part, figure.name, figure.quantity],
            place.cylinder or place.journal or 0,
            place.bank or "",
            str(place.as_dict()),
        )

    return key
