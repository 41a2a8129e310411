"""Use case: an engine's record and its spec sheet, worked into figures."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from benchvoice import paths
from benchvoice.domain.engine import Engine
from benchvoice.domain.figures import Figure
from benchvoice.domain.record import Record
from benchvoice.domain.sheet import Sheet
from benchvoice.errors import BenchvoiceError
from benchvoice.measure import units
from benchvoice.measure.bench import Bench
from benchvoice.measure.figures import figures
from benchvoice.measure.sheets import load_sheet
from benchvoice.measure.tables import load

_KEYS = frozenset({"altitude", "temperature", "orifice", "supply", "gauges", "zero_checked"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """The figures of an engine, the sheet that they were held against, and why there is none if one was named."""

    engine: Engine | None
    sheet: Sheet | None
    figures: tuple[Figure, ...]
    missing: str = ""


def work(record: Record, *, sheet: Path | None = None, bench: Bench | None = None, filed: bool = False) -> Worked:
    """Compute all figures of a record.

    sheet: the person's choice, which must be usable; None: the one that intake named, and if that can't be used the
    figures are made without and `missing` says so. bench None: the person's own settings. filed: only what was filed.
    """
    tables = load()
    found, missing = _sheet_for(record.engine, sheet)
    entries = record.filed_entries() if filed else None
    settings = bench if bench is not None else bench_for()
    made = figures(record, found, entries=entries, bench=settings, tables=tables)
    return Worked(engine=record.engine, sheet=found, figures=made, missing=missing)


def _sheet_for(engine: Engine | None, chosen: Path | None) -> tuple[Sheet | None, str]:
    if chosen is not None:
        return load_sheet(chosen, load()), ""
    named = engine.spec_sheet if engine else None
    if not named:
        return None, ""
    places = [Path(named).expanduser(), paths.config() / "sheets" / named]
    path = next((place for place in places if place.is_file()), places[0])
    try:
        return load_sheet(path, load()), ""
    except BenchvoiceError as error:
        return None, str(error)


def amount(text: str, kind: str) -> tuple[Decimal, str]:
    """A number and its unit as a person types them ("1500 m", "0.0002 in"), of the kind of the unit `kind`.

    Raises BenchvoiceError if it is anything else.
    """
    number, _, unit = text.strip().partition(" ")
    try:
        value = Decimal(number)
    except InvalidOperation:
        value = Decimal("NaN")
    if not value.is_finite() or unit.strip() not in units.known() or not units.same_kind(unit.strip(), kind):
        raise BenchvoiceError(f"{text!r} is not a number with a unit like {kind}.", hint=f'Write it as "2 {kind}".')
    return value, unit.strip()


def bench_for(
    *,
    altitude: str | None = None,
    temperature: str | None = None,
    orifice: str | None = None,
    supply: str | None = None,
    gauges: Mapping[str, str] | None = None,
    zero_checked: bool | None = None,
    settings: Path | None = None,
) -> Bench:
    """The person's bench: bench.toml of the configuration folder (or `settings`), overridden by what is given here.

        altitude = "1500 m"
        zero_checked = false
        [gauges]
        "bore gauge" = "0.0001 in"

    Raises BenchvoiceError for a file that can't be read, an unknown gauge, or a value that is no number with a fitting
    unit.
    """
    data = _settings(settings or paths.config() / "bench.toml")
    strange = sorted(set(data) - _KEYS)
    if strange:
        raise BenchvoiceError(
            f"bench.toml holds an unknown key, {strange[0]}.", hint=f"Known: {', '.join(sorted(_KEYS))}."
        )
    given = {"altitude": altitude, "temperature": temperature, "orifice": orifice, "supply": supply}
    data |= {key: value for key, value in given.items() if value is not None}
    own = data.get("gauges", {})
    named = {**(own if isinstance(own, dict) else {}), **(gauges or {})}
    checked = data.get("zero_checked", True) if zero_checked is None else zero_checked

    def number(key: str, unit: str) -> float | None:
        if data.get(key) is None:
            return None
        value, spoken = amount(str(data[key]), unit)
        return float(units.convert(value, spoken, unit))

    height = number("altitude", "m")
    if height is not None and not -400 <= height <= 9000:
        raise BenchvoiceError(f"No bench stands at {height:.0f} m.", hint='Write it as "1500 m" or "5000 ft".')
    return Bench(
        gauges=_gauges(named), altitude=height, temperature=number("temperature", "deg_C"),
        orifice=number("orifice", "mm"), supply=number("supply", "kPa"), zero_checked=checked is not False,
    )  # fmt: skip


def _settings(file: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as error:
        raise BenchvoiceError(f"{file} can't be read: {error}.", hint="Mend it or move it away.") from error


def _gauges(named: Mapping[str, Any]) -> dict[str, tuple[Decimal, str]]:
    known = {gauge.name: gauge for gauge in load().gauges}
    out: dict[str, tuple[Decimal, str]] = {}
    for name, text in named.items():
        if name not in known:
            raise BenchvoiceError(f"No gauge is called {name!r}.", hint=f"Known: {', '.join(sorted(known))}.")
        out[name] = amount(str(text), known[name].unit or "in")
    return out
