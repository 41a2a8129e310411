"""Smoothed n-gram models: made from sentences, mixed, written as ARPA text.

Smoothing is interpolated modified Kneser-Ney: Chen and Goodman, "An empirical study of smoothing techniques for
language modeling", Computer Speech and Language 13 (1999) 359-394, section 3. Mixing two models into one back-off
model is the static interpolation of Stolcke, "SRILM - an extensible language modeling toolkit" (2002): the mixed
probability of every n-gram that either model holds, and back-off weights that make each context sum to one.

N-grams are kept as sorted integer keys, one array a length, so that a million of them are counted and mixed in a
second.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TextIO

import numpy as np
from numpy.typing import NDArray

START, END = "<s>", "</s>"
Keys = NDArray[np.int64]
Reals = NDArray[np.float64]
_FLOOR = 1e-12
_AT_ONCE = 50_000


@dataclass(frozen=True, slots=True)
class Level:
    """All n-grams of one length: sorted keys, probabilities given the words before, back-off weights as contexts."""

    keys: Keys
    prob: Reals
    backoff: Reals


@dataclass(frozen=True, slots=True)
class NGram:
    """A back-off model. `words[0]` is <s>, `words[1]` is </s>; levels[0] holds every word."""

    words: tuple[str, ...]
    levels: tuple[Level, ...]

    @property
    def order(self) -> int:
        return len(self.levels)

    def index(self) -> dict[str, int]:
        return {word: i for i, word in enumerate(self.words)}

    def prob(self, words: Sequence[str]) -> float:
        """Probability of the last word after those before it; 0.0 for a word that the model lacks."""
        index = self.index()
        if words[-1] not in index:
            return 0.0
        known: list[int] = []
        for word in reversed(words[-self.order :]):
            if word not in index:
                break
            known.insert(0, index[word])
        ids = np.array([known], dtype=np.int64)
        return float(self.probs(ids)[0])

    def probs(self, grams: NDArray[np.int64]) -> Reals:
        """Probabilities of rows of word numbers (n columns), backing off as needed."""
        size, base = grams.shape[1], len(self.words)
        if size == 1:
            return self.levels[0].prob[grams[:, 0]]
        found, at = _find(self.levels[size - 1].keys, _encode(grams, base))
        out = np.empty(len(grams))
        out[found] = self.levels[size - 1].prob[at[found]]
        rest = ~found
        if rest.any():
            lower = self.probs(grams[rest][:, 1:])
            known, where = _find(self.levels[size - 2].keys, _encode(grams[rest][:, :-1], base))
            weight = np.ones(len(lower))
            weight[known] = self.levels[size - 2].backoff[where[known]]
            out[rest] = lower * weight
        return out

    def log10_of(self, sentence: Sequence[str]) -> float:
        """log10 probability of a whole sentence; words that the model lacks count as 1e-7 each."""
        index = self.index()
        total = 0.0
        history: list[int] = [0]
        for word in [*sentence, END]:
            at = index.get(word)
            if at is None:
                total, history = total - 7.0, []
                continue
            history = [*history, at][-self.order :]
            total += float(np.log10(max(self.probs(np.array([history], dtype=np.int64))[0], _FLOOR)))
        return total


def kneser_ney(sentences: Iterable[Sequence[str]], *, order: int = 3, extra: Iterable[str] = ()) -> NGram:
    """A model of the sentences. `extra` words are in the vocabulary without having been seen.

    Raises ValueError if there is no sentence.
    """
    words, stream = _number(sentences, extra)
    base = len(words)
    if base**order >= 2**62:
        raise ValueError("too many words for this order")
    counted = [_count(stream, n, base) for n in range(1, order + 1)]
    adjusted = [_continuations(counted, n, base) for n in range(1, order)] + [counted[-1]]
    lower = _unigrams(adjusted[0], base)
    levels: list[Level] = []
    probs = NGram(words, (Level(np.arange(base, dtype=np.int64), lower, np.ones(base)),))
    for n in range(2, order + 1):
        keys, counts = adjusted[n - 1]
        level, weights, contexts = _interpolate(keys, counts, base, probs, n)
        before = probs.levels[-1]
        backoff = before.backoff.copy()
        found, at = _find(before.keys, contexts)
        backoff[at[found]] = weights[found]
        levels = [*probs.levels[:-1], Level(before.keys, before.prob, backoff), level]
        probs = NGram(words, tuple(levels))
    return probs


def mix(first: NGram, second: NGram, share: float) -> NGram:
    """`share` of the first model and the rest of the second, as one back-off model over the words of both."""
    if not 0.0 < share < 1.0:
        raise ValueError("share must be between 0 and 1")
    known = set(first.words)
    words = first.words + tuple(word for word in second.words if word not in known)
    one, two = _over(first, words), _over(second, words)
    base = len(words)
    order = max(first.order, second.order)
    levels = []
    for n in range(1, order + 1):
        held = [model.levels[n - 1].keys for model in (one, two) if model.order >= n]
        keys = np.unique(np.concatenate(held))
        grams = _decode(keys, n, base)
        value = share * one.probs(grams[:, -one.order :]) + (1.0 - share) * two.probs(grams[:, -two.order :])
        levels.append(Level(keys, value, np.ones(len(keys))))
    return with_backoffs(NGram(words, tuple(levels)))


def prune(model: NGram, threshold: float) -> NGram:
    """Without the longest n-grams whose probability is within a factor `threshold` of what backing off gives."""
    top = model.levels[-1]
    shorter = NGram(model.words, model.levels[:-1])
    grams = _decode(top.keys, model.order, len(model.words))
    context = _encode(grams[:, :-1], len(model.words))
    found, at = _find(shorter.levels[-1].keys, context)
    weight = np.ones(len(grams))
    weight[found] = shorter.levels[-1].backoff[at[found]]
    without = shorter.probs(grams[:, 1:]) * weight
    keep = np.abs(np.log(np.maximum(top.prob, _FLOOR) / np.maximum(without, _FLOOR))) > np.log(threshold)
    levels = (*model.levels[:-1], Level(top.keys[keep], top.prob[keep], top.backoff[keep]))
    return with_backoffs(NGram(model.words, levels))


def write_arpa(model: NGram, out: TextIO) -> None:
    """ARPA text: log10 probability, words, log10 back-off weight."""
    out.write("\\data\\\n")
    for n, level in enumerate(model.levels, 1):
        out.write(f"ngram {n}={len(level.keys)}\n")
    names = np.array(model.words, dtype=object)
    for n, level in enumerate(model.levels, 1):
        out.write(f"\n\\{n}-grams:\n")
        prob = np.log10(np.maximum(level.prob, _FLOOR))
        back = np.log10(np.maximum(level.backoff, _FLOOR))
        if n == 1:
            prob[0] = -99.0
        # In pieces: as text, all at once, they would take hundreds of MB.
        for at in range(0, len(prob), _AT_ONCE):
            some = slice(at, at + _AT_ONCE)
            columns = _decode(level.keys[some], n, len(names)).T
            text = names[columns[0]]
            for column in columns[1:]:
                text = text + " " + names[column]
            if n < model.order:
                rows = zip(prob[some], text, back[some], strict=True)
                out.writelines(f"{p:.4f}\t{t}\t{b:.4f}\n" for p, t, b in rows)
            else:
                out.writelines(f"{p:.4f}\t{t}\n" for p, t in zip(prob[some], text, strict=True))
    out.write("\n\\end\\\n")


def _number(sentences: Iterable[Sequence[str]], extra: Iterable[str]) -> tuple[tuple[str, ...], Keys]:
    """Words as numbers: each sentence as <s> ... </s>, all in a row."""
    index = {START: 0, END: 1}
    stream: list[int] = []
    for sentence in sentences:
        if not sentence:
            continue
        stream.append(0)
        for word in sentence:
            stream.append(index.setdefault(word, len(index)))
        stream.append(1)
    if not stream:
        raise ValueError("no sentence to make a model of")
    for word in extra:
        index.setdefault(word, len(index))
    return tuple(index), np.array(stream, dtype=np.int64)


def _count(stream: Keys, n: int, base: int) -> tuple[Keys, Reals]:
    """Keys and counts of the n-grams that lie within one sentence."""
    size = len(stream) - n + 1
    keys = np.zeros(size, dtype=np.int64)
    inside = np.ones(size, dtype=bool)
    for k in range(n):
        column = stream[k : k + size]
        keys = keys * base + column
        if k:
            inside &= column != 0
    if n == 1:
        inside = stream != 0
    found, counts = np.unique(keys[inside], return_counts=True)
    return found, counts.astype(np.float64)


def _continuations(counted: list[tuple[Keys, Reals]], n: int, base: int) -> tuple[Keys, Reals]:
    """In how many different words' wake an n-gram was seen; plain counts for those that open a sentence."""
    longer = counted[n][0]
    keys, counts = np.unique(longer % base**n, return_counts=True)
    own, plain = counted[n - 1]
    opening = own // base ** (n - 1) == 0
    if n == 1:
        opening = np.zeros(len(own), dtype=bool)
    out_keys = np.concatenate([keys, own[opening]])
    out_counts = np.concatenate([counts.astype(np.float64), plain[opening]])
    sort = np.argsort(out_keys)
    return out_keys[sort], out_counts[sort]


