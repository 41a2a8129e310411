"""Finds the weights in benchvoice/recognise/calibration.toml.

    python -m tests.recognise.calibrate [--rounds N] [--work FOLDER] [--write]

Takes what may be tuned on (tests.recognise.gather), spoken by one voice in turn in one room in turn, heard with both
decoders, and fits logistic functions: is it about the engine, after one decoding and after two; is a word right, is a
whole utterance right. Scripts, narrations and chatter are heard, and authors whose sentences are in no model. Two hours
of one core a round. Never looks at the held half. Prints what the fit is worth on lines that it did not see (five
folds).
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import Levenshtein
from scipy.optimize import minimize

from benchvoice.recognise.calibration import ABOUT, logit
from benchvoice.recognise.stretches import Stretches
from tests.hearing.corpus import WORK
from tests.hearing.scoring import calibration_error
from tests.recognise.gather import Case, gather, gather_unseen

ROOT = Path(__file__).resolve().parents[2]
FOLDS = 5
RIDGE = 0.005
Rows = list[dict[str, float]]


def word_rows(found: Iterable[Case]) -> tuple[Rows, list[bool]]:
    """Features of every word of talk about the engine, and whether it was said."""
    rows: Rows = []
    right: list[bool] = []
    for case in found:
        if not (case.domain and case.whole):
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


STAYS = (0.9, 0.95, 0.98)
EARLY = ("bias", "text_gain", "confidence", "known")
DOMAIN = (
    "bias",
    "gain",
    "gain_a_second",
    "text_gain",
    "general_text_gain",
    "known",
    "count",
    "general_count",
    "seconds",
)
WORD = ("bias", "own", "around", "length", "text_gain", "noise")
UTTERANCE = ("bias", "doubt", "count", "foreign", "text_gain", "noise")
STRANGERS = 3
"""Rooms for each stranger in a round: they say less, and count as much."""


def domain_weights(found: list[Case]) -> dict[str, Any]:
    """Fits what tells talk about the engine from other talk; prints what it is worth on lines that it did not see."""
    # A clause that a pause cut off may say nothing of the engine; what counts is whether the line does.
    found = [case for case in found if case.whole or not case.say]
    domain = [case.domain for case in found]
    early = [case.evidence.early_features() for case in found]
    both = [case.evidence.domain_features() for case in found]
    seen = folded(early, domain, EARLY)
    late = folded(both, domain, DOMAIN)
    enough = settle(seen, domain)
    print(f"{len(found)} spans, {sum(domain)} about the engine")
    print(f"one decoding:  {np.mean((seen >= ABOUT) == domain):.3f} told apart; settles {np.mean(seen >= enough):.2f}")
    combined = np.where(seen >= enough, seen, late)
    print(f"both as used:  {np.mean((combined >= ABOUT) == domain):.3f} told apart")
    share, truth = float(np.mean(domain)), np.array(domain)
    for goes_on in STAYS:
        for chats_on in STAYS:
            about = in_stretches(combined, share, Stretches(goes_on=goes_on, chats_on=chats_on))
            print(
                f"in stretches of {goes_on}, {chats_on}: {np.mean(about == truth):.3f} told apart, "
                f"{np.mean(about[~truth]):.3f} of the chatter taken, {np.mean(~about[truth]):.3f} of the rest lost"
            )
    settled = in_stretches(combined, share, Stretches())
    for case, chance, about in zip(found, combined, settled, strict=True):
        if about != case.domain:
            heard = " ".join(word.text for word in case.evidence.words)
            print(f"  wrong side {chance:.2f}: {case.say!r} heard {heard!r}")
    return {
        "share": round(share, 4),
        "enough": round(enough, 4),
        "early": fit(early, domain, EARLY),
        "domain": fit(both, domain, DOMAIN),
    }


def confidence_weights(found: list[Case]) -> dict[str, Any]:
    """Fits how sure each word and each utterance is, and prints, room by room, how far that is from how often they are
    right.
    """
    mine = [case for case in found if case.domain and case.whole and case.evidence.words]
    words, right = word_rows(mine)
    sure = list(zip(folded(words, right, WORD).tolist(), right, strict=True))
    print(f"words:         {np.mean(right):.3f} right, error {calibration_error(sure):.3f}")
    of_words = fit(words, right, WORD)
    rows = [case.evidence.utterance_features(chances(of_words, word_rows([case])[0]).tolist()) for case in mine]
    whole = [[word.text for word in case.evidence.words] == case.say.split() for case in mine]
    told = list(zip(folded(rows, whole, UTTERANCE).tolist(), whole, strict=True))
    print(f"utterances:    {np.mean(whole):.3f} right, error {calibration_error(told):.3f}")
    for room in dict.fromkeys(case.room for case in mine):
        there = [pair for pair, case in zip(told, mine, strict=True) if case.room == room]
        mean, good = np.mean(np.array(there, dtype=float), axis=0)
        print(f"  {room}: {len(there)}, {good:.3f} right, {mean:.3f} expected, error {calibration_error(there):.3f}")
    return {"word": of_words, "utterance": fit(rows, whole, UTTERANCE)}


def in_stretches(chances: NDArray[np.float64], share: float, stretches: Stretches) -> NDArray[np.bool_]:
    """What the program decides of spans in the order of the takes."""
    return np.array([stretches.about(logit(chance) - logit(share)) for chance in chances])


def settle(seen: NDArray[np.float64], domain: Sequence[bool]) -> float:
    """The lowest chance, 0.9 or more, above which lies one in four hundred of the chatter at most."""
    chatter = np.sort(seen[~np.array(domain)])[::-1]
    return float(min(0.995, max(0.9, chatter[len(chatter) // 400] + 1e-4)))


def write(weights: dict[str, Any], path: Path) -> None:
    out = ["# Weights of the logistic functions, by recogniser. Made by `python -m tests.recognise.calibrate`."]
    out += ["", "[pocketsphinx]", f"share = {weights['share']}", f"enough = {weights['enough']}"]
    for part in ("early", "domain", "word", "utterance"):
        out += ["", f"[pocketsphinx.{part}]", *(f"{name} = {value}" for name, value in weights[part].items())]
    path.write_text("\n".join(out) + "\n", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=1, help="rooms for each narration (default: %(default)s)")
    parser.add_argument("--work", type=Path, default=WORK, help="folder for the sound (default: %(default)s)")
    parser.add_argument("--write", action="store_true")
    given = parser.parse_args()
    told = gather(given.work, rounds=given.rounds)
    strangers = gather_unseen(given.work, rounds=STRANGERS * given.rounds)
    found = [*told, *strangers]
    weights = {**domain_weights(found), **confidence_weights(found)}
    if given.write:
        write(weights, ROOT / "benchvoice" / "recognise" / "calibration.toml")


if __name__ == "__main__":
    main()
