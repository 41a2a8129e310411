"""How words sound: the dictionary inside the pocketsphinx package, our entries and the person's, and what follows.

Phonemes are ARPAbet without stress. The endings of plurals, possessives and contractions are regular in English: S
after a voiceless sound, Z after a voiced one, IH Z after a hissing one (any textbook of English phonology).

What seems to follow from a known word may not: "snugged" is no compound of "snug" and "ged", nor "prised" a form of
"pris", though the dictionary holds both. So `graphones` weighs each such reading against the spelling; `python -m
tests.recognise.spelling` prints the figures behind the two limits.
"""

from __future__ import annotations

import itertools
import math
import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from benchvoice import paths
from benchvoice.errors import GrammarError
from benchvoice.resources import folder

if TYPE_CHECKING:
    from benchvoice.recognise.graphones import Graphones

Sounds = tuple[str, ...]
_VARIANT = re.compile(r"\(\d+\)$")
_HISSING = {"S", "Z", "SH", "ZH", "CH", "JH"}
_VOICELESS = {"P", "T", "K", "F", "TH"}
_VOWEL = re.compile(r"[aeiouy]")
_PIECE = re.compile(r"[a-z']+")
_OWN_FILE = "pronunciations.toml"
_ENTRIES = f"en/{_OWN_FILE}"
SURE = -2.5
"""A reading that follows from known words stands if its log probability, less that of the likeliest, is above this."""
MAYBE = -4.5
"""Above this it is listened for beside the likeliest reading; below, it is dropped."""
SPELLING = Path(__file__).with_name("graphones.npz")
"""The model that guesses how a word sounds by its spelling."""
MOST = 3
"""Guesses for one word at most."""


def without_variant(entry: str) -> str:
    """A dictionary numbers further pronunciations of a word: `oil(2)`. Gives the word."""
    return _VARIANT.sub("", entry)


def read_dictionary(path: Path) -> dict[str, list[Sounds]]:
    """The package's dictionary: word -> pronunciations."""
    out: dict[str, list[Sounds]] = {}
    with path.open(encoding="utf-8") as lines:
        for line in lines:
            word, *sounds = line.split()
            out.setdefault(without_variant(word), []).append(tuple(sounds))
    return out


@dataclass(frozen=True, slots=True)
class Entries:
    """New words, further pronunciations of known ones, and spellings that are never heard."""

    words: dict[str, list[Sounds]]
    variants: dict[str, list[Sounds]]
    written: frozenset[str]


def entry_files(own: Path | None = None) -> tuple[tuple[str, str], ...]:
    """(name, text) of our file of entries and, if there is one, of the person's own over it.

    own: the folder of the person's files, if it isn't the usual one. Raises GrammarError if their file can't be read.
    """
    files = [(f"grammars/{_ENTRIES}", (folder("grammars") / _ENTRIES).read_text(encoding="utf-8"))]
    path = (paths.config() / "grammars" / "en" if own is None else own) / _OWN_FILE
    if path.is_file():
        try:
            files.append((str(path), path.read_text(encoding="utf-8")))
        except (OSError, UnicodeDecodeError) as error:
            raise GrammarError(f"{path} can't be read: {error}.", hint="Correct the file.") from error
    return tuple(files)


def read_entries(phonemes: Iterable[str], own: Path | None = None) -> Entries:
    """Our entries with the person's own added to them. Raises GrammarError with every problem, its file and line.

    A word that the person gives a pronunciation for is heard, even if our file says that it is only ever written.
    """
    known = set(phonemes)
    out = Entries({}, {}, frozenset())
    problems: list[str] = []
    for name, text in entry_files(own):
        file = _File(name, text, problems)
        words, variants = (file.ways(key, known) for key in ("words", "variants"))
        written = out.written - words.keys() - variants.keys() | file.strings("written")
        out = Entries(_joined(out.words, words), _joined(out.variants, variants), written)
        file.spellings()
    _raise_if(problems)
    return out


def sounds_like() -> dict[str, tuple[str, ...]]:
    """Spellings to listen for in place of words that a recogniser may lack; the person's own over ours.

    Raises GrammarError with every problem, its file and line.
    """
    problems: list[str] = []
    out: dict[str, tuple[str, ...]] = {}
    for name, text in entry_files():
        out |= _File(name, text, problems).spellings()
    _raise_if(problems)
    return out


