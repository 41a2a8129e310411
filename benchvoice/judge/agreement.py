"""Agreement between gradings beyond what chance alone gives: does the same part get the same grade twice?

0 is what chance gives, 1 is full agreement, below 0 is worse than chance. A few graded parts say little: with twenty,
an agreement of 0.6 may as well be 0.3 or 0.9 (rough, from the usual large-sample error).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum
from itertools import permutations


class Scale(StrEnum):
    """What distances between grades mean."""

    NOMINAL = "nominal"
    """Kinds: two that differ, differ."""
    ORDINAL = "ordinal"
    """Ranks, such as light, moderate, heavy."""
    INTERVAL = "interval"
    RATIO = "ratio"


def kappa(table: Sequence[Sequence[int]], *, weighted: bool = False) -> float | None:
    """Cohen's kappa of two gradings of the same parts: (po - pe)/(1 - pe).

    table[i][j]: how many parts were given grade i first and j the second time. weighted: grades are ranks, and a
    disagreement counts with the square of its distance (Cohen 1960, 1968). None if all parts have one grade, since
    chance then agrees too.

    Worked by hand: 20 and 15 of 50 agree, chance gives 0.5: (0.7 - 0.5)/0.5 = 0.4.

    >>> round(kappa([[20, 5], [10, 15]]), 2)
    0.4

    Raises ValueError for a table that is not square, or holds no parts or a negative count.
    """
    size = len(table)
    total = sum(sum(row) for row in table)
    if any(len(row) != size or min(row) < 0 for row in table) or total <= 0:
        raise ValueError("a square table of counts")
    rows = [sum(row) for row in table]
    columns = [sum(column) for column in zip(*table, strict=True)]
    cells = [(i, j, float((i - j) ** 2) if weighted else float(i != j)) for i in range(size) for j in range(size)]
    seen = sum(weight * table[i][j] for i, j, weight in cells)
    by_chance = sum(weight * rows[i] * columns[j] for i, j, weight in cells) / total
    return 1 - seen / by_chance if by_chance else None


def fleiss(counts: Sequence[Sequence[int]]) -> float | None:
    """Fleiss' kappa of the same number of gradings for each part, by any graders (Fleiss 1971).

    counts[part][grade]: how many gave the part that grade. None if only one grade was ever given.

    Worked by hand: two graders agree on two of three parts, grades evenly used: (2/3 - 1/2)/(1/2) = 1/3.

    >>> round(fleiss([[2, 0], [0, 2], [1, 1]]), 3)
    0.333

    Raises ValueError without parts, or if parts were graded differently often, or only once.
    """
    n = sum(counts[0]) if counts else 0
    if n < 2 or any(sum(row) != n or min(row) < 0 for row in counts):
        raise ValueError("every part needs the same number of gradings, two at least")
    parts = len(counts)
    alike = sum(sum(k * (k - 1) for k in row) / (n * (n - 1)) for row in counts) / parts
    by_chance = sum((sum(column) / (parts * n)) ** 2 for column in zip(*counts, strict=True))
    return (alike - by_chance) / (1 - by_chance) if by_chance < 1 else None


def alpha(units: Sequence[Sequence[float]], scale: Scale = Scale.ORDINAL) -> float | None:
    """Krippendorff's alpha: any number of gradings a part, gaps allowed (Krippendorff, Content Analysis, chapter 11).

    units: the grades that each part was given, as numbers in rising order; parts graded once drop out. None if
    nothing was graded twice or all grades are the same.

    Worked by hand (nominal): 1 1, 1 1, 2 2, 1 2: one disagreement among eight values, five of 1 and three of 2; chance
    gives 2 x 15/7 = 4.286 ordered pairs, 2 were seen: 1 - 2/4.286 = 0.533.

    >>> round(alpha([[1, 1], [1, 1], [2, 2], [1, 2]], Scale.NOMINAL), 3)
    0.533

    Raises ValueError on the ratio scale for grades that are not positive.
    """
    coincidences: dict[tuple[float, float], float] = {}
    for grades in units:
        if len(grades) < 2:
            continue
        pairs = Counter(permutations(grades, 2))
        for pair, times in pairs.items():
            coincidences[pair] = coincidences.get(pair, 0.0) + times / (len(grades) - 1)
    totals: dict[float, float] = {}
    for (one, _), share in coincidences.items():
        totals[one] = totals.get(one, 0.0) + share
    if scale is Scale.RATIO and any(grade <= 0 for grade in totals):
        raise ValueError("a ratio scale has positive grades only")
    far = _distance(scale, totals)
    n = sum(totals.values())
    seen = sum(share * far(*pair) for pair, share in coincidences.items())
    by_chance = sum(a * b * far(one, other) for one, a in totals.items() for other, b in totals.items()) / max(n - 1, 1)
    return 1 - seen / by_chance if by_chance else None


def _distance(scale: Scale, totals: Mapping[float, float]) -> Callable[[float, float], float]:
    """The squared distance of two grades; for ranks it is how many gradings lie between them."""

    def ordinal(one: float, other: float) -> float:
        low, high = sorted((one, other))
        between = sum(count for grade, count in totals.items() if low <= grade <= high)
        return (between - (totals[low] + totals[high]) / 2) ** 2

    return {
        Scale.NOMINAL: lambda one, other: float(one != other),
        Scale.ORDINAL: ordinal,
        Scale.INTERVAL: lambda one, other: (one - other) ** 2,
        Scale.RATIO: lambda one, other: ((one - other) / (one + other)) ** 2,
    }[scale]
