"""Chances from features: logistic functions whose terms may bend.

A term is a weight times its feature, or a curve over it: straight between a few points, flat beyond them, since what
speaks for something seldom does so twice as much when there is twice as much of it. Sums of curves under a logistic
function are generalised additive models (Hastie and Tibshirani, "Generalized additive models", Statistical Science 1,
1986). The points are found by `python -m tests.recognise.calibrate` and kept in `calibration.toml`.
"""

from __future__ import annotations

import math
import tomllib
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

DEFAULTS = "calibration.toml"
EDGE = 1e-4
"""No chance is nearer to 0 or 1."""


@dataclass(frozen=True, slots=True)
class Curve:
    """What a feature adds to the log odds, by its value: `ys` at `xs`, which rise."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]

    @classmethod
    def through(cls, points: Sequence[Sequence[float]]) -> Curve:
        xs, ys = zip(*points, strict=True)
        return cls(tuple(xs), tuple(ys))

    def __call__(self, x: float) -> float:
        k = bisect_right(self.xs, x)
        if k in (0, len(self.xs)):
            return self.ys[0] if k == 0 else self.ys[-1]
        share = (x - self.xs[k - 1]) / (self.xs[k] - self.xs[k - 1])
        return self.ys[k - 1] + share * (self.ys[k] - self.ys[k - 1])


Terms = Mapping[str, float | Curve]
"""By the feature's name: a weight, or a curve."""


def chance_of(terms: Terms, features: Mapping[str, float]) -> float:
    """Logistic function of the sum of the terms; features without a term don't count."""
    total = sum(
        term(features[name]) if isinstance(term, Curve) else term * features[name] for name, term in terms.items()
    )
    return min(1.0 - EDGE, max(EDGE, 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, total))))))


def logit(chance: float) -> float:
    """Log odds, cut off at odds of ten thousand to one."""
    kept = min(1.0 - EDGE, max(EDGE, chance))
    return math.log(kept / (1.0 - kept))


def terms_of(table: Mapping[str, Any]) -> dict[str, float | Curve]:
    """Terms as they are kept: a number is a weight, a list of pairs a curve."""
    return {name: Curve.through(value) if isinstance(value, list) else float(value) for name, value in table.items()}


def judgements_of(table: Mapping[str, Any]) -> dict[str, Any]:
    """A recogniser's numbers, and the terms of its judgements, as they are kept."""
    return {name: terms_of(value) if isinstance(value, dict) else value for name, value in table.items()}


def fitted(name: str) -> dict[str, Any]:
    """The judgements that come with the program for a recogniser."""
    return judgements_of(tomllib.loads((files("benchvoice.recognise") / DEFAULTS).read_text(encoding="utf-8"))[name])
