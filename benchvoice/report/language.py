"""Wording: one folder a language. A language may leave files out; what it lacks is taken from English."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from importlib.abc import Traversable
from importlib.resources import files
from typing import Any

from jinja2 import Environment, StrictUndefined, Template, TemplateError

from benchvoice.errors import BenchvoiceError

DEFAULT = "en"


def _root() -> Traversable:
    return files("benchvoice.report")


def languages() -> list[str]:
    """The languages that have a folder."""
    return sorted(
        item.name for item in (_root() / "wording").iterdir() if item.is_dir() and not item.name.startswith("_")
    )


@cache
def data(name: str) -> dict[str, Any]:
    """A data file of the report that no language changes ("parts", "units", "conditions", "safety", "sheets")."""
    return tomllib.loads((_root() / f"{name}.toml").read_text(encoding="utf-8"))


def _merged(under: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    out = dict(under)
    for key, value in over.items():
        out[key] = _merged(out[key], value) if isinstance(value, dict) and isinstance(out.get(key), dict) else value
    return out


def _file(language: str, name: str) -> dict[str, Any]:
    path = _root() / "wording" / language / f"{name}.toml"
    if not path.is_file():
        return {}
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as problem:
        raise BenchvoiceError(f"The wording file {language}/{name}.toml can't be read: {problem}.") from problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """The words of one language. `own` are the files that the language brings itself."""

    language: str
    tables: dict[str, dict[str, Any]]
    own: tuple[str, ...]
    templates: dict[tuple[str, ...], tuple[Template, ...]] = field(default_factory=dict, compare=False, repr=False)

    def table(self, name: str) -> dict[str, Any]:
        return self.tables[name]

    def heading(self, key: str, **values: object) -> str:
        text: str = self.tables["headings"][key]
        return text.format(**values) if values else text

    def column(self, key: str) -> str:
        text: str = self.tables["headings"]["columns"][key]
        return text

    def say(self, group: str, key: str, turn: int = 0, **values: object) -> str:
        """Render a sentence; `turn` chooses among the variants."""
        variants = self._variants(group, key)
        try:
            return variants[turn % len(variants)].render(**values)
        except TemplateError as problem:
            raise BenchvoiceError(f"The wording {group}.{key} ({self.language}) fails: {problem}.") from problem

    def _variants(self, group: str, key: str) -> tuple[Template, ...]:
        found = self.templates.get((group, key))
        if found is None:
            raw = self.tables["sentences"][group][key]
            texts = [raw] if isinstance(raw, str) else list(raw)
            found = tuple(_ENVIRONMENT.from_string(text) for text in texts)
            self.templates[(group, key)] = found
        return found

    def date(self, when: datetime) -> str:
        dates = self.tables["language"]["dates"]
        text: str = dates["long"]
        return text.format(day=when.day, month=dates["months"][when.month - 1], year=when.year)


# Sentences become plain text here and are escaped by the exporter that prints them, each in its own way.
_ENVIRONMENT = Environment(undefined=StrictUndefined, autoescape=False)

_FILES = (
    "language", "parts", "conditions", "quantities", "units", "regions", "sentences", "headings", "disclosure",
    "safety", "actions", "engine", "figures", "money",
)  # fmt: skip


@cache
def load(language: str = DEFAULT) -> Wording:
    """The wording of a language. Raises BenchvoiceError if there is no such folder."""
    if language not in languages():
        known = ", ".join(languages())
        raise BenchvoiceError(f"There is no wording for the language {language!r}.", hint=f"There is: {known}.")
    tables: dict[str, dict[str, Any]] = {}
    own: list[str] = []
    for name in _FILES:
        theirs = _file(language, name)
        if theirs:
            own.append(name)
        tables[name] = _merged(_file(DEFAULT, name), theirs) if language != DEFAULT else theirs
    return Wording(language=language, tables=tables, own=tuple(own))
