"""The best set of lots that share no part: weighted set packing with shared work, solved exactly."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import optimize, sparse

from benchvoice.errors import BenchvoiceError

Values = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Problem:
    """Lots to choose from.

    takes: the parts that each uses up. strips: the stages of the teardown that each needs; costs: what opening a stage
    costs, once, however many lots need it.
    """

    takes: tuple[frozenset[str], ...]
    strips: tuple[frozenset[str], ...] = ()
    costs: tuple[tuple[str, float], ...] = ()

    def stages(self, chosen: Collection[int]) -> set[str]:
        return {stage for lot in chosen for stage in (self.strips[lot] if self.strips else ())}

    def value(self, values: Sequence[float] | Values, chosen: Collection[int]) -> float:
        """Sum of the chosen lots less the stages that they open."""
        opened = self.stages(chosen)
        return float(sum(values[i] for i in chosen)) - sum(cost for stage, cost in self.costs if stage in opened)


def best_set(
    problem: Problem, values: Sequence[float] | Values, *, must: Collection[int] = (), never: Collection[int] = ()
) -> tuple[int, ...]:
    """Indices of the lots whose values, less the work that they share, sum highest while no part is taken twice.

    values: net of each lot, any sign. must, never: lots that are forced in or out. Exact: a 0/1 program with one row a
    contested part and one a lot and stage, solved by HiGHS through scipy.optimize.milp. Raises BenchvoiceError when
    two forced lots take the same part.
    """
    count = len(values)
    if not count:
        return ()
    stages = [stage for stage, cost in problem.costs if cost > 0]
    costs = [cost for _, cost in problem.costs if cost > 0]
    width = count + len(stages)
    lower, upper = np.zeros(width), np.ones(width)
    lower[list(must)] = 1.0
    upper[[i for i in never if i not in set(must)]] = 0.0
    found = optimize.milp(
        np.concatenate([-np.asarray(values, dtype=float), np.asarray(costs)]),
        constraints=_constraints(problem, stages, width),
        integrality=np.ones(width, dtype=np.int8),
        bounds=optimize.Bounds(lower, upper),
        options={"mip_rel_gap": 0.0},
    )
    if found.x is None:
        raise BenchvoiceError(
            "No plan is possible: lots that were ruled to be sold share a part.", hint="Take one ruling back."
        )
    chosen = [int(i) for i in np.flatnonzero(found.x[:count] > 0.5)]
    return tuple(i for i in chosen if values[i] > 0 or i in must)


def _constraints(problem: Problem, stages: Sequence[str], width: int) -> list[optimize.LinearConstraint]:
    """One taker for each part; a lot only with every stage that it needs."""
    takers: dict[str, list[int]] = {}
    for lot, parts in enumerate(problem.takes):
        for part in parts:
            takers.setdefault(part, []).append(lot)
    contested = sorted({tuple(lots) for lots in takers.values() if len(lots) > 1})
    entries = [(row, lot, 1.0) for row, lots in enumerate(contested) for lot in lots]
    limits = [1.0] * len(contested)
    for lot, needed in enumerate(problem.strips):
        for stage in sorted(needed & set(stages)):
            entries += [(len(limits), lot, 1.0), (len(limits), len(problem.takes) + stages.index(stage), -1.0)]
            limits.append(0.0)
    if not limits:
        return []
    rows, columns, numbers = (np.array(column) for column in zip(*entries, strict=True))
    matrix = sparse.csr_array((numbers, (rows, columns)), shape=(len(limits), width))
    return [optimize.LinearConstraint(matrix, -np.inf, np.array(limits))]


def conflicts(takes: Sequence[Collection[str]]) -> list[set[int]]:
    """For each lot, the lots that share a part with it."""
    sets = [set(parts) for parts in takes]
    return [{j for j, other in enumerate(sets) if j != i and parts & other} for i, parts in enumerate(sets)]


class EveryPlan:
    """All plans that can be the best one for some values: thousands of sets of values are weighed in one product.

    For each set of stages that some lots need together: every set of lots that needs no more and to which no further
    one can be added (Bron and Kerbosch with a pivot, Communications of the ACM 16, 1973, on the graph of lots that go
    together). The best plan is one of them without its losing lots.
    """

    def __init__(self, problem: Problem, limit: int = 20_000) -> None:
        """Raises ValueError when there are more than `limit` plans."""
        self.stages = tuple(stage for stage, _ in problem.costs)
        plans: dict[frozenset[int], frozenset[str]] = {}
        strips = problem.strips or tuple(frozenset[str]() for _ in problem.takes)
        clash = conflicts(problem.takes)
        for opened in _unions(strips, limit):
            allowed = [i for i, needed in enumerate(strips) if needed <= opened]
            for lots in _maximal(allowed, clash, limit):
                needed = frozenset(stage for lot in lots for stage in strips[lot])
                plans.setdefault(lots, needed)
                if len(plans) > limit:
                    raise ValueError("too many plans")
        self.lots = np.zeros((len(plans), len(problem.takes)))
        self.opens = np.zeros((len(plans), len(self.stages)))
        for row, (lots, needed) in enumerate(plans.items()):
            self.lots[row, list(lots)] = 1.0
            self.opens[row] = [stage in needed for stage in self.stages]

    def best(self, values: Values, costs: Values) -> Values:
        """Value of the best plan for each column of values (lots x n); costs: of the stages still closed."""
        return np.asarray(self._all(values, costs).max(axis=0))

    def choose(self, values: Values, costs: Values) -> tuple[int, ...]:
        """The lots of the best plan for one set of values."""
        row = int(self._all(values[:, None], costs)[:, 0].argmax())
        return tuple(int(i) for i in np.flatnonzero(self.lots[row]) if values[i] > 0)

    def _all(self, values: Values, costs: Values) -> Values:
        return np.asarray(self.lots @ np.maximum(values, 0.0) - (self.opens @ costs)[:, None])


def _unions(strips: Collection[frozenset[str]], limit: int) -> list[frozenset[str]]:
    found = {frozenset[str]()}
    for needed in sorted(set(strips), key=sorted):
        found |= {have | needed for have in found}
        if len(found) > limit:
            raise ValueError("too many plans")
    return sorted(found, key=sorted)


def _maximal(among: Collection[int], clash: Sequence[set[int]], limit: int) -> list[frozenset[int]]:
    all_ = set(among)
    together = {i: all_ - clash[i] - {i} for i in all_}
    found: list[frozenset[int]] = []
    stack: list[tuple[frozenset[int], set[int], set[int]]] = [(frozenset(), all_, set())]
    while stack:
        chosen, open_, closed = stack.pop()
        if not open_ and not closed:
            found.append(chosen)
            if len(found) > limit:
                raise ValueError("too many plans")
            continue
        pivot = max(open_ | closed, key=lambda i: len(together[i] & open_))
        for lot in sorted(open_ - together[pivot]):
            stack.append((chosen | {lot}, open_ & together[lot], closed & together[lot]))
            open_ = open_ - {lot}
            closed = closed | {lot}
    return found
