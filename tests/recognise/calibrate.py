"""Finds the weights in benchvoice/recognise/calibration.toml.

    python -m tests.recognise.calibrate [--lines 220] [--work FOLDER] [--write]

Takes lines of the tuned-on half of the hearing scripts and of the tuned narrations, each spoken by one voice in turn in
one room in turn, hears them with both decoders and fits logistic functions: is it about the engine (after one decoding
and after two), is a word right, is a whole utterance right. Never looks at the held half. Prints what the fit is worth
on lines that it did not see (five folds): how many are told apart rightly, and the expected calibration error.
"""

from __future__ import annotations

import argparse
import json
import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import Levenshtein
from scipy.optimize import minimize

from benchvoice.audio.blocks import to_pcm
from benchvoice.audio.denoise import Denoiser
from benchvoice.recognise.calibration import Evidence
from benchvoice.recognise.pocketsphinx_engine import open_engine
from demo_audio import noises
from demo_audio.voices import RATE
from tests.hearing.corpus import SCRIPTS, speakers, spoken

ROOT = Path(__file__).resolve().parents[2]
ROOMS: tuple[tuple[str | None, float], ...] = ((None, 0.0), ("compressor", 10.0), (None, 0.0), ("pink", 10.0))
FOLDS = 5
RIDGE = 0.005
Rows = list[dict[str, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One line as it was heard, with what it should have been."""

    say: str
    domain: bool
    evidence: Evidence


def lines() -> list[tuple[str, bool]]:
    """(words, is it about the engine) of every tuned line, in a fixed mixed order."""
    found = []
    for path in [SCRIPTS / "tuned.jsonl", *sorted((ROOT / "tests" / "narrations" / "tuned").glob("*.jsonl"))]:
        for row in path.read_text(encoding="utf-8").splitlines():
            found += [(said["say"], bool(said.get("domain", True))) for said in json.loads(row)["utterances"]]
    random.Random(4).shuffle(found)
    chatter = [line for line in found if not line[1]]
    others = [line for line in found if line[1]]
    # Chatter is the smaller part and decides as much: every line of it, then two of the others for each.
    return [line for k, one in enumerate(chatter) for line in (one, *others[2 * k : 2 * k + 2])]


def cases(count: int, work: Path) -> list[Case]:
    engine, voices, out = open_engine(), speakers(), []
    rng = np.random.default_rng(5)
    for k, (say, domain) in enumerate(lines()[:count]):
        dry = spoken(say, voices[k % len(voices)], work)
        pad = np.zeros(int(0.3 * RATE), np.float32)
        sound = np.concatenate([pad, dry, pad])
        noise, decibels = ROOMS[k % len(ROOMS)]
        if noise is not None:
            ends = [(0.3, 0.3 + dry.size / RATE)]
            sound = noises.mix(sound, noises.NOISES[noise](sound.size, rng), decibels, ends)
            sound = _cleaned(sound)
        sound = sound + np.float32(10 ** (-66 / 20)) * noises.pink(sound.size, rng)
        evidence = engine.evidence(to_pcm(sound), both=True)
        out.append(Case(say=say, domain=domain, evidence=evidence))
    return out


def _cleaned(sound: NDArray[np.float32]) -> NDArray[np.float32]:
    denoiser = Denoiser()
    return np.concatenate([denoiser.feed(sound), denoiser.finish()])


def word_rows(found: Iterable[Case]) -> tuple[Rows, list[bool]]:
    """Features of every word of talk about the engine, and whether it was said."""
    rows: Rows = []
    right: list[bool] = []
    for case in found:
        if not case.domain:
            continue
        heard = [word.text for word in case.evidence.words]
        wrong = {op.dest_pos for op in Levenshtein.editops(case.say.split(), heard) if op.tag != "delete"}
        for i in range(len(heard)):
            rows.append(case.evidence.word_features(i))
            right.append(i not in wrong)
    return rows, right


def fit(rows: Rows, right: Sequence[bool], names: Sequence[str]) -> dict[str, float]:
    """Weights of the logistic function with the least log loss, with a little ridge on all but the bias."""
    x = np.array([[row[name] for name in names] for row in rows])
    y = np.array(right, dtype=float)

    def loss(w: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        z = np.clip(x @ w, -30, 30)
        p = 1 / (1 + np.exp(-z))
        pull = np.array([0.0 if name == "bias" else RIDGE for name in names]) * w
        value = float(-np.mean(y * np.log(p + 1e-12) + (1 - y) * np.log(1 - p + 1e-12)) + pull @ w / 2 / len(y) ** 0.5)
        return value, x.T @ (p - y) / len(y) + pull / len(y) ** 0.5

    best = minimize(loss, np.zeros(len(names)), jac=True, method="BFGS").x
    return {name: round(float(w), 4) for name, w in zip(names, best, strict=True)}


def chances(weights: dict[str, float], rows: Rows) -> NDArray[np.float64]:
    z = np.array([sum(w * row[name] for name, w in weights.items()) for row in rows])
    out: NDArray[np.float64] = 1 / (1 + np.exp(-np.clip(z, -30, 30)))
    return out


def folded(rows: Rows, right: Sequence[bool], names: Sequence[str]) -> NDArray[np.float64]:
    """Chances of every row from a fit to the other folds."""
    out = np.zeros(len(rows))
    fold = np.arange(len(rows)) % FOLDS
    for k in range(FOLDS):
        there = [i for i in range(len(rows)) if fold[i] != k]
        here = [i for i in range(len(rows)) if fold[i] == k]
        weights = fit([rows[i] for i in there], [right[i] for i in there], names)
        out[here] = chances(weights, [rows[i] for i in here])
    return out


def calibration_error(chance: NDArray[np.float64], right: Sequence[bool], bins: int = 10) -> float:
    """Expected calibration error over equal-width bins (Naeini, Cooper and Hauskrecht, AAAI 2015)."""
    y = np.array(right, dtype=float)
    at = np.minimum((chance * bins).astype(int), bins - 1)
    return float(sum(abs(chance[at == k].mean() - y[at == k].mean()) * (at == k).mean() for k in set(at.tolist())))


EARLY = ("bias", "text_gain", "confidence")
DOMAIN = ("bias", "gain", "gain_a_second", "text_gain", "known")
WORD = ("bias", "own", "around", "length", "text_gain")
UTTERANCE = ("bias", "least", "mean", "count", "text_gain")


def report(found: list[Case]) -> dict[str, Any]:
    """Fits all four and prints what they are worth on lines that they did not see."""
    domain = [case.domain for case in found]
    early = [case.evidence.early_features() for case in found]
    both = [case.evidence.domain_features() for case in found]
    seen = folded(early, domain, EARLY)
    late = folded(both, domain, DOMAIN)
    enough = settle(seen, domain)
    print(f"{len(found)} lines, {sum(domain)} about the engine")
    print(f"one decoding:  {np.mean((seen >= 0.5) == domain):.3f} told apart; settles {np.mean(seen >= enough):.2f}")
    combined = np.where(seen >= enough, seen, late)
    print(f"both as used:  {np.mean((combined >= 0.5) == domain):.3f} told apart")
    words, right = word_rows(found)
    print(
        f"words:         {np.mean(right):.3f} right, error {calibration_error(folded(words, right, WORD), right):.3f}"
    )
    mine = [case for case in found if case.domain]
    rows = [case.evidence.utterance_features() for case in mine]
    whole = [[word.text for word in case.evidence.words] == case.say.split() for case in mine]
    told = folded(rows, whole, UTTERANCE)
    print(f"utterances:    {np.mean(whole):.3f} right, error {calibration_error(told, whole):.3f}")
    for case, chance in zip(found, combined, strict=True):
        if (chance >= 0.5) != case.domain:
            heard = " ".join(word.text for word in case.evidence.words)
            print(f"  wrong side {chance:.2f}: {case.say!r} heard {heard!r}")
    return {
        "enough": round(enough, 4),
        "early": fit(early, domain, EARLY),
        "domain": fit(both, domain, DOMAIN),
        "word": fit(words, right, WORD),
        "utterance": fit(rows, whole, UTTERANCE),
    }


def settle(seen: NDArray[np.float64], domain: Sequence[bool]) -> float:
    """The lowest chance above which no chatter lies, with a margin."""
    worst = max(chance for chance, about in zip(seen, domain, strict=True) if not about)
    return float(min(0.995, max(0.9, worst + (1 - worst) / 3)))


def write(weights: dict[str, Any], path: Path) -> None:
    out = ["# Weights of the logistic functions, by recogniser. Made by `python -m tests.recognise.calibrate --write`."]
    out += ["", "[pocketsphinx]", f"enough = {weights['enough']}"]
    for part in ("early", "domain", "word", "utterance"):
        out += ["", f"[pocketsphinx.{part}]", *(f"{name} = {value}" for name, value in weights[part].items())]
    path.write_text("\n".join(out) + "\n", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--lines", type=int, default=220)
    parser.add_argument("--work", type=Path, default=Path(".hearing"))
    parser.add_argument("--write", action="store_true")
    given = parser.parse_args()
    weights = report(cases(given.lines, given.work))
    if given.write:
        write(weights, ROOT / "benchvoice" / "recognise" / "calibration.toml")


if __name__ == "__main__":
    main()