@dataclass(slots=True)
class _File:
    """A file of entries; what is wrong in it is added to the problems."""

    name: str
    text: str
    problems: list[str]
    table: dict[str, Any] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        try:
            self.table = tomllib.loads(self.text)
        except tomllib.TOMLDecodeError as error:
            self.problems.append(f"{self.name}: {error}")

    def ways(self, key: str, known: set[str]) -> dict[str, list[Sounds]]:
        entries = self.table.get(key, {})
        if not isinstance(entries, dict):
            self._add(key, 'is a table: write [words], then lines like word = ["W ER D"]')
            return {}
        out: dict[str, list[Sounds]] = {}
        for word, ways in entries.items():
            if not isinstance(ways, list) or not all(isinstance(way, str) and way.strip() for way in ways):
                self._add(word, "wants a list of pronunciations in quotes")
                continue
            wrong = sorted({sound for way in ways for sound in way.split()} - known)
            if wrong:
                self._add(word, f"has sounds that the model lacks: {', '.join(wrong)}")
                continue
            out[word] = [tuple(way.split()) for way in ways]
        return out

    def strings(self, key: str) -> frozenset[str]:
        values = self.table.get(key, [])
        if not isinstance(values, list) or not all(isinstance(value, str) for value in values):
            self._add(key, "is a list of words in quotes")
            return frozenset()
        return frozenset(values)

    def spellings(self) -> dict[str, tuple[str, ...]]:
        entries = self.table.get("sounds_like", {})
        if not isinstance(entries, dict):
            self._add("sounds_like", 'is a table: write [sounds_like], then lines like word = "word"')
            return {}
        for word in entries:
            if not isinstance(entries[word], str):
                self._add(word, "wants its spelling in quotes")
        return {word: tuple(spelled.split()) for word, spelled in entries.items() if isinstance(spelled, str)}

    def _add(self, word: str, says: str) -> None:
        begins = (f"{word} ", f"{word}=", f'"{word}"')
        rows = enumerate(self.text.splitlines(), 1)
        line = next((i for i, row in rows if row.lstrip().startswith(begins)), 1)
        self.problems.append(f"{self.name}:{line}: {word} {says}")


def _raise_if(problems: Sequence[str]) -> None:
    if problems:
        lines = "that line" if len(problems) == 1 else "these lines"
        raise GrammarError("; ".join(problems) + ".", hint=f"Correct {lines}.", problems=problems)


def _joined(ours: Mapping[str, list[Sounds]], own: Mapping[str, list[Sounds]]) -> dict[str, list[Sounds]]:
    return {word: [*ours.get(word, []), *own.get(word, [])] for word in (*ours, *own)}


@dataclass(frozen=True, slots=True)
class _Derived:
    """What the rules make of a word: ways to say it that are sure, and ways that are as good as guesses."""

    sure: list[Sounds]
    doubtful: list[Sounds]


