"""What a look would do for naming the cause: the expected rise of the chance that the likeliest cause is the right one.

For an observation that isn't decided yet, each cause says how much more often it is met (`see`) or how telling its
absence is (`not`). With a plain rate for causes that are silent about it, Bayes' rule gives the shares after either
outcome; the gain is the expected largest share then, less the largest share now (value of sample information for a
decision that pays 1 for the right cause and 0 for a wrong one).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from benchvoice.domain.judgement import Cause
from benchvoice.lexicon.judging import JudgingTables

RATE = 0.15
"""How often an observation is met under a cause that says nothing about it (common practice, no source)."""

Shares = npt.NDArray[np.float64]


def chance_seen(ratio_if_so: float, ratio_if_not: float, rate: float = RATE) -> float:
    """Chance of meeting an observation under a cause, from its likelihood ratios and the plain rate.

    The ratio raises the odds of the plain rate; where absence is telling, the chance of absence is lowered too.
    """
    odds = rate / (1 - rate) * ratio_if_so / min(1.0, ratio_if_not)
    return odds / (1 + odds)


def value_of_sample(prior: Shares, signals: Shares, payoffs: Shares) -> float:
    """Expected value of sample information: what it is worth to see a signal before acting.

    prior: chance of each of s states. signals: chance of each of k signals in each state, k x s, columns sum to 1.
    payoffs: of each of a acts in each state, a x s. The best act after each signal, less the best act without one.
    Perfect information is a signal that names the state (the identity matrix). Source: Raiffa and Schlaifer, Applied
    Statistical Decision Theory, 1961 (from memory).
    """
    joint = signals * prior
    return float((payoffs @ joint.T).max(axis=0).sum() - (payoffs @ prior).max())


def gain_of_knowing(shares: Shares, chances: Shares) -> float:
    """Expected largest share after an observation that cause i shows with chances[i], less the largest share now.

    >>> round(gain_of_knowing(np.array([0.5, 0.5]), np.array([0.9, 0.1])), 3)
    0.4
    """
    return value_of_sample(shares, np.vstack([chances, 1 - chances]), np.eye(len(shares)))


class Deciding:
    """The undecided observations of one engine, by the part that would have to be looked at."""

    def __init__(self, causes: Sequence[Cause], tables: JudgingTables) -> None:
        rest = max(0.0, 1.0 - sum(cause.share for cause in causes))
        self.shares = np.array([*(cause.share for cause in causes), rest])
        self.causes = causes
        self._weights: dict[str, dict[int, tuple[float, float]]] = {}
        self._parts: dict[str, set[str]] = {}
        for index, cause in enumerate(causes):
            for look in cause.would_decide:
                self._weights.setdefault(look.observation, {})[index] = (look.if_so, look.if_not)
                for part in tables.observations[look.observation].parts:
                    self._parts.setdefault(part, set()).add(look.observation)
        self._known: dict[str, tuple[float, tuple[str, ...]]] = {}

    def by_part(self, part: str) -> tuple[float, tuple[str, ...]]:
        """The best gain of any observation on this part, and the causes that it would move, likeliest first."""
        if part not in self._known:
            found = [self._by_observation(name) for name in sorted(self._parts.get(part, ()))]
            self._known[part] = max(found, key=lambda item: item[0], default=(0.0, ()))
        return self._known[part]

    def _by_observation(self, name: str) -> tuple[float, tuple[str, ...]]:
        chances = np.full(len(self.shares), RATE)
        for index, (so, not_so) in self._weights[name].items():
            chances[index] = chance_seen(so, not_so)
        moved = [self.causes[i] for i in self._weights[name] if self.causes[i].share >= 0.05]
        ordered = tuple(cause.id for cause in sorted(moved, key=lambda cause: -cause.share))
        return max(0.0, gain_of_knowing(self.shares, chances)), ordered
