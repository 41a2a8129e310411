"""How sure n of N makes us about the rest: hypergeometric sampling with a stated prior.

The prior over how many of N alike parts are bad is beta-binomial: a mean share, worth some parts of evidence. The look
itself is a draw without replacement, so its likelihood is hypergeometric. Nothing here assumes that the parts that were
opened were the worst ones or the best ones; who opens the suspects first is better off than these chances say.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import numpy.typing as npt
from scipy import stats

from benchvoice.domain.coverage import Coverage, CoverageCell, State
from benchvoice.domain.judgement import Sample
from benchvoice.lexicon.judging import JudgingTables
from benchvoice.lexicon.judging_types import PartRow

Chances = npt.NDArray[np.float64]


def chance_missed(total: int, looked: int, bad: int) -> float:
    """Chance that a look at `looked` of `total` shows no bad one although `bad` are bad.

    >>> round(chance_missed(5, 2, 1), 2)
    0.6
    >>> round(chance_missed(8, 4, 2), 3)
    0.214

    Source: hypergeometric distribution, scipy.stats.hypergeom.
    """
    return float(stats.hypergeom.pmf(0, total, bad, looked))


def prior_bad(total: int, mean: float, weight: float) -> Chances:
    """Chance of 0..total bad ones beforehand: beta-binomial, mean share `mean`, worth `weight` parts of evidence."""
    return np.asarray(stats.betabinom.pmf(np.arange(total + 1), total, mean * weight, (1 - mean) * weight))


def rest_bad(total: int, looked: int, bad: int, prior: Chances) -> Chances:
    """Chance of 0, 1, ... bad ones among the total - looked others, after `bad` of `looked` were bad.

    prior: chance of 0..total bad ones among all. Bayes' rule with the hypergeometric likelihood of the look. Raises
    ValueError when the look can't have come out so.
    """
    if not 0 <= bad <= looked <= total or len(prior) != total + 1:
        raise ValueError(f"{bad} bad of {looked} looked at of {total}")
    all_bad = np.arange(total + 1)
    posterior = prior * stats.hypergeom.pmf(bad, total, all_bad, looked)
    whole = posterior.sum()
    if whole <= 0:
        raise ValueError("the prior rules out what was seen")
    return np.asarray(posterior[bad : bad + total - looked + 1] / whole)


def upper_bound(looked: int, confidence: float = 0.95) -> float:
    """Highest share of bad ones that n good ones leave room for: 1 - (1 - confidence)^(1/n), exact binomial.

    >>> round(upper_bound(20), 3)
    0.139
    """
    return float(1 - (1 - confidence) ** (1 / looked)) if looked else 1.0


def rule_of_three(looked: int) -> float:
    """3/n, the plain 95 percent bound on a share after n good ones and no bad one; capped at 1.

    Source: Hanley and Lippman-Hand, JAMA 249 (1983) 1743; good from about 30 on, an overestimate below.
    """
    return min(1.0, 3 / looked) if looked else 1.0


def most_bad(total: int, looked: int, confidence: float = 0.95) -> int:
    """The largest number of bad ones among all that a look without a bad one doesn't rule out at `confidence`."""
    found = [bad for bad in range(total + 1) if chance_missed(total, looked, bad) > 1 - confidence]
    return max(found, default=0)


def samples(coverage: Coverage, tables: JudgingTables) -> tuple[Sample, ...]:
    """What was looked at says about the rest, for every part of which there are several and one was looked at, and
    for the important ones of which none was.
    """
    out = []
    for row in tables.parts.values():
        cells = coverage.of(row.name)
        looked = [cell for cell in cells if cell.looked.backs_a_claim]
        if len(cells) > 1 and (looked or row.importance >= 8):
            out.append(_sample(row, cells, looked, tables))
    return tuple(out)


def _sample(row: PartRow, cells: tuple[CoverageCell, ...], looked: list[CoverageCell], tables: JudgingTables) -> Sample:
    total, n = len(cells), len(looked)
    bad = sum(1 for cell in looked if cell.state in (State.IMPAIRED, State.SPOILED))
    chances = rest_bad(total, n, bad, prior_bad(total, row.bad_rate, row.prior_weight))
    clean = n > 0 and bad == 0
    out = Sample(
        part=row.name,
        total=total,
        looked=n,
        bad=bad,
        prior=row.bad_rate,
        prior_weight=row.prior_weight,
        rest_bad=tuple(float(chance) for chance in chances),
        missed_if_one=chance_missed(total, n, 1),
        upper_95=upper_bound(n) if clean else None,
        rule_of_three=rule_of_three(n) if clean else None,
        sentence="",
    )
    return _worded(out, row, tables.wording.samples)


def _worded(sample: Sample, row: PartRow, templates: dict[str, str]) -> Sample:
    rest = sample.total - sample.looked
    if not sample.looked:
        name = "none"
    elif not rest:
        name = "all_bad" if sample.bad else "all_clean"
    else:
        name = "bad" if sample.bad else "clean"
    words = {
        "looked": sample.looked,
        "total": sample.total,
        "bad": sample.bad,
        "was": "was" if sample.bad == 1 else "were",
        "parts": row.plural,
        "prior": _percent(sample.prior),
        "weight": f"{sample.prior_weight:g}",
        "chance": _percent(sample.chance_any_bad),
        "others": templates["others_one"] if rest == 1 else templates["others_many"].format(rest=rest),
        "All": templates["both"] if sample.total == 2 else f"All {sample.total}",
        "missed": _percent(sample.missed_if_one),
    }
    sentence = templates[name].format(**words)
    if name == "clean" and sample.upper_95 is not None and sample.rule_of_three is not None:
        bound = {
            "looked": sample.looked,
            "upper": math.ceil(100 * sample.upper_95),
            "three": _percent(sample.rule_of_three),
        }
        sentence += " " + templates["bound"].format(**bound)
    if sample.looked and rest and not row.one_by_one:
        sentence += " " + templates["open"]
    return replace(sample, sentence=sentence)


def _percent(share: float) -> int:
    """Whole percent, but never 0 or 100 for what is neither."""
    if 0 < share < 1:
        return min(99, max(1, round(100 * share)))
    return round(100 * share)