def discounts(counts: Reals) -> tuple[float, float, float]:
    """The three discounts of modified Kneser-Ney, from the counts of counts (equation 26 of the source).

    Made-up sentences can lack rare counts; then a discount falls back to the plain one, kept within 0..its count.
    """
    n1, n2, n3, n4 = (float(np.count_nonzero(counts == k)) for k in (1, 2, 3, 4))
    y = n1 / (n1 + 2.0 * n2) if n1 and n2 else 0.5
    one = 1.0 - 2.0 * y * n2 / n1 if n1 and n2 else y
    two = 2.0 - 3.0 * y * n3 / n2 if n2 and n3 else 2.0 * y
    three = 3.0 - 4.0 * y * n4 / n3 if n3 and n4 else 3.0 * y
    return min(max(one, 0.1), 0.95), min(max(two, 0.1), 1.9), min(max(three, 0.1), 2.85)


def _discounted(counts: Reals) -> Reals:
    one, two, three = discounts(counts)
    return np.where(counts >= 3, three, np.where(counts >= 2, two, one))


def _unigrams(adjusted: tuple[Keys, Reals], base: int) -> Reals:
    """Continuation unigrams; what the discount takes is spread evenly over all words but <s>."""
    keys, counts = adjusted
    taken = _discounted(counts)
    total = counts.sum()
    prob = np.zeros(base)
    prob[keys] = (counts - taken) / total
    spread = taken.sum() / total / (base - 1)
    prob[1:] += spread
    prob[0] = 0.0
    return prob


