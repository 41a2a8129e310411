"""Reads single fields of a grammar table, noting what is wrong with them instead of stopping."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from benchvoice.lexicon.entries import Pattern, Phrase, Window, Windows
from benchvoice.lexicon.files import Problems
from benchvoice.lexicon.templates import TemplateError, expand, plural

STEP_MARKS = ("*", "?")


@dataclass(slots=True)
class Table:
    """One table of one file, read field by field."""

    file: str
    name: str
    data: Mapping[str, Any]
    problems: Problems

    def allow(self, *keys: str) -> None:
        """Notes each key that this kind of table doesn't have."""
        for key in self.data:
            if key not in keys:
                self.problems.unknown(self.file, "field", key, keys, table=self.name, key=key)

    def wrong(self, key: str, message: str, value: str = "") -> None:
        self.problems.add(self.file, f"[{self.name}] {message}", table=self.name, key=key, value=value)

    def text(self, key: str, default: str = "") -> str:
        value = self.data.get(key, default)
        if isinstance(value, str):
            return value
        self.wrong(key, f"{key} must be text")
        return default

    def flag(self, key: str, default: bool = False) -> bool:
        value = self.data.get(key, default)
        if isinstance(value, bool):
            return value
        self.wrong(key, f"{key} must be true or false")
        return default

    def whole(self, key: str, default: int) -> int:
        value = self.data.get(key, default)
        if isinstance(value, int) and not isinstance(value, bool):
            return value
        self.wrong(key, f"{key} must be a whole number")
        return default

    def texts(self, key: str) -> list[str]:
        value = self.data.get(key, [])
        if isinstance(value, list) and all(isinstance(item, str) for item in value):
            return value
        self.wrong(key, f"{key} must be a list of texts")
        return []

    def words(self, key: str) -> frozenset[str]:
        """A set of words that must be there; each may be several tokens with spaces between."""
        found = frozenset(text.lower() for text in self.texts(key))
        if key not in self.data or self.data[key] == []:
            self.wrong(key, f"{key} needs a list of words")
        return found

    def phrases(self, key: str, *, plurals: bool = False) -> tuple[Phrase, ...]:
        """The phrases of a list of templates, or their plurals."""
        out: list[Phrase] = []
        for template in self.texts(key):
            try:
                found = expand(template)
            except TemplateError as error:
                self.wrong(key, str(error), template)
                continue
            out += [plural(phrase) for phrase in found] if plurals else found
        return tuple(dict.fromkeys(out))

    def number(self, key: str) -> Decimal:
        value = self.data.get(key)
        return self.decimal(key, value)

    def decimal(self, key: str, value: object) -> Decimal:
        try:
            if isinstance(value, str | int) and not isinstance(value, bool):
                return Decimal(value)
        except InvalidOperation:
            pass
        self.wrong(key, f'{key}: {value!r} is no number; write it as text, "0.001", to keep it exact')
        return Decimal(0)

    def windows(self, key: str, data: object) -> Windows:
        """{unit = [low, high]} as exact windows."""
        out: dict[str, Window] = {}
        if not isinstance(data, dict):
            self.wrong(key, f'{key} must look like {{ in = ["0.1", "2"] }}')
            return out
        for unit, pair in data.items():
            if not isinstance(pair, list) or len(pair) != 2:
                self.wrong(key, f"{key}: {unit} needs a least and a most value")
                continue
            low, high = (self.decimal(key, item) for item in pair)
            if low > high:
                self.wrong(key, f"{key}: {unit} runs from {low} to {high}, which is backwards")
            out[unit] = Window(low=low, high=high)
        return out

    def patterns(self, key: str, slots: Mapping[str, frozenset[str]]) -> tuple[Pattern, ...]:
        """Token patterns: words and {slots}, each with an optional * or ?."""
        out = []
        for text in self.texts(key):
            steps: list[tuple[frozenset[str], str]] = []
            for step in text.split():
                mark = step[-1] if step[-1] in STEP_MARKS and len(step) > 1 else ""
                word = step[: len(step) - len(mark)]
                if word.startswith("{") and word.endswith("}"):
                    if word[1:-1] not in slots:
                        self.problems.unknown(
                            self.file, "slot", word[1:-1], slots, table=self.name, key=key, value=text
                        )
                    steps.append((slots.get(word[1:-1], frozenset({word})), mark))
                else:
                    steps.append((frozenset({word.lower()}), mark))
            if all(mark in STEP_MARKS for _, mark in steps):
                self.wrong(key, f"the pattern {text!r} would fit nothing at all", text)
                continue
            out.append(Pattern(steps=tuple(steps)))
        return tuple(out)


def slots_of(data: object) -> dict[str, frozenset[str]]:
    """A [slots] table as sets of words; what is malformed in it is left out."""
    if not isinstance(data, dict):
        return {}
    return {
        name: frozenset(word.lower() for word in words if isinstance(word, str))
        for name, words in data.items()
        if isinstance(words, list)
    }
