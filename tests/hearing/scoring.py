"""Figures of a hearing run: word errors, findings, calibration, delays.

Findings are compared by the rules of the contract: kind, part, place, then condition with `present`, or quantity with
the value in the expected unit to one part in a million.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from rapidfuzz.distance import Levenshtein

Finding = dict[str, Any]

# Exact by definition (NIST SP 811): the inch is 25.4 mm, the pound 0.45359237 kg, standard gravity 9.80665 m/s2.
_POUND_FORCE = 0.45359237 * 9.80665
_PSI = _POUND_FORCE / 0.0254**2
TO_BASE = {
    "in": ("length", 25.4), "mm": ("length", 1.0), "mi": ("distance", 1.609344), "km": ("distance", 1.0),
    "psi": ("pressure", _PSI), "kPa": ("pressure", 1e3), "bar": ("pressure", 1e5),
    "ft_lbf": ("torque", _POUND_FORCE * 0.3048), "in_lbf": ("torque", _POUND_FORCE * 0.0254), "N_m": ("torque", 1.0),
    "percent": ("ratio", 1.0), "each": ("count", 1.0), "deg_F": ("fahrenheit", 1.0), "deg_C": ("celsius", 1.0),
}  # fmt: skip


def same(want: Finding, got: Finding) -> bool:
    """True if `got` is the finding that was expected."""
    if want["kind"] != got["kind"] or want["part"] != got["part"] or want["place"] != got["place"]:
        return False
    if want["kind"] == "condition":
        return bool(want["condition"] == got["condition"] and want["present"] == got["present"])
    if want["kind"] == "event":
        return bool(want["action"] == got["action"])
    if want["kind"] == "measurement":
        (a, here), (b, there) = TO_BASE[want["unit"]], TO_BASE.get(got["unit"], ("", 0.0))
        return (
            want["quantity"] == got["quantity"]
            and a == b
            and math.isclose(want["value"] * here, got["value"] * there, rel_tol=1e-6)
        )
    return True


@dataclass(slots=True)
class Tally:
    """Sums over takes; the properties are the figures of the table."""

    word_errors: int = 0
    words: int = 0
    right: int = 0
    missed: int = 0
    wrong: int = 0
    told_apart: int = 0
    lines: int = 0
    chatter_findings: int = 0
    chatter_seconds: float = 0.0
    calibration: list[tuple[float, bool]] = field(default_factory=list)
    word_calibration: list[tuple[float, bool]] = field(default_factory=list)
    delays: list[float] = field(default_factory=list)
    busy_seconds: float = 0.0
    sound_seconds: float = 0.0
    covered: float = 0.0
    speech: float = 0.0

    def add(self, other: Tally) -> None:
        for name in self.__slots__:
            mine, theirs = getattr(self, name), getattr(other, name)
            setattr(self, name, mine + theirs)

    @property
    def wer(self) -> float:
        return self.word_errors / max(1, self.words)

    @property
    def precision(self) -> float:
        return self.right / max(1, self.right + self.wrong)

    @property
    def recall(self) -> float:
        return self.right / max(1, self.right + self.missed)

    @property
    def f1(self) -> float:
        return 2 * self.right / max(1, 2 * self.right + self.wrong + self.missed)

    @property
    def domain_accuracy(self) -> float:
        return self.told_apart / max(1, self.lines)

    @property
    def false_an_hour(self) -> float:
        """Findings that came out of talk that is not about the engine, an hour of such talk."""
        return self.chatter_findings / max(1e-9, self.chatter_seconds) * 3600 if self.chatter_seconds else 0.0

    @property
    def calibration_error(self) -> float:
        return calibration_error(self.calibration)

    @property
    def word_calibration_error(self) -> float:
        return calibration_error(self.word_calibration)

    @property
    def cost(self) -> float:
        return self.busy_seconds / max(1e-9, self.sound_seconds)

    @property
    def coverage(self) -> float:
        """Share of the true speech that lies in some utterance."""
        return self.covered / max(1e-9, self.speech)


def calibration_error(pairs: Sequence[tuple[float, bool]], bins: int = 10) -> float:
    """Expected calibration error over equal-width bins: the mean of |confidence - share right|, weighted by size
    (Naeini, Cooper and Hauskrecht 2015, Obtaining Well Calibrated Probabilities Using Bayesian Binning; from memory).
    """
    if not pairs:
        return 0.0
    total = 0.0
    for k in range(bins):
        inside = [(p, ok) for p, ok in pairs if k == min(bins - 1, int(p * bins))]
        if inside:
            mean = sum(p for p, _ in inside) / len(inside)
            right = sum(ok for _, ok in inside) / len(inside)
            total += abs(mean - right) * len(inside) / len(pairs)
    return total


def calibration_by_chance(pairs: Sequence[tuple[float, bool]], bins: int = 10, draws: int = 200) -> float:
    """The calibration error that these confidences would show if each were the very chance of being right: few outcomes
    scatter even then (consistency resampling: Broecker and Smith 2007, Increasing the Reliability of Reliability
    Diagrams; from memory).
    """
    rng = random.Random(1)
    made = [[(p, rng.random() < p) for p, _ in pairs] for _ in range(draws)]
    return sum(calibration_error(some, bins) for some in made) / draws


def word_errors(want: Sequence[str], got: Sequence[str]) -> int:
    """Words put in, left out or replaced, at the least."""
    return int(Levenshtein.distance(list(want), list(got)))


def words_right(want: Sequence[str], got: Sequence[str]) -> list[bool]:
    """For each heard word, whether it is one of the words that were said, by the best alignment."""
    right = [False] * len(got)
    for step in Levenshtein.opcodes(list(want), list(got)):
        if step.tag == "equal":
            right[step.dest_start : step.dest_end] = [True] * (step.dest_end - step.dest_start)
    return right


def match(wanted: Iterable[Finding], found: Sequence[Finding]) -> tuple[int, int, int]:
    """Right, missed and wrong; each found one stands for at most one expected one."""
    left = list(found)
    right = missed = 0
    for want in wanted:
        hit = next((k for k, got in enumerate(left) if same(want, got)), None)
        if hit is None:
            missed += 1
        else:
            right += 1
            del left[hit]
    return right, missed, len(left)


def percentile(values: Sequence[float], share: float) -> float:
    """The value that `share` of the values do not exceed (nearest rank); nan for none."""
    if not values:
        return math.nan
    ranked = sorted(values)
    return ranked[max(0, math.ceil(share * len(ranked)) - 1)]
