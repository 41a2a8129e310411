"""How words sound: the dictionary inside the pocketsphinx package, our own entries, and what follows from a stem.

Phonemes are ARPAbet without stress. The endings of plurals, possessives and contractions are regular in English: S
after a voiceless sound, Z after a voiced one, IH Z after a hissing one (any textbook of English phonology).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
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


def read_entries(phonemes: Iterable[str]) -> tuple[dict[str, list[Sounds]], dict[str, list[Sounds]]]:
    """Our own entries: new words, and further pronunciations of known ones. Raises GrammarError naming the line."""
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
    return found[0], found[1]


class Pronouncer:
    """Pronunciations of single words. `sounds(word)` is empty for a word that nobody knows."""

    def __init__(self, dictionary: Mapping[str, list[Sounds]]) -> None:
        self._dictionary = dictionary
        phonemes = {sound for ways in dictionary.values() for way in ways for sound in way}
        self._own, self._variants = read_entries(phonemes)

    def sounds(self, word: str) -> list[Sounds]:
        """All known ways to say `word`, the dictionary's first, without repeats."""
        ways = [*self._dictionary.get(word, []), *self._own.get(word, []), *self._variants.get(word, [])]
        if not ways:
            ways = list(self._derived(word))
        return list(dict.fromkeys(ways))

    def _derived(self, word: str) -> Iterator[Sounds]:
        for ending, make in _ENDINGS:
            stem = word.removesuffix(ending)
            if stem != word and (stem in self._dictionary or stem in self._own):
                for way in self.sounds(stem):
                    yield way + make(way)
                return
        parts = word.split("-")
        if len(parts) > 1 and all(parts):
            ways = [self.sounds(part)[:1] for part in parts]
            if all(ways):
                yield tuple(sound for way in ways for sound in way[0])


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
