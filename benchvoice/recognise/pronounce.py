"""How words sound: the dictionary inside the pocketsphinx package, our entries and the person's, and what follows.

Phonemes are ARPAbet without stress. The endings of plurals, possessives and contractions are regular in English: S
after a voiceless sound, Z after a voiced one, IH Z after a hissing one (any textbook of English phonology).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from benchvoice import paths
from benchvoice.errors import GrammarError
from benchvoice.resources import folder

Sounds = tuple[str, ...]
_VARIANT = re.compile(r"\(\d+\)$")
_HISSING = {"S", "Z", "SH", "ZH", "CH", "JH"}
_VOICELESS = {"P", "T", "K", "F", "TH"}
_ENTRIES = "en/pronunciations.toml"


def read_dictionary(path: Path) -> dict[str, list[Sounds]]:
    """The package's dictionary: word -> pronunciations."""
    out: dict[str, list[Sounds]] = {}
    with path.open(encoding="utf-8") as lines:
        for line in lines:
            word, *sounds = line.split()
            out.setdefault(_VARIANT.sub("", word), []).append(tuple(sounds))
    return out


@dataclass(frozen=True, slots=True)
class Entries:
    """New words, further pronunciations of known ones, and spellings that are never heard."""

    words: dict[str, list[Sounds]]
    variants: dict[str, list[Sounds]]
    written: frozenset[str]


def entry_files() -> tuple[tuple[str, str], ...]:
    """(name, text) of our file of entries and, if there is one, of the person's own over it.

    Raises GrammarError if the person's own can't be read.
    """
    files = [(f"grammars/{_ENTRIES}", (folder("grammars") / _ENTRIES).read_text(encoding="utf-8"))]
    own = paths.config() / "grammars" / _ENTRIES
    if own.is_file():
        try:
            files.append((str(own), own.read_text(encoding="utf-8")))
        except (OSError, UnicodeDecodeError) as error:
            raise GrammarError(f"{own} can't be read: {error}.", hint="Correct the file.") from error
    return tuple(files)


def read_entries(phonemes: Iterable[str]) -> Entries:
    """Our entries with the person's own added to them. Raises GrammarError naming the file and the line.

    A word that the person gives a pronunciation for is heard, even if our file says that it is only ever written.
    """
    known = set(phonemes)
    out = Entries({}, {}, frozenset())
    for name, text in entry_files():
        table = _parsed(name, text)
        words, variants = (_ways(name, text, table.get(key, {}), known) for key in ("words", "variants"))
        written = out.written - words.keys() - variants.keys() | _strings(name, text, "written", table)
        out = Entries(_joined(out.words, words), _joined(out.variants, variants), written)
    return out


def sounds_like() -> dict[str, tuple[str, ...]]:
    """Spellings to listen for in place of words that a recogniser may lack; the person's own over ours."""
    out: dict[str, tuple[str, ...]] = {}
    for name, text in entry_files():
        table = _parsed(name, text).get("sounds_like", {})
        for word, spelled in table.items() if isinstance(table, dict) else ():
            if not isinstance(spelled, str):
                raise _wrong(name, text, word, "wants its spelling in quotes")
            out[word] = tuple(spelled.split())
    return out


def _parsed(name: str, text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise GrammarError(f"{name}: {error}", hint="Correct that line.") from error


def _ways(name: str, text: str, entries: object, known: set[str]) -> dict[str, list[Sounds]]:
    if not isinstance(entries, dict):
        raise GrammarError(
            f"{name}: words and variants are tables.", hint='Write [words], then lines: word = ["W ER D"]'
        )
    out: dict[str, list[Sounds]] = {}
    for word, ways in entries.items():
        if not isinstance(ways, list) or not all(isinstance(way, str) and way.strip() for way in ways):
            raise _wrong(name, text, word, "wants a list of pronunciations in quotes")
        wrong = sorted({sound for way in ways for sound in way.split()} - known)
        if wrong:
            raise _wrong(name, text, word, f"has sounds that the model lacks: {', '.join(wrong)}")
        out[word] = [tuple(way.split()) for way in ways]
    return out


def _strings(name: str, text: str, key: str, table: Mapping[str, Any]) -> frozenset[str]:
    values = table.get(key, [])
    if not isinstance(values, list) or not all(isinstance(value, str) for value in values):
        raise _wrong(name, text, key, "is a list of words in quotes")
    return frozenset(values)


def _joined(ours: Mapping[str, list[Sounds]], own: Mapping[str, list[Sounds]]) -> dict[str, list[Sounds]]:
    return {word: [*ours.get(word, []), *own.get(word, [])] for word in (*ours, *own)}


def _wrong(name: str, text: str, word: str, says: str) -> GrammarError:
    begins = (f"{word} ", f"{word}=", f'"{word}"')
    line = next((i for i, row in enumerate(text.splitlines(), 1) if row.lstrip().startswith(begins)), 1)
    return GrammarError(f"{name}:{line}: {word} {says}.", hint="Correct that line.")


class Pronouncer:
    """Pronunciations of single words. `sounds(word)` is empty for a word that nobody knows."""

    def __init__(self, dictionary: Mapping[str, list[Sounds]]) -> None:
        self._dictionary = dictionary
        phonemes = {sound for ways in dictionary.values() for way in ways for sound in way}
        entries = read_entries(phonemes)
        self._own, self._variants, self.written = entries.words, entries.variants, entries.written

    def sounds(self, word: str) -> list[Sounds]:
        """All known ways to say `word`, the dictionary's first, without repeats."""
        if word in self.written:
            return []
        ways = [*self._dictionary.get(word, []), *self._own.get(word, []), *self._variants.get(word, [])]
        if not ways:
            ways = list(self._derived(word))
        return list(dict.fromkeys(ways))

    def _derived(self, word: str) -> Iterator[Sounds]:
        for ending, make in _ENDINGS:
            stem = word.removesuffix(ending)
            if stem != word and (stem in self._dictionary or stem in self._own):
                yield from (way + make(way) for way in self.sounds(stem))
                return
        parts = self._halves(word)
        ways = [self._dictionary.get(part, self._own.get(part, []))[:1] for part in parts]
        if parts and all(ways):
            yield tuple(sound for way in ways for sound in way[0])

    def _halves(self, word: str) -> Sequence[str]:
        """A compound as its parts: at its hyphens, else as two known words of three letters and more, or un + one."""
        if "-" in word:
            return word.strip("-").split("-")
        known = self._dictionary.keys() | self._own.keys()
        cuts = [i for i in range(3, len(word) - 2) if word[:i] in known and word[i:] in known]
        if cuts:
            best = min(cuts, key=lambda i: abs(2 * i - len(word)))
            return word[:best], word[best:]
        return ("un", word[2:]) if word.startswith("un") and word[2:] in known else ()


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
