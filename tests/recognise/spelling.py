"""How well pronunciations are guessed from spelling: `python -m tests.recognise.spelling [--words 12000]`.

A random tenth of the dictionary's words is held back, a model is made of the rest as the package's own is, written and
read back, and guesses those words. A guess is held against the nearest of the dictionary's pronunciations. Literature,
on another random split of another edition of this dictionary: Bisani and Ney (2008) 5.9 % of sounds and 24.5 % of
words wrong (from memory). The package's own model is then measured on words of the trade that the dictionary lacks.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import numpy as np
from rapidfuzz.distance import Levenshtein

from benchvoice.recognise import graphones, language, make_graphones, pronounce
from benchvoice.recognise.graphones import Graphones
from benchvoice.recognise.pronounce import Pronouncer, Sounds

SEED = 7
BANDS = (np.inf, -0.5, pronounce.SURE, pronounce.MAYBE, -np.inf)
Dictionary = Mapping[str, Sequence[Sounds]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Errors:
    """Shares of sounds and of words that are wrong."""

    sounds: float
    words: float

    def __str__(self) -> str:
        return f"{100 * self.sounds:5.1f} % of sounds wrong, {100 * self.words:5.1f} % of words"


@lru_cache(maxsize=1)
def dictionary() -> dict[str, list[Sounds]]:
    return pronounce.read_dictionary(language.package().dictionary)


def split(share: float = 0.1) -> tuple[list[tuple[str, Sounds]], list[str]]:
    """What to learn from, and the words that are held back, in random order."""
    pairs = make_graphones.spelled(dictionary())
    words = sorted({word for word, _ in pairs})
    rng = np.random.default_rng(SEED)
    held = [words[i] for i in rng.permutation(len(words))[: int(share * len(words))]]
    apart = set(held)
    return [pair for pair in pairs if pair[0] not in apart], held


def made(pairs: Sequence[tuple[str, Sounds]]) -> Graphones:
    """A model as the package would hold it."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "model.npz"
        graphones.write(make_graphones.train(pairs), path)
        return Graphones(graphones.read(path))


def errors(guesses: Mapping[str, Sounds], right: Dictionary) -> Errors:
    wrong_sounds = sounds = wrong_words = 0
    for word, guess in guesses.items():
        distance, length = min((Levenshtein.distance(guess, way), len(way)) for way in right[word])
        wrong_sounds, sounds, wrong_words = wrong_sounds + distance, sounds + length, wrong_words + (distance > 0)
    return Errors(sounds=wrong_sounds / sounds, words=wrong_words / len(guesses))


def trade_words() -> dict[str, list[Sounds]]:
    """Our own checked entries, without what is said letter by letter; the dictionary has none of them."""
    known = dictionary()
    entries = pronounce.read_entries({sound for ways in known.values() for way in ways for sound in way})
    return {
        word: ways
        for word, ways in entries.words.items()
        if word not in known and len(word) > 3 and make_graphones.spelled({word: ways})
    }


def _rules(model: Graphones, held: Sequence[str]) -> None:
    """By how likely the best reading that follows from known words is: are the rules or the model right oftener?"""
    left = {word: dictionary()[word] for word in dictionary().keys() - set(held)}
    pronouncer = Pronouncer(left)
    found = []
    for word in held:
        best = max(((model.log_of(word, way), way) for ways in pronouncer.readings(word) for way in ways), default=None)
        if best:
            guess = model.ways(word)[0]
            found.append((best[0] - guess.log, word, best[1], guess.sounds))
    print("\nWords that seem to follow from known ones, by the reading's log probability less the guess's:")
    for above, below in pairwise(BANDS):
        rows = [row for row in found if below < row[0] <= above]
        if rows:
            rules = errors({word: way for _, word, way, _ in rows}, dictionary())
            guesses = errors({word: way for _, word, _, way in rows}, dictionary())
            print(f"  {below:5.1f} .. {above:4.1f}  {len(rows):5} words   rules: {rules}   guess: {guesses}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--words", type=int, default=20_000, help="held-back words to guess at most")
    most = parser.parse_args().words
    pairs, held = split()
    held = held[:most]
    begun = time.perf_counter()
    model = made(pairs)
    print(f"Learnt from {len(pairs):,} pronunciations in {time.perf_counter() - begun:.0f} s.")
    begun = time.perf_counter()
    guesses = {word: model.guess(word) for word in held}
    each = 1000 * (time.perf_counter() - begun) / len(held)
    print(f"{len(held):,} held-back words: {errors({word: ways[0] for word, ways in guesses.items()}, dictionary())}")
    some = sum(not set(ways).isdisjoint(dictionary()[word]) for word, ways in guesses.items())
    count = sum(map(len, guesses.values())) / len(held)
    print(f"  one of {count:.2f} guesses a word is right for {100 * some / len(held):.1f} %; {each:.1f} ms a word")
    trade, own = trade_words(), graphones.load()
    print(f"{len(trade)} words of the trade: {errors({word: own.guess(word)[0] for word in trade}, trade)}")
    _rules(model, held)


if __name__ == "__main__":
    main()
