"""The plan's solver against enumeration and against published packing numbers."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchvoice.errors import BenchvoiceError
from benchvoice.judge.packing import EveryPlan, Problem, best_set

STAGES = ("s", "t", "u")


def enumerated(problem: Problem, values: list[float]) -> float:
    """Value of the best plan by trying every set of lots."""
    count, best = len(values), 0.0
    for size in range(1, count + 1):
        for chosen in combinations(range(count), size):
            parts = [part for i in chosen for part in problem.takes[i]]
            if len(parts) == len(set(parts)):
                best = max(best, problem.value(values, chosen))
    return best


problems = st.integers(1, 9).flatmap(
    lambda count: st.tuples(
        st.builds(
            lambda takes, strips, costs: Problem(
                tuple(takes), tuple(strips), tuple(zip(STAGES, map(float, costs), strict=True))
            ),
            st.lists(st.frozensets(st.sampled_from("abcdefgh"), min_size=1), min_size=count, max_size=count),
            st.lists(st.frozensets(st.sampled_from(STAGES)), min_size=count, max_size=count),
            st.lists(st.integers(0, 60), min_size=3, max_size=3),
        ),
        st.lists(st.integers(-30, 100).map(float), min_size=count, max_size=count),
    )
)


@settings(max_examples=120, deadline=None)
@given(problems)
def test_solver_and_table_find_what_enumeration_finds(case: tuple[Problem, list[float]]) -> None:
    problem, values = case
    best = enumerated(problem, values)
    assert problem.value(values, best_set(problem, values)) == pytest.approx(best, abs=1e-6)
    costs = np.array([cost for _, cost in problem.costs])
    plans = EveryPlan(problem)
    assert plans.best(np.array(values)[:, None], costs)[0] == pytest.approx(best, abs=1e-6)
    assert problem.value(values, plans.choose(np.array(values), costs)) == pytest.approx(best, abs=1e-6)


def test_twelve_lots_against_enumeration() -> None:
    random = np.random.default_rng(7)
    for _ in range(4):
        takes = tuple(frozenset(int(p) for p in random.choice(14, size=random.integers(1, 5))) for _ in range(12))
        named = tuple(frozenset(map(str, parts)) for parts in takes)
        values = [float(v) for v in random.integers(-20, 200, size=12)]
        problem = Problem(named)
        assert problem.value(values, best_set(problem, values)) == pytest.approx(enumerated(problem, values))


# Largest codes that correct one deletion, binary words of length n = 1, 2, ...: 1, 2, 2, 4, 6, 10, 16 (N. J. A. Sloane,
# On single-deletion-correcting codes, 2000; his challenge graphs 1dc.64 and 1dc.128 have independence numbers 10 and
# 16). A set packing: each word takes every word that it can turn into by losing one letter.
@pytest.mark.parametrize(("length", "largest"), [(2, 2), (3, 2), (4, 4), (5, 6), (6, 10), (7, 16)])
def test_single_deletion_codes(length: int, largest: int) -> None:
    words = [format(number, f"0{length}b") for number in range(2**length)]
    takes = tuple(frozenset(word[:i] + word[i + 1 :] for i in range(length)) for word in words)
    assert len(best_set(Problem(takes), [1.0] * len(words))) == largest


# The Petersen graph has independence number 4 (J. Petersen, 1898; any textbook of graph theory). As a packing each
# vertex takes its edges.
def test_petersen_graph() -> None:
    vertices = list(combinations(range(5), 2))
    edges = [(a, b) for a, b in combinations(vertices, 2) if not set(a) & set(b)]
    takes = tuple(frozenset(str(edge) for edge in edges if vertex in edge) for vertex in vertices)
    assert len(edges) == 15
    assert len(best_set(Problem(takes), [1.0] * 10)) == 4
    assert EveryPlan(Problem(takes)).lots.sum(axis=1).max() == 4


def test_forced_lots_are_in_and_clashing_ones_are_refused() -> None:
    problem = Problem((frozenset("ab"), frozenset("b"), frozenset("c")))
    assert best_set(problem, [1.0, 5.0, 2.0], must=[0]) == (0, 2)
    assert best_set(problem, [1.0, 5.0, 2.0], never=[1]) == (0, 2)
    with pytest.raises(BenchvoiceError, match="No plan is possible"):
        best_set(problem, [1.0, 5.0, 2.0], must=[0, 1])
