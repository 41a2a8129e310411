"""Finds the weights in benchvoice/recognise/calibration.toml.

    python -m tests.recognise.calibrate [--rounds N] [--every N] [--work FOLDER] [--write]

Takes what may be tuned on (tests.recognise.gather), spoken by one voice in turn in one room in turn, heard with both
decoders of the embedded recogniser and by the second one, and fits logistic functions: is it about the engine, after
one decoding and after two; is a word right, is a whole utterance right; where two recognisers differ, which one is.
Scripts, narrations and chatter are heard, and authors whose sentences are in no model. Two hours of one core a round.
Never looks at the held half. Prints what the fit is worth on lines that it did not see (five folds).
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import Levenshtein
from scipy.optimize import minimize

from benchvoice.recognise.calibration import ABOUT, Calibration
from benchvoice.recognise.logistic import Terms, chance_of, judgements_of, logit, terms_of
from benchvoice.recognise.pair import Chosen, PairCalibration
from benchvoice.recognise.stretches import Stretches
from tests.hearing.corpus import WORK
from tests.hearing.scoring import calibration_error, words_right
from tests.recognise.gather import Case, gather, gather_unseen

ROOT = Path(__file__).resolve().parents[2]
FOLDS = 5
BLOCK = 50
"""Rows that go into a fold together: those of one utterance are alike."""
RIDGE = 0.01
KNOTS = (0.02, 0.5, 0.98)
"""Quantiles of a feature's values between which its curve is straight."""
Rows = list[dict[str, float]]


def word_rows(found: Iterable[Case]) -> tuple[Rows, list[bool]]:
    """Features of every word of talk about the engine, and whether it was said."""
    rows: Rows = []
    right: list[bool] = []
    for case in found:
        if not (case.domain and case.whole):
            continue
        heard = [word.text for word in case.evidence.words]
        rows += [case.evidence.word_features(i) for i in range(len(heard))]
        right += words_right(case.say.split(), heard)
    return rows, right