def _interpolate(keys: Keys, counts: Reals, base: int, lower: NGram, n: int) -> tuple[Level, Reals, Keys]:
    """The level of n-grams over `lower`, with the back-off weight of each context."""
    contexts, group = np.unique(keys // base, return_inverse=True)
    taken = _discounted(counts)
    total = np.bincount(group, weights=counts, minlength=len(contexts))
    freed = np.bincount(group, weights=taken, minlength=len(contexts))
    weight = freed / total
    below = lower.probs(_decode(keys, n, base)[:, 1:])
    prob = (counts - taken) / total[group] + weight[group] * below
    return Level(keys, prob, np.ones(len(keys))), weight, contexts


def with_backoffs(model: NGram) -> NGram:
    """The model with back-off weights under which every context sums to one."""
    base = len(model.words)
    levels = list(model.levels)
    for n in range(2, model.order + 1):
        level, shorter = levels[n - 1], NGram(model.words, tuple(levels[: n - 1]))
        contexts, group = np.unique(level.keys // base, return_inverse=True)
        below = shorter.probs(_decode(level.keys, n, base)[:, 1:])
        seen = np.bincount(group, weights=level.prob, minlength=len(contexts))
        seen_below = np.bincount(group, weights=below, minlength=len(contexts))
        weight = np.maximum(1.0 - seen, 1e-6) / np.maximum(1.0 - seen_below, 1e-6)
        before = levels[n - 2]
        backoff = np.ones(len(before.keys))
        found, at = _find(before.keys, contexts)
        backoff[at[found]] = weight[found]
        levels[n - 2] = Level(before.keys, before.prob, backoff)
    return NGram(model.words, tuple(levels))


def _over(model: NGram, words: tuple[str, ...]) -> NGram:
    """The same model numbered by a longer list of words; words that it lacks have a probability of zero."""
    index = {word: i for i, word in enumerate(words)}
    old, base = len(model.words), len(words)
    new = np.array([index[word] for word in model.words], dtype=np.int64)
    levels = []
    for n, level in enumerate(model.levels, 1):
        keys = _encode(new[_decode(level.keys, n, old)], base)
        prob, backoff = level.prob, level.backoff
        if n == 1:
            full, back = np.zeros(base), np.ones(base)
            full[keys], back[keys] = prob, backoff
            levels.append(Level(np.arange(base, dtype=np.int64), full, back))
            continue
        sort = np.argsort(keys)
        levels.append(Level(keys[sort], prob[sort], backoff[sort]))
    return NGram(words, tuple(levels))


def _encode(grams: NDArray[np.int64], base: int) -> Keys:
    keys = np.zeros(len(grams), dtype=np.int64)
    for column in grams.T:
        keys = keys * base + column
    return keys


def _decode(keys: Keys, n: int, base: int) -> NDArray[np.int64]:
    out = np.empty((len(keys), n), dtype=np.int64)
    for k in range(n - 1, -1, -1):
        out[:, k] = keys % base
        keys = keys // base
    return out


def _find(held: Keys, wanted: Keys) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
    """Which of `wanted` are in the sorted `held`, and where."""
    if not len(held):
        return np.zeros(len(wanted), dtype=bool), np.zeros(len(wanted), dtype=np.int64)
    at = np.minimum(np.searchsorted(held, wanted), len(held) - 1)
    return held[at] == wanted, at