class Pronouncer:
    """Pronunciations of single words: known ones and, for the rest, guesses.

    own: the folder of the person's files, if it isn't the usual one. Raises GrammarError if entries are wrong, and
    later BenchvoiceError if the model of spelling can't be read.
    """

    def __init__(self, dictionary: Mapping[str, list[Sounds]], own: Path | None = None) -> None:
        self._dictionary = dictionary
        phonemes = {sound for ways in dictionary.values() for way in ways for sound in way}
        entries = read_entries(phonemes, own)
        self._own, self._variants, self.written = entries.words, entries.variants, entries.written
        self._worked_out: dict[str, _Derived] = {}

    def ways(self, word: str) -> list[Sounds]:
        """Ways to say `word` that a recogniser should listen for: the known ones, else the guessed ones."""
        return self.sounds(word) or self.guess(word)

    def sounds(self, word: str) -> list[Sounds]:
        """All known ways to say `word`, the dictionary's first, without repeats; none if nobody knows it."""
        if word in self.written:
            return []
        ways = [*self._dictionary.get(word, []), *self._own.get(word, []), *self._variants.get(word, [])]
        return list(dict.fromkeys(ways or self._derived(word).sure))

    def guess(self, word: str) -> list[Sounds]:
        """Ways that `word` may be said by its spelling, the best first, at most three.

        Known parts come first, if the spelling doesn't speak against them. A piece without a vowel is spelled out
        ("ptl": pee tee ell). Empty for a word that is only written, and for one with digits or signs in it.
        """
        if word in self.written:
            return []
        plain = "".join(c for c in unicodedata.normalize("NFKD", word.casefold()) if not unicodedata.combining(c))
        pieces = plain.strip("-").split("-")
        if not all(_PIECE.fullmatch(piece) and piece.strip("'") for piece in pieces):
            return []
        parts = [self._guess_piece(piece) for piece in pieces]
        joined = itertools.islice(itertools.product(*parts), MOST)
        return list(dict.fromkeys(tuple(sound for part in way for sound in part) for way in joined))

    def _guess_piece(self, piece: str) -> list[Sounds]:
        known = self._dictionary.get(piece) or self._own.get(piece)
        if known:
            return known[:1]
        derived = self._derived(piece)
        if derived.sure:
            return derived.sure[:1]
        for ending, make in _ENDINGS:
            stem = piece.removesuffix(ending)
            if "'" in ending and stem not in ("", piece):
                return [way + make(way) for way in self._guess_piece(stem)]
        if not _VOWEL.search(piece):
            names = [self._dictionary.get(letter, [()])[0] for letter in piece if letter != "'"]
            return [tuple(sound for name in names for sound in name)]
        return [*derived.doubtful, *self._model().guess(piece, MOST)][:MOST]

    def _model(self) -> Graphones:
        from benchvoice.recognise import graphones

        return graphones.load()

    def _derived(self, word: str) -> _Derived:
        if word not in self._worked_out:
            self._worked_out[word] = self._derive(word)
        return self._worked_out[word]

    def _derive(self, word: str) -> _Derived:
        certain = next(self._certain(word), None)
        if certain:
            return _Derived(certain, [])
        readings = list(self.readings(word))
        if not readings:
            return _Derived([], [])
        model = self._model()
        if not model.spells(word):
            return _Derived(readings[0], [])
        scored = [(max(model.log_of(word, way) for way in ways), ways) for ways in readings]
        log, ways = max(scored, key=lambda item: item[0])
        below = log - model.ways(word)[0].log if math.isfinite(log) else -math.inf
        if below > SURE:
            return _Derived(ways, [])
        return _Derived([], ways[:1] if below > MAYBE else [])

    def _certain(self, word: str) -> Iterator[list[Sounds]]:
        """Readings that need no weighing: forms of a checked entry, possessives, un-, and what hyphens part."""
        for ending, make in _ENDINGS:
            stem = word.removesuffix(ending)
            if stem == word or not (stem in self._own or stem in self._dictionary):
                continue
            if stem in self._own or "'" in ending or not _VOWEL.search(stem):
                yield [way + make(way) for way in self.sounds(stem)]
        if "-" in word:
            yield self._together(word.strip("-").split("-"))
        elif word.startswith("un"):
            yield self._together(["un", word[2:]])

    def readings(self, word: str) -> Iterator[list[Sounds]]:
        """As a known word with an ending, and as two known words, the most even cut first."""
        for ending, make in _ENDINGS:
            stem = word.removesuffix(ending)
            if stem != word and stem in self._dictionary:
                yield [way + make(way) for way in self.sounds(stem)]
        cuts = range(3, len(word) - 1)
        for i in sorted(cuts, key=lambda i: abs(2 * i - len(word))):
            if len(word) - i > 2 or word[i:] in _SHORT:
                together = self._together([word[:i], word[i:]])
                if together:
                    yield together

    def _together(self, parts: Sequence[str]) -> list[Sounds]:
        """The first way to say each part, in a row; nothing if a part isn't known."""
        ways = [self._dictionary.get(part, self._own.get(part, []))[:1] for part in parts]
        return [tuple(sound for way in ways for sound in way[0])] if all(ways) else []


def _s(way: Sounds) -> Sounds:
    if way[-1] in _HISSING:
        return ("IH", "Z")
    return ("S",) if way[-1] in _VOICELESS else ("Z",)


def _d(way: Sounds) -> Sounds:
    if way[-1] in ("T", "D"):
        return ("IH", "D")
    return ("T",) if way[-1] in _VOICELESS | {"S", "SH", "CH"} else ("D",)


_ENDINGS: tuple[tuple[str, Callable[[Sounds], Sounds]], ...] = (
    ("'s", _s),
    ("s'", _s),
    ("es", _s),
    ("s", _s),
    ("'ll", lambda _: ("AH", "L")),
    ("'d", lambda way: ("D",) if way[-1] not in ("T", "D") else ("AH", "D")),
    ("'ve", lambda _: ("AH", "V")),
    ("'re", lambda _: ("ER",)),
    ("ed", _d),
    ("ing", lambda _: ("IH", "NG")),
    ("er", lambda _: ("ER",)),
)
_SHORT = {"by", "up"}
"""Words of two letters that end compounds: blowby, startup."""
