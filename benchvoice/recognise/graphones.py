"""How a word sounds, guessed from its spelling, for words that no dictionary and no entry holds.

A joint-sequence model: Bisani and Ney, "Joint-sequence models for grapheme-to-phoneme conversion", Speech
Communication 50 (2008) 434-451. Its units, graphones, are one letter with the sounds that it makes, none to two, and
an n-gram model says which unit follows which. `make_graphones` learns it; `graphones.md` says from what.
"""

from __future__ import annotations

import math
import zipfile
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchvoice.errors import BenchvoiceError
from benchvoice.recognise.ngram import Level, NGram
from benchvoice.recognise.pronounce import SPELLING, Sounds

BEAM = 40
"""Readings of the letters so far that are followed."""
CLOSE = 0.3
"""A further way to say a word is worth listening for if it is this likely in proportion to the best one."""
_END = "$"
# Steps of a natural logarithm: a probability keeps 1/12, a back-off weight 1/24, both in one byte.
_PROB_STEPS, _BACKOFF_STEPS = 12.0, 24.0


@dataclass(frozen=True, slots=True)
class Said:
    """One way to say a word, with the natural logarithm of its probability together with the spelling."""

    sounds: Sounds
    log: float


@dataclass(frozen=True, slots=True)
class _Beam:
    """Readings of the letters so far: their last units, log probabilities, and sounds."""

    last: NDArray[np.int64]
    log: NDArray[np.float64]
    sounds: list[Sounds]


class Graphones:
    """Guesses pronunciations by a beam search over the units of an n-gram model."""

    def __init__(self, model: NGram) -> None:
        self._model = model
        self._sounds: list[Sounds] = [(), ()]
        letters: dict[str, list[int]] = {_END: [1]}
        for number, unit in enumerate(model.words[2:], 2):
            letter, _, sounds = unit.partition("|")
            letters.setdefault(letter, []).append(number)
            self._sounds.append(tuple(sounds.split()))
        self._units = {letter: np.array(units, dtype=np.int64) for letter, units in letters.items()}

    def spells(self, word: str) -> bool:
        """Whether all letters are ones that the model knows."""
        return bool(word) and _END not in word and all(letter in self._units for letter in word)

    def ways(self, word: str) -> list[Said]:
        """Ways to say `word`, the likeliest first. Raises ValueError for one that can't be spelled."""
        return self._search(word, None)

    def guess(self, word: str, most: int = 3) -> list[Sounds]:
        """The likeliest way to say `word`, and up to `most` in all that are nearly as likely."""
        ways = [way for way in self.ways(word) if way.sounds]
        return [way.sounds for way in ways[:most] if way.log - ways[0].log >= math.log(CLOSE)]

    def log_of(self, word: str, sounds: Sounds) -> float:
        """Log probability of the spelling said with just these sounds; minus infinity if no unit makes them of it."""
        found = self._search(word, sounds)
        return found[0].log if found else -math.inf

    def _search(self, word: str, wanted: Sounds | None) -> list[Said]:
        if not self.spells(word):
            raise ValueError(f"{word!r} has letters that the model lacks")
        beam = _Beam(np.zeros((1, 1), dtype=np.int64), np.zeros(1), [()])
        for letter in word + _END:
            beam = self._step(beam, self._units[letter], wanted)
            if not beam.sounds:
                return []
        logs: dict[Sounds, float] = {}
        for sounds, log in zip(beam.sounds, beam.log, strict=True):
            if wanted is None or sounds == wanted:
                logs[sounds] = float(np.logaddexp(logs.get(sounds, -math.inf), log))
        return sorted((Said(*item) for item in logs.items()), key=lambda said: (-said.log, said.sounds))

    def _step(self, beam: _Beam, units: NDArray[np.int64], wanted: Sounds | None) -> _Beam:
        """The beam after one more letter."""
        count = len(units)
        context = np.repeat(beam.last[:, -(self._model.order - 1) :], count, axis=0)
        grams = np.column_stack([context, np.tile(units, len(beam.log))])
        log = np.repeat(beam.log, count) + np.log(np.maximum(self._model.probs(grams), 1e-300))
        keep: list[int] = []
        sounds: list[Sounds] = []
        for at in np.argsort(-log, kind="stable").tolist():
            said = beam.sounds[at // count] + self._sounds[grams[at, -1]]
            if wanted is None or wanted[: len(said)] == said:
                keep.append(at)
                sounds.append(said)
                if len(keep) == BEAM:
                    break
        return _Beam(grams[keep], log[keep], sounds)


def write(model: NGram, path: Path) -> None:
    """The model in a compact form: each n-gram as the unit that it adds to one of the level below, values in a byte.

    Raises ValueError for a model whose n-grams' beginnings aren't all n-grams too.
    """
    base = len(model.words)
    arrays: dict[str, NDArray[np.generic]] = {"units": np.array(model.words[2:])}
    below: NDArray[np.int64] | None = None
    for n, level in enumerate(model.levels, 1):
        if below is not None:
            at = np.minimum(np.searchsorted(below, level.keys // base), len(below) - 1)
            if not np.array_equal(below[at], level.keys // base):
                raise ValueError(f"a {n}-gram begins with what is no {n - 1}-gram")
            arrays[f"more{n}"] = np.bincount(at, minlength=len(below)).astype(np.uint16)
            arrays[f"unit{n}"] = (level.keys % base).astype(np.uint16)
        arrays[f"prob{n}"] = _bytes(level.prob, _PROB_STEPS)
        if n < model.order:
            arrays[f"backoff{n}"] = _bytes(level.backoff, _BACKOFF_STEPS)
        below = level.keys
    with path.open("wb") as out:
        np.savez_compressed(out, allow_pickle=False, **arrays)


def read(path: Path) -> NGram:
    """What `write` wrote. Raises OSError, EOFError, ValueError, KeyError or zipfile.BadZipFile if it isn't that."""
    with np.load(path, allow_pickle=False) as arrays:
        words = ("<s>", "</s>", *(str(unit) for unit in arrays["units"]))
        base = len(words)
        keys = np.arange(base, dtype=np.int64)
        levels: list[Level] = []
        for n in range(1, 1 + sum(name.startswith("prob") for name in arrays)):
            if n > 1:
                keys = np.repeat(keys, arrays[f"more{n}"]) * base + arrays[f"unit{n}"]
            prob = np.exp(arrays[f"prob{n}"] / -_PROB_STEPS)
            has_backoff = f"backoff{n}" in arrays
            backoff = np.exp(arrays[f"backoff{n}"] / -_BACKOFF_STEPS) if has_backoff else np.ones(len(keys))
            if not len(keys) == len(prob) == len(backoff):
                raise ValueError(f"{path.name}: the {n}-grams are incomplete")
            levels.append(Level(keys, prob, backoff))
    return NGram(words, tuple(levels))


@lru_cache(maxsize=1)
def load() -> Graphones:
    """The model in the package. Raises BenchvoiceError if it can't be read."""
    try:
        return Graphones(read(SPELLING))
    except (OSError, EOFError, ValueError, KeyError, zipfile.BadZipFile) as error:
        raise BenchvoiceError(f"{SPELLING.name} can't be read: {error}.", hint="Install benchvoice again.") from error


def _bytes(values: NDArray[np.float64], steps: float) -> NDArray[np.uint8]:
    logs = -np.log(np.maximum(values, 1e-12)) * steps
    return np.clip(np.round(logs), 0, 255).astype(np.uint8)
