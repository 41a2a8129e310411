"""Looks that only pay together: a head is worth taking off for its face, valves and guides at once, not for one.

The value of a bundle of parts is the mean, over draws from what is believed of them, of the best plan's value once
they are all known, less the value now. The draws are the same for every bundle (common random numbers, fixed seed), so
that bundles are compared on the same engines and the result can be repeated. Parts are drawn independently of one
another; members of one part are alike (beta-binomial).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from benchvoice.judge.market import Fact, Key, Known, Market, Outlook

DRAWS = 160
_SEED = 20_240_229
_SOUND, _IMPAIRED, _SPOILED = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Bundle:
    """Parts looked at together: the gain of knowing them all, each part's share of it, and the opening work."""

    parts: tuple[str, ...]
    gain: float
    opening: float
    shares: tuple[float, ...]


class Draws:
    """Everything needed to weigh any bundle of one engine's open parts."""

    def __init__(self, market: Market, known: Known, draws: int = DRAWS) -> None:
        self.market, self.known = market, known
        self.outlook = Outlook(market, known)
        by_part: dict[str, list[Key]] = {}
        for key, fact in known.facts.items():
            if fact is Fact.OPEN and key[0] in market.hanging:
                by_part.setdefault(key[0], []).append(key)
        self.keys = by_part
        random = np.random.default_rng(_SEED)
        self._chosen = {part: self._draw(keys, random.random((3, draws))) for part, keys in by_part.items()}
        self._keep = {part: self._keeps(part, draws) for part in by_part}
        self._now = {
            part: np.array([self._kept_now(index, part) for index in range(len(market.offers))]) for part in by_part
        }
        self._left = np.array(
            [left * np.prod([1 - loss for loss in losses])
             for left, losses in zip(self.outlook.left, self.outlook.losses, strict=True)]
        )  # fmt: skip
        self._price = np.array([o.price.middle * o.price.chance for o in market.offers])
        self._labour = np.array([market.labour(o.price.minutes) for o in market.offers])

    def _draw(
        self, keys: Sequence[Key], uniform: npt.NDArray[np.float64]
    ) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
        """For each draw the index of the bad member, -1 for none, and how bad it is."""
        chance = self.known.chance_any_bad(keys)
        odds = np.array([self.known.odds.get(key, 1.0) for key in keys])
        which = np.searchsorted(np.cumsum(odds / odds.sum()), uniform[1], side="right").clip(max=len(keys) - 1)
        share = self.market.tables.parts[keys[0][0]].spoiled_share
        severity = np.where(uniform[2] < share, _SPOILED, _IMPAIRED)
        return np.where(uniform[0] < chance, which, -1), np.where(uniform[0] < chance, severity, _SOUND)

    def _kept_now(self, offer: int, part: str) -> float:
        pairs = zip(self.market.offers[offer].hangs, self.outlook.losses[offer], strict=True)
        return float(np.prod([1 - loss for (hangs, _), loss in pairs if hangs.part == part]))

    def _keeps(self, part: str, draws: int) -> npt.NDArray[np.float64]:
        """What each lot keeps of its price for this part, in each draw: offers x draws."""
        which, severity = self._chosen[part]
        out = np.ones((len(self.market.offers), draws))
        for index in self.market.hanging[part]:
            offer = self.market.offers[index]
            for hangs, keys in offer.hangs:
                if hangs.part != part:
                    continue
                facts = [self.known.facts[key] for key in keys]
                known = hangs.spoiled if Fact.SPOILED in facts else hangs.impaired if Fact.IMPAIRED in facts else 0.0
                mine = np.array([key in keys for key in self.keys[part]] + [False])[which]
                level = np.where(mine, severity, _SOUND)
                loss = np.choose(level, [known, max(known, hangs.impaired), max(known, hangs.spoiled)])
                out[index] *= 1 - loss
        return out

    def gain(self, parts: Iterable[str], opened: Iterable[str] = ()) -> float:
        """Expected rise of the best plan's value by looking at every open member of these parts. opened: stages that
        are opened for it, and that the plan then need not pay for.
        """
        chosen = [part for part in parts if part in self.keys]
        if not chosen:
            return 0.0
        now = np.prod([self._now[part] for part in chosen], axis=0)
        rest = np.divide(self._left, now, out=np.zeros_like(now), where=now > 0)
        kept = rest[:, None] * np.prod([self._keep[part] for part in chosen], axis=0)
        nets = self._price[:, None] * kept - self._labour[:, None]
        values = self.market.best(nets, self.known.opened | set(opened))
        return float(values.mean()) - self.outlook.value

    def weigh(self, parts: Sequence[str], opening: float, opened: Iterable[str]) -> Bundle:
        """The bundle, each part's share by what the gain loses without it."""
        stages = frozenset(opened)
        whole = self.gain(parts, stages)
        losses = np.array([max(1e-9, whole - self.gain([p for p in parts if p != part], stages)) for part in parts])
        return Bundle(tuple(parts), whole, opening, tuple(float(x) for x in losses / losses.sum()))
