"""How long figures take: `python -m tests.measure.bench`. Prints a table; asserts nothing.

Measurements are spread over the bores, journals, rings and valve gear of invented engines, with a sheet.
"""

from __future__ import annotations

import os
import platform
import time
from decimal import Decimal

from benchvoice.domain.engine import Engine, Layout
from benchvoice.domain.record import Record
from benchvoice.measure.figures import figures
from benchvoice.measure.sheets import load_sheet
from benchvoice.measure.tables import load
from tests.measure.records import DEMO, measured, record_of

LEVELS = ("top", "middle", "bottom")
SIDES = ("thrust", "minor")


def engine_with(cylinders: int) -> Record:
    """One engine's full set of measurements: about 200 for a twelve."""
    engine = Engine(stock="B", layout=Layout.VEE, cylinders=cylinders)
    found = []
    for cylinder in range(1, cylinders + 1):
        wear = Decimal(cylinder % 5) / 10_000
        for i, level in enumerate(LEVELS):
            for j, side in enumerate(SIDES):
                value = Decimal("3.6405") + wear + Decimal(i + j) / 10_000
                found.append(
                    measured("cylinder_bore", "diameter", str(value), cylinder=cylinder, level=level, side=side)
                )
        found += [
            measured("cylinder_bore", "compression", str(150 + cylinder), "psi", cylinder=cylinder),
            measured("cylinder_bore", "leakage", str(8 + cylinder), "percent", cylinder=cylinder),
            measured("rod_journal", "diameter", str(Decimal("2.1625") - wear), cylinder=cylinder),
            measured("rod_bearing", "diameter", "2.1650", cylinder=cylinder),
            measured("top_ring", "end_gap", "0.018", cylinder=cylinder),
            measured("connecting_rod", "side_clearance", "0.010", cylinder=cylinder),
            measured("piston_skirt", "diameter", "3.6380", cylinder=cylinder),
            *(measured("valve_guide", "clearance", "0.003", cylinder=cylinder, valve=v) for v in ("intake", "exhaust")),
        ]
    found += [measured("main_journal", "diameter", "2.6484", journal=j) for j in range(1, 8)]
    return record_of(*found, engine=engine)


def main() -> None:
    tables = load()
    sheet = load_sheet(DEMO / "spec.toml", tables)
    record = engine_with(12)
    each = len(record.entries)
    figures(record, sheet, tables=tables)  # units and statistics are loaded once
    print(f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}; one core used")
    print(f"{'measurements':>12}  {'figures':>8}  {'seconds':>8}  {'µs each':>8}")
    for engines in (1, 10, -(-10_000 // each)):
        start = time.perf_counter()
        made = sum(len(figures(record, sheet, tables=tables)) for _ in range(engines))
        spent = time.perf_counter() - start
        count = engines * each
        print(f"{count:>12}  {made:>8}  {spent:>8.2f}  {spent / count * 1e6:>8.1f}")
    many = [
        measured("cylinder_bore", "compression", str(100 + n % 80), "psi", cylinder=n % 12 + 1) for n in range(10_000)
    ]
    start = time.perf_counter()
    made = len(figures(record_of(*many, engine=record.engine), sheet, tables=tables))
    spent = time.perf_counter() - start
    print(f"{len(many):>12}  {made:>8}  {spent:>8.2f}  {spent / len(many) * 1e6:>8.1f}   all in one record")


if __name__ == "__main__":
    main()
