"""General English from the language model inside the pocketsphinx package, cut down to the words that are wanted.

The package's file is a reversed trie of quantised probabilities (its own `lm_trie`): after a header come the
unigrams, then bit-packed bigrams and trigrams, each n-gram filed under its last word, then the one before it. Reading
it as arrays takes a second; asking the package's own object for every pair would take minutes.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchvoice.errors import BenchvoiceError
from benchvoice.recognise.ngram import END, START, Level, NGram, with_backoffs

_HEADER = b"Trie Language Model"
_BINS = 1 << 16
_LOGBASE = 1.0001
_NEVER = -1e6
"""Logarithms below this stand for words that are never predicted, such as <s>."""
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class GeneralModel:
    """The opened file. Probabilities stay as the file's logarithms (base 1.0001) until they are asked for."""

    data: NDArray[np.uint8]
    counts: tuple[int, int, int]
    tables: tuple[NDArray[np.float32], ...]
    """Bigram probabilities, bigram back-off weights, trigram probabilities."""
    unigrams: NDArray[np.void]
    bigrams_at: int
    trigrams_at: int
    words: tuple[str, ...]

    @cached_property
    def word_bits(self) -> int:
        return self.counts[0].bit_length()

    @cached_property
    def next_bits(self) -> int:
        return self.counts[2].bit_length()

    def commonest(self, count: int, among: Iterable[str]) -> list[str]:
        """The `count` likeliest words of `among` that the model knows, likeliest first."""
        allowed = set(among)
        ranked = np.argsort(-self.unigrams["prob"][: len(self.words)])
        out: list[str] = []
        for i in ranked:
            if len(out) >= count:
                break
            if self.words[i] in allowed:
                out.append(self.words[i])
        return out

    def restricted(self, vocabulary: Iterable[str], *, order: int = 3) -> NGram:
        """A model over `vocabulary`, its n-grams those of the file; words that the file lacks get the probability of
        its rarest word. order: 2 or 3.
        """
        known = {word: i for i, word in enumerate(self.words)}
        wanted = [START, END, *sorted(set(vocabulary) - {START, END})]
        new = np.full(self.counts[0] + 1, -1, dtype=np.int64)
        known_logs = self.unigrams["prob"][: self.counts[0]]
        rarest = float(known_logs[known_logs > _NEVER].min())
        logs = np.full(len(wanted), rarest)
        for i, word in enumerate(wanted):
            at = known.get(word)
            if at is not None:
                new[at] = i
                logs[i] = self.unigrams["prob"][at]
        one = _probability(logs)
        one[0] = 0.0
        one /= one.sum()
        base = len(wanted)
        longer = [self._pairs(new, base)]
        if order > 2:
            longer.append(self._triples(new, base))
        levels = [Level(np.arange(base, dtype=np.int64), one, np.ones(base))]
        levels += [Level(keys, prob, np.ones(len(keys))) for keys, prob in longer]
        return with_backoffs(NGram(tuple(wanted), tuple(levels)))

    @cached_property
    def _last_of_pair(self) -> Ints:
        """For every bigram, the word that is predicted."""
        starts = self.unigrams["next"].astype(np.int64)
        return _owners(starts, self.counts[1])

    @cached_property
    def _first_of_pair(self) -> Ints:
        return self._field(self.bigrams_at, self.counts[1], self._pair_width, 0, self.word_bits)

    @property
    def _pair_width(self) -> int:
        return self.word_bits + 32 + self.next_bits

    def _pairs(self, new: Ints, base: int) -> tuple[Ints, NDArray[np.float64]]:
        last, first = new[self._last_of_pair], new[self._first_of_pair]
        keep = (last > 0) & (first >= 0) & (first != 1)
        bins = self._field(self.bigrams_at, self.counts[1], self._pair_width, self.word_bits + 16, 16)[keep]
        return _sorted(first[keep] * base + last[keep], _probability(self.tables[0][bins]))

    def _triples(self, new: Ints, base: int) -> tuple[Ints, NDArray[np.float64]]:
        starts = self._field(self.bigrams_at, self.counts[1] + 1, self._pair_width, self.word_bits + 32, self.next_bits)
        pair = np.minimum(_owners(starts, self.counts[2]), self.counts[1] - 1)
        width = self.word_bits + 16
        first = new[self._field(self.trigrams_at, self.counts[2], width, 0, self.word_bits)]
        middle, last = new[self._first_of_pair[pair]], new[self._last_of_pair[pair]]
        keep = (last > 0) & (middle > 1) & (first >= 0) & (first != 1)
        bins = self._field(self.trigrams_at, self.counts[2], width, self.word_bits, 16)[keep]
        keys = (first[keep] * base + middle[keep]) * base + last[keep]
        return _sorted(keys, _probability(self.tables[2][bins]))

    def _field(self, at: int, count: int, width: int, start: int, size: int) -> Ints:
        """A column of a bit-packed table."""
        bit = np.arange(count, dtype=np.int64) * width + start
        byte, shift = at + (bit >> 3), (bit & 7).astype(np.uint64)
        value = np.zeros(count, dtype=np.uint64)
        for k in range((size + 14) // 8):
            value |= self.data[byte + k].astype(np.uint64) << np.uint64(8 * k)
        return ((value >> shift) & np.uint64((1 << size) - 1)).astype(np.int64)


def read_general(path: Path) -> GeneralModel:
    """The model in `path`. Raises BenchvoiceError if the file is not of the form described above."""
    try:
        data = np.fromfile(path, dtype=np.uint8)
        raw = data.tobytes()
        if not raw.startswith(_HEADER) or raw[len(_HEADER)] != 3:
            raise ValueError("another format")
        at = len(_HEADER) + 1
        counts = struct.unpack_from("<3I", raw, at)
        at += 12 + 4
        tables = []
        for _ in range(3):
            tables.append(np.frombuffer(raw, "<f4", _BINS, at))
            at += 4 * _BINS
        kind = np.dtype([("prob", "<f4"), ("backoff", "<f4"), ("next", "<u4")])
        unigrams = np.frombuffer(raw, kind, counts[0] + 1, at)
        at += kind.itemsize * (counts[0] + 1)
        word_bits, next_bits = counts[0].bit_length(), counts[2].bit_length()
        trigrams_at = at + _table_size(counts[1], word_bits + 32 + next_bits)
        words_at = trigrams_at + _table_size(counts[2], word_bits + 16)
        (size,) = struct.unpack_from("<i", raw, words_at)
        words = raw[words_at + 4 : words_at + 4 + size].decode("utf-8").split("\0")[: counts[0]]
        if len(words) != counts[0]:
            raise ValueError("words are missing")
    except (OSError, ValueError, struct.error, IndexError) as error:
        raise BenchvoiceError(
            "The general language model of pocketsphinx can't be read.", hint="Install pocketsphinx again."
        ) from error
    return GeneralModel(
        data=data,
        counts=counts,
        tables=tuple(tables),
        unigrams=unigrams,
        bigrams_at=at,
        trigrams_at=trigrams_at,
        words=tuple(words),
    )


def _owners(starts: Ints, count: int) -> Ints:
    """Which entry of the shorter table each of `count` entries of the longer one belongs to."""
    return np.searchsorted(starts, np.arange(count, dtype=np.int64), side="right") - 1


def _table_size(entries: int, bits: int) -> int:
    return ((1 + entries) * bits + 7) // 8 + 8


def _probability(logs: NDArray[np.floating]) -> NDArray[np.float64]:
    out: NDArray[np.float64] = np.exp(np.asarray(logs, dtype=np.float64) * np.log(_LOGBASE))
    return out


def _sorted(keys: Ints, values: NDArray[np.float64]) -> tuple[Ints, NDArray[np.float64]]:
    sort = np.argsort(keys, kind="stable")
    return keys[sort], values[sort]
