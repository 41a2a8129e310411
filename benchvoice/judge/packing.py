"""The best set of lots that share no part: weighted set packing, solved exactly."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
import numpy.typing as npt
from scipy import optimize, sparse

from benchvoice.errors import BenchvoiceError

Values = npt.NDArray[np.float64]


def best_set(
    values: Sequence[float] | Values,
    takes: Sequence[Collection[str]],
    *,
    must: Collection[int] = (),
    never: Collection[int] = (),
) -> tuple[int, ...]:
    """Indices of the lots whose values sum highest while no part is taken twice.

    values: net of each lot, any sign. takes: the parts that each uses up. must, never: lots that are forced in or out.
    Exact: 0/1 program, one row a contested part, solved by HiGHS through scipy.optimize.milp. Raises BenchvoiceError
    when two forced lots take the same part.
    """
    count = len(values)
    if not count:
        return ()
    lower, upper = np.zeros(count), np.ones(count)
    lower[list(must)] = 1.0
    upper[[i for i in never if i not in set(must)]] = 0.0
    constraints = _one_taker_each(takes)
    found = optimize.milp(
        -np.asarray(values, dtype=float),
        constraints=constraints,
        integrality=np.ones(count, dtype=np.int8),
        bounds=optimize.Bounds(lower, upper),
    )
    if found.x is None:
        raise BenchvoiceError(
            "No plan is possible: lots that were ruled to be sold share a part.", hint="Take one ruling back."
        )
    chosen = [int(i) for i in np.flatnonzero(found.x > 0.5)]
    return tuple(i for i in chosen if values[i] > 0 or i in must)


def _one_taker_each(takes: Sequence[Collection[str]]) -> list[optimize.LinearConstraint]:
    takers: dict[str, list[int]] = {}
    for lot, parts in enumerate(takes):
        for part in set(parts):
            takers.setdefault(part, []).append(lot)
    contested = sorted({tuple(lots) for lots in takers.values() if len(lots) > 1})
    if not contested:
        return []
    rows = [row for row, lots in enumerate(contested) for _ in lots]
    columns = [lot for lots in contested for lot in lots]
    matrix = sparse.csr_array((np.ones(len(rows)), (rows, columns)), shape=(len(contested), len(takes)))
    return [optimize.LinearConstraint(matrix, -np.inf, 1.0)]


def conflicts(takes: Sequence[Collection[str]]) -> list[set[int]]:
    """For each lot, the lots that share a part with it."""
    sets = [set(parts) for parts in takes]
    return [{j for j, other in enumerate(sets) if j != i and parts & other} for i, parts in enumerate(sets)]


def every_maximal_set(takes: Sequence[Collection[str]], limit: int = 20_000) -> npt.NDArray[np.bool_] | None:
    """Every set of lots to which no further lot can be added, one a row; None if there are more than `limit`.

    The best plan is always one of them without its losing lots, whatever the values are: with this table at hand a
    thousand sets of values are weighed in one product. (Bron and Kerbosch with a pivot, Communications of the ACM 16,
    1973, on the graph of lots that go together.)
    """
    clash = conflicts(takes)
    count = len(takes)
    together = [set(range(count)) - clash[i] - {i} for i in range(count)]
    found: list[set[int]] = []
    stack: list[tuple[set[int], set[int], set[int]]] = [(set(), set(range(count)), set())]
    while stack:
        chosen, open_, closed = stack.pop()
        if not open_ and not closed:
            found.append(chosen)
            if len(found) > limit:
                return None
            continue
        pivot = max(open_ | closed, key=lambda i: len(together[i] & open_))
        for lot in sorted(open_ - together[pivot]):
            stack.append((chosen | {lot}, open_ & together[lot], closed & together[lot]))
            open_ = open_ - {lot}
            closed = closed | {lot}
    table = np.zeros((len(found), count), dtype=bool)
    for row, lots in enumerate(found):
        table[row, list(lots)] = True
    return table