def fit(rows: Rows, right: Sequence[bool], names: Sequence[str]) -> dict[str, Any]:
    """Terms of the logistic function with the least log loss, with a little ridge on all but the bias, in the form in
    which they are kept: a number for the bias, for every other feature a curve through KNOTS of its values.
    """
    y = np.array(right, dtype=float)
    values = {name: [row[name] for row in rows] for name in names if name != "bias"}
    knots = {name: _knots(column) for name, column in values.items()}
    x = np.hstack([np.ones((len(rows), 1)), *(_hats(column, knots[name]) for name, column in values.items())])
    ridge = np.full(x.shape[1], RIDGE / len(y) ** 0.5)
    ridge[0] = 0.0

    def loss(w: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        z = np.clip(x @ w, -30, 30)
        p = 1 / (1 + np.exp(-z))
        value = float(-np.mean(y * np.log(p + 1e-12) + (1 - y) * np.log(1 - p + 1e-12)) + ridge @ (w * w) / 2)
        return value, x.T @ (p - y) / len(y) + ridge * w

    best = minimize(loss, np.zeros(x.shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 2000}).x
    out: dict[str, Any] = {"bias": round(float(best[0]), 4)}
    at = 1
    for name, places in knots.items():
        heights = best[at : at + len(places)]
        out[name] = [[float(place), round(float(height), 4)] for place, height in zip(places, heights, strict=True)]
        at += len(places)
    return out


def _knots(values: Sequence[float]) -> NDArray[np.float64]:
    """Where a curve may bend and ends: quantiles of the values, or, where most are one, the least and the most."""
    found: NDArray[np.float64] = np.unique(np.quantile(values, KNOTS).round(3))
    return found if len(found) > 1 else np.unique([min(values), max(values)])


def _hats(values: Sequence[float], knots: NDArray[np.float64]) -> NDArray[np.float64]:
    """Each knot's share in the height of the curve at each value: (values, knots)."""
    return np.stack([np.interp(values, knots, one) for one in np.eye(len(knots))], axis=1)


def chances(weights: dict[str, Any], rows: Rows) -> NDArray[np.float64]:
    terms = terms_of(weights)
    return np.array([chance_of(terms, row) for row in rows])


def folded(rows: Rows, right: Sequence[bool], names: Sequence[str]) -> NDArray[np.float64]:
    """Chances of every row from a fit to the other folds."""
    out = np.zeros(len(rows))
    fold = np.arange(len(rows)) // BLOCK % FOLDS
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
ROOMS_EACH = 3
"""Rooms for each stranger in a round: they say less, and count as much."""


CHOICE = (
    "bias",
    "gain",
    "heard",
    "first_mean",
    "first_least",
    "first_none",
    "second_mean",
    "second_least",
    "second_none",
    "longer",
    "length",
    "single",
    "agreed",
    "noise",
)
PAIR_DOMAIN = (
    "bias",
    "known",
    "confidence",
    "text_gain",
    "second_known",
    "second_text_gain",
    "second_log",
    "count",
    "second_count",
    "agreed",
    "seconds",
    "noise",
)
PAIR_WORD = (
    "bias",
    "first",
    "second",
    "only_first",
    "only_second",
    "chance",
    "around",
    "length",
    "text_gain",
    "noise",
)
PAIR_UTTERANCE = (*UTTERANCE, "apart", "agreed")


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
    _print_stretches(combined, domain)
    return {
        "share": round(float(np.mean(domain)), 4),
        "enough": round(enough, 4),
        "early": fit(early, domain, EARLY),
        "domain": fit(both, domain, DOMAIN),
    }


def _print_stretches(combined: NDArray[np.float64], domain: Sequence[bool]) -> None:
    share, truth = float(np.mean(domain)), np.array(domain)
    for goes_on in STAYS:
        for chats_on in STAYS:
            about = in_stretches(combined, share, Stretches(goes_on=goes_on, chats_on=chats_on))
            print(
                f"in stretches of {goes_on}, {chats_on}: {np.mean(about == truth):.3f} told apart, "
                f"{np.mean(about[~truth]):.3f} of the chatter taken, {np.mean(~about[truth]):.3f} of the rest lost"
            )


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
    _print_utterances(mine, whole, folded(rows, whole, UTTERANCE))
    return {"word": of_words, "utterance": fit(rows, whole, UTTERANCE)}


def _print_utterances(cases: Sequence[Case], whole: Sequence[bool], seen: NDArray[np.float64]) -> None:
    told = list(zip(seen.tolist(), whole, strict=True))
    print(f"utterances:    {np.mean(whole):.3f} right, error {calibration_error(told):.3f}")
    for room in dict.fromkeys(case.room for case in cases):
        there = [pair for pair, case in zip(told, cases, strict=True) if case.room == room]
        mean, good = np.mean(np.array(there, dtype=float), axis=0)
        print(f"  {room}: {len(there)}, {good:.3f} right, {mean:.3f} expected, error {calibration_error(there):.3f}")


def pair_weights(found: list[Case], alone: Calibration) -> dict[str, Any]:
    """Fits the same for two recognisers, and which of them to believe; prints what it is worth on lines that it did not
    see. alone: what decides that the second is not asked.
    """
    asked = [case for case in found if not alone.sure(case.evidence)]
    print(f"{len(asked)} of {len(found)} spans are heard by both")
    mine = [case for case in asked if case.domain and case.whole]
    rows, better, _ = choice_rows(mine)
    choice = fit(rows, better, CHOICE)
    print(f"choices:       {np.mean((folded(rows, better, CHOICE) > 0.5) == better):.3f} of {len(rows)} right")
    about = [case for case in found if case.whole or not case.say]
    domain = [case.domain for case in about]
    late = [case.both.domain_features() for case in about]
    sure = np.array([alone.sure(case.evidence) for case in about])
    seen = np.where(sure, 1 - 1e-3, folded(late, domain, PAIR_DOMAIN))
    print(f"both as used:  {np.mean((seen >= ABOUT) == domain):.3f} told apart")
    _print_stretches(seen, domain)
    _print_wrong_sides(about, seen)
    out = {
        "share": round(float(np.mean(domain)), 4),
        "choice": choice,
        "domain": fit(late, domain, PAIR_DOMAIN),
    }
    return out | _pair_confidences(mine, terms_of(choice))


def choice_rows(cases: Iterable[Case]) -> tuple[Rows, list[bool], list[str]]:
    """Features of every region in which both differ and one is nearer to what was said; whether the second is; the
    room. A region that makes a difference of several words counts as often.
    """
    rows: Rows = []
    better: list[bool] = []
    rooms: list[str] = []
    for case in cases:
        said, first = case.say.split(), [word.text for word in case.evidence.words]
        as_it_is = Levenshtein.distance(said, first)
        for region in case.both.regions:
            if region.same:
                continue
            (a, b), (c, d) = region.first, region.second
            gained = as_it_is - Levenshtein.distance(said, [*first[:a], *case.both.second.words[c:d], *first[b:]])
            rows += [case.both.choice_features(region)] * abs(gained)
            better += [gained > 0] * abs(gained)
            rooms += [case.room] * abs(gained)
    return rows, better, rooms


def _pair_confidences(mine: Sequence[Case], choice: Terms) -> dict[str, Any]:
    pair = PairCalibration(share=0.5, choice=choice, domain={}, word={}, utterance={})
    chosen = [pair.choose(case.both) for case in mine]
    rows: Rows = []
    right: list[bool] = []
    ends = [0]
    for case, words in zip(mine, chosen, strict=True):
        rows += [case.both.word_features(words, i) for i in range(len(words))]
        right += words_right(case.say.split(), [one.word.text for one in words])
        ends.append(len(rows))
    _print_words(mine, chosen)
    sure = list(zip(folded(rows, right, PAIR_WORD).tolist(), right, strict=True))
    print(f"words:         {np.mean(right):.3f} right, error {calibration_error(sure):.3f}")
    of_words = fit(rows, right, PAIR_WORD)
    each = chances(of_words, rows)
    of_each = [each[a:b].tolist() for a, b in pairwise(ends)]
    features = [case.both.utterance_features(some) for case, some in zip(mine, of_each, strict=True)]
    whole = [[one.word.text for one in words] == case.say.split() for case, words in zip(mine, chosen, strict=True)]
    _print_utterances(mine, whole, folded(features, whole, PAIR_UTTERANCE))
    return {"word": of_words, "utterance": fit(features, whole, PAIR_UTTERANCE)}


def _print_words(cases: Sequence[Case], chosen: Sequence[Sequence[Chosen]]) -> None:
    """Words wrong of talk about the engine, room by room: by each, and as chosen."""
    for room in dict.fromkeys(case.room for case in cases):
        sums = np.zeros(4)
        for case, words in zip(cases, chosen, strict=True):
            if case.room == room:
                said = case.say.split()
                heard = (
                    [w.text for w in case.evidence.words],
                    case.both.second.words,
                    [one.word.text for one in words],
                )
                sums += [len(said), *(Levenshtein.distance(said, list(one)) for one in heard)]
        rates = " ".join(f"{wrong / sums[0]:.3f}" for wrong in sums[1:])
        print(f"  {room}: {sums[0]:.0f} words; wrong by the first, the second, both: {rates}")


def _print_wrong_sides(found: Sequence[Case], seen: NDArray[np.float64]) -> None:
    share = float(np.mean([case.domain for case in found]))
    for case, chance, about in zip(found, seen, in_stretches(seen, share, Stretches()), strict=True):
        if about != case.domain:
            heard = " ".join(word.text for word in case.evidence.words)
            print(f"  {chance:.2f}, {case.room}: {case.say!r} heard {heard!r} and {' '.join(case.both.second.words)!r}")


def in_stretches(chances: NDArray[np.float64], share: float, stretches: Stretches) -> NDArray[np.bool_]:
    """What the program decides of spans in the order of the takes."""
    return np.array([stretches.about(logit(chance) - logit(share)) for chance in chances])


def settle(seen: NDArray[np.float64], domain: Sequence[bool]) -> float:
    """The lowest chance, 0.9 or more, above which lies one in four hundred of the chatter at most."""
    chatter = np.sort(seen[~np.array(domain)])[::-1]
    return float(min(0.995, max(0.9, chatter[len(chatter) // 400] + 1e-4)))


def write(weights: dict[str, Any], path: Path) -> None:
    out = ["# Weights of the logistic functions, by recogniser. Made by `python -m tests.recognise.calibrate`."]
    for name, of_it in weights.items():
        out += ["", f"[{name}]", *(f"{key} = {value}" for key, value in of_it.items() if not isinstance(value, dict))]
        for part, values in of_it.items():
            if isinstance(values, dict):
                out += ["", f"[{name}.{part}]", *(f"{key} = {value}" for key, value in values.items())]
    path.write_text("\n".join(out) + "\n", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=1, help="rooms for each narration (default: %(default)s)")
    parser.add_argument("--every", type=int, default=1, help="every so manieth take only (default: %(default)s)")
    parser.add_argument("--work", type=Path, default=WORK, help="folder for the sound (default: %(default)s)")
    parser.add_argument("--write", action="store_true")
    given = parser.parse_args()
    told = gather(given.work, rounds=given.rounds, every=given.every)
    strangers = gather_unseen(given.work, rounds=ROOMS_EACH * given.rounds, every=given.every)
    found = [*told, *strangers]
    alone = {**domain_weights(found), **confidence_weights(found)}
    weights = {"pocketsphinx": alone, "pair": pair_weights(found, Calibration(**judgements_of(alone)))}
    if given.write:
        write(weights, ROOT / "benchvoice" / "recognise" / "calibration.toml")


if __name__ == "__main__":
    main()
