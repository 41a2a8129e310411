"""Makes the model that guesses how a word sounds: `python -m benchvoice.recognise.make_graphones [FILE]`.

It learns from the dictionary of the pocketsphinx package, in three steps: expectation maximisation finds which letter
makes which sounds, with units that don't know of one another; the likeliest alignment of each word becomes a row of
units; those rows are counted and smoothed as sentences are. This is the order-one start of Bisani and Ney (2008),
section 3, with the longer history learnt from its best alignments and not from all of them.

Words of one length and one number of sounds are aligned together, so that the whole takes ten seconds.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchvoice.recognise.graphones import write
from benchvoice.recognise.language import package
from benchvoice.recognise.ngram import NGram, kneser_ney, prune
from benchvoice.recognise.pronounce import SPELLING, Sounds, read_dictionary

ORDER = 6
ROUNDS = 12
"""After these the likelihood grows by less than one part in five thousand a round."""
MOST = 2
"""Sounds that one letter makes at most, as the x of "box"."""
RARE = 3
"""Words whose alignment needs a unit seen less often than this are initials and foreign names; they are left out."""
PRUNED = 2.0
_SPELLED = re.compile(r"[a-z']+")
Pairs = Sequence[tuple[str, Sounds]]
Ints = NDArray[np.int64]
Reals = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Group:
    """Words of equal length: numbers of their letters (words, letters) and sounds (words, sounds)."""

    places: tuple[int, ...]
    letters: Ints
    sounds: Ints

    def moves(self) -> Iterator[tuple[int, int, int]]:
        """(letter, sounds before it, sounds that it makes) wherever a way through begins and can still end."""
        size, total = self.letters.shape[1], self.sounds.shape[1]
        for i in range(size):
            for j in range(min(total, MOST * i) + 1):
                for made in range(MOST + 1):
                    if 0 <= total - j - made <= MOST * (size - i - 1):
                        yield i, j, made

    def units(self, i: int, j: int, made: int, base: int) -> Ints:
        """Numbers of the units that letter i makes of the `made` sounds from j on, one a word."""
        units = self.letters[:, i]
        for k in range(MOST):
            units = units * base + (self.sounds[:, j + k] if k < made else 0)
        return units


def spelled(dictionary: Mapping[str, Sequence[Sounds]]) -> list[tuple[str, Sounds]]:
    """What can be learnt from: every way to say every word that is made of letters only."""
    return [(word, way) for word in sorted(dictionary) if _SPELLED.fullmatch(word) for way in dictionary[word]]


def train(pairs: Pairs) -> NGram:
    """The n-gram model of units like "x|K S". Raises ValueError if there is nothing to learn from."""
    rows = align(pairs)
    seen = Counter(unit for row in rows for unit in row)
    common = [row for row in rows if all(seen[unit] >= RARE for unit in row)]
    return prune(kneser_ney(common, order=ORDER), PRUNED)


def align(pairs: Pairs) -> list[list[str]]:
    """Each word as a row of units; words with more sounds than their letters can make are left out."""
    groups, base, size = _grouped(pairs)
    prob = np.ones(size)
    for _ in range(ROUNDS):
        counts = np.zeros(size)
        for group in groups:
            _expect(group, prob, base, counts)
        prob = counts / counts.sum()
    log = np.log(np.maximum(prob, 1e-30))
    rows: dict[int, list[str]] = {}
    for group in groups:
        for place, made in zip(group.places, _best(group, log, base), strict=True):
            rows[place] = _row(*pairs[place], made)
    return [rows[place] for place in sorted(rows)]


def _grouped(pairs: Pairs) -> tuple[list[_Group], int, int]:
    """Groups of words, the base that sounds are numbered in, and how many units there can be."""
    letters = {letter: i for i, letter in enumerate(sorted({letter for word, _ in pairs for letter in word}))}
    sounds = {sound: i for i, sound in enumerate(sorted({sound for _, way in pairs for sound in way}), 1)}
    base = len(sounds) + 1
    sizes: dict[tuple[int, int], list[int]] = {}
    for place, (word, way) in enumerate(pairs):
        if len(way) <= MOST * len(word):
            sizes.setdefault((len(word), len(way)), []).append(place)
    groups = [
        _Group(
            tuple(places),
            np.array([[letters[letter] for letter in pairs[place][0]] for place in places], dtype=np.int64),
            np.array([[sounds[sound] for sound in pairs[place][1]] for place in places], dtype=np.int64),
        )
        for places in sizes.values()
    ]
    return groups, base, len(letters) * base**MOST


def _expect(group: _Group, prob: Reals, base: int, counts: Reals) -> None:
    """Adds how often each unit is expected in these words (forward and backward over all alignments)."""
    words, size = group.letters.shape
    total = group.sounds.shape[1]
    moves = [(i, j, made, group.units(i, j, made, base)) for i, j, made in group.moves()]
    forward = np.zeros((size + 1, total + 1, words))
    forward[0, 0] = 1.0
    for i, j, made, units in moves:
        forward[i + 1, j + made] += forward[i, j] * prob[units]
    backward = np.zeros_like(forward)
    backward[size, total] = 1.0 / np.maximum(forward[size, total], 1e-300)
    for i, j, made, units in reversed(moves):
        share = prob[units] * backward[i + 1, j + made]
        backward[i, j] += share
        np.add.at(counts, units, forward[i, j] * share)


def _best(group: _Group, log: Reals, base: int) -> Ints:
    """How many sounds each letter makes in the likeliest alignment (words, letters).

    Of equally likely ones that in which a sound belongs to the later letters is taken, always the same.
    """
    words, size = group.letters.shape
    total = group.sounds.shape[1]
    best = np.full((size + 1, total + 1, words), -np.inf)
    best[0, 0] = 0.0
    back = np.zeros((size + 1, total + 1, words), dtype=np.int64)
    for i, j, made in group.moves():
        value = best[i, j] + log[group.units(i, j, made, base)]
        better = value > best[i + 1, j + made] + 1e-9
        best[i + 1, j + made][better] = value[better]
        back[i + 1, j + made][better] = made
    out = np.zeros((words, size), dtype=np.int64)
    at = np.full(words, total)
    for i in range(size, 0, -1):
        out[:, i - 1] = back[i, at, np.arange(words)]
        at = at - out[:, i - 1]
    return out


def _row(word: str, way: Sounds, made: Iterable[int]) -> list[str]:
    row: list[str] = []
    at = 0
    for letter, count in zip(word, made, strict=True):
        row.append(f"{letter}|{' '.join(way[at : at + count])}")
        at += count
    return row


def main(arguments: Sequence[str]) -> int:
    """Writes the model, and says how large it is."""
    path = Path(arguments[0]) if arguments else SPELLING
    model = train(spelled(read_dictionary(package().dictionary)))
    write(model, path)
    grams = ", ".join(f"{len(level.keys):,}" for level in model.levels)
    print(f"{path.name}: {path.stat().st_size / 1e6:.2f} MB; n-grams of one to {model.order} units: {grams}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
