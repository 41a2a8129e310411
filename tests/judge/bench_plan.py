"""How long a plan takes: 60 lots on 120 parts, solved exactly, and a whole judgement.

python -m tests.judge.bench_plan
"""

from __future__ import annotations

import os
import time
from pathlib import Path

import numpy as np

from benchvoice.judge.assess import assess
from benchvoice.judge.packing import Problem, best_set
from benchvoice.lexicon.judging import judging_tables
from benchvoice.lexicon.prices import load_prices
from benchvoice.resources import folder
from tests.judge.casework import planted


def problem(seed: int, lots: int = 60, parts: int = 120) -> tuple[Problem, list[float]]:
    """Lots that take 2 to 12 of the parts each; a third of them need shared work."""
    random = np.random.default_rng(seed)
    takes = tuple(
        frozenset(f"p{p}" for p in random.choice(parts, size=random.integers(2, 13), replace=False))
        for _ in range(lots)
    )
    strips = tuple(frozenset(f"s{s}" for s in range(8) if random.random() < 0.15) for _ in range(lots))
    costs = tuple((f"s{s}", float(random.integers(5, 60))) for s in range(8))
    values = [float(random.integers(5, 60) * len(parts_)) for parts_ in takes]
    return Problem(takes, strips, costs), values


def main() -> None:
    print(f"{os.cpu_count()} cores")
    print(f"{'what':44}  {'runs':>4}  {'median s':>9}  {'worst s':>8}")
    times = []
    for seed in range(20):
        case, values = problem(seed)
        start = time.perf_counter()
        best_set(case, values)
        times.append(time.perf_counter() - start)
    print(f"{'plan of 60 lots, 120 parts, 8 stages':44}  {20:4}  {np.median(times):9.3f}  {max(times):8.3f}")
    tables = judging_tables()
    prices = load_prices(Path(str(folder("demo_audio"))) / "prices.toml", tables.lots)
    for name, given in (("whole judgement with prices", prices), ("whole judgement without prices", None)):
        times = []
        for case_ in planted():
            start = time.perf_counter()
            assess(case_.record, case_.engine, (), tables, given)
            times.append(time.perf_counter() - start)
        print(f"{name:44}  {len(times):4}  {np.median(times):9.3f}  {max(times):8.3f}")


if __name__ == "__main__":
    main()
