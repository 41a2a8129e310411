"""How words sound: the dictionary inside the pocketsphinx package, our own entries, and what follows from a stem.

Phonemes are ARPAbet without stress. The endings of plurals, possessives and contractions are regular in English: S
after a voiceless sound, Z after a voiced one, IH Z after a hissing one (any textbook of English phonology).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

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
    """Our own entries: new words, further pronunciations of known ones, and spellings that are never heard."""

    words: dict[str, list[Sounds]]
    variants: dict[str, list[Sounds]]
    written: frozenset[str]


def read_entries(phonemes: Iterable[str]) -> Entries:
    """grammars/en/pronunciations.toml. Raises GrammarError naming the line."""
    text = (folder("grammars") / _ENTRIES).read_text(encoding="utf-8")
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise GrammarError(f"grammars/{_ENTRIES}: {error}", hint="Correct that line.") from error
    known = set(phonemes)
    found: list[dict[str, list[Sounds]]] = []
    for key in ("words", "variants"):
        entries: Mapping[str, list[str]] = table.get(key, {})
        for word, ways in entries.items():
            wrong = sorted({sound for way in ways for sound in way.split()} - known)
            if wrong:
                line = next((i for i, row in enumerate(text.splitlines(), 1) if row.startswith(f"{word} ")), 1)
                raise GrammarError(
                    f"grammars/{_ENTRIES}:{line}: {word} has sounds that the model lacks: {', '.join(wrong)}.",
                    hint="Correct that line.",
                )
        found.append({word: [tuple(way.split()) for way in ways] for word, ways in entries.items()})
    return Entries(found[0], found[1], frozenset(table.get("written", [])))


def sounds_like() -> dict[str, tuple[str, ...]]:
    """Spellings to listen for in place of words that a recogniser may lack."""
    table = tomllib.loads((folder("grammars") / _ENTRIES).read_text(encoding="utf-8"))
    return {word: tuple(spelled.split()) for word, spelled in table.get("sounds_like", {}).items()}


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
