"""What is known of the bench: the gauges, the altitude, the tester."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from benchvoice.domain.figures import Basis
from benchvoice.domain.findings import Finding
from benchvoice.measure import units
from benchvoice.measure.tables import Gauge, Tables


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """The person's own bench; everything may be left out.

    gauges: name of a gauge -> its expanded uncertainty and unit, in place of the assumed one. altitude in metres,
    temperature of the bench in deg_C.
    zero_checked False: the gauges' zero was not checked, assumed uncertainties count twice (common practice, no
    source). orifice: diameter of the leakage tester's hole in mm; supply: its gauge pressure in kPa.
    """

    gauges: Mapping[str, tuple[Decimal, str]] = field(default_factory=dict)
    altitude: float | None = None
    temperature: float | None = None
    zero_checked: bool = True
    orifice: float | None = None
    supply: float | None = None


def gauge_for(finding: Finding, tables: Tables) -> Gauge | None:
    """The gauge that the finding's own words name, else the one that serves its part and quantity."""
    padded = f" {finding.text.lower()} "
    named = [gauge for gauge in tables.gauges if any(f" {word} " in padded for word in gauge.words)]
    if named:
        return named[0]
    wanted = (f"{finding.part}.{finding.quantity}", f"*.{finding.quantity}")
    for pattern in wanted:
        for gauge in tables.gauges:
            if pattern in gauge.serves:
                return gauge
    return None


def gauge_u(finding: Finding, bench: Bench, tables: Tables) -> tuple[float, Basis | None]:
    """Standard uncertainty that the gauge adds to a reading, in the finding's unit, and what was assumed for it.

    Half of the expanded one; nothing assumed (None) if the person stated it.
    """
    gauge = gauge_for(finding, tables)
    if gauge is None or finding.value is None or finding.unit is None:
        return 0.0, None
    stated = bench.gauges.get(gauge.name)
    if stated is not None and units.same_kind(stated[1], finding.unit):
        return float(stated[0] * units.factor(stated[1], finding.unit)) / 2, None
    times = 1 if bench.zero_checked else 2
    if gauge.relative is not None:
        return float(abs(finding.value) * gauge.relative) * times / 2, gauge.basis
    if gauge.uncertainty is None or not units.same_kind(gauge.unit, finding.unit):
        return 0.0, None
    return float(gauge.uncertainty * units.factor(gauge.unit, finding.unit)) * times / 2, gauge.basis
