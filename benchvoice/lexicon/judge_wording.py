"""Wording of the judgement's pages."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.abc import Traversable
from pathlib import Path

from benchvoice import resources
from benchvoice.lexicon.tables import Problems, Table, read_text


@dataclass(frozen=True, slots=True, kw_only=True)
class PageWording:
    headings: dict[str, str]
    looked: dict[str, str]
    lines: dict[str, str]

    def say(self, name: str, /, **words: object) -> str:
        return self.lines[name].format(**words)


def load_page_wording(folder: Traversable | Path) -> PageWording:
    """Raises GrammarError with file and line for what is no text."""
    problems = Problems()
    table = Table("judge_pages.toml", read_text(folder / "judge_pages.toml"), problems)
    table.check_keys(("headings", "looked", "lines"))
    found = {}
    for section in ("headings", "looked", "lines"):
        row = table.row(section)
        found[section] = {key: row.text(key) for key in row.data}
    problems.raise_if_any("The wording of the judgement's pages can't be used")
    return PageWording(**found)


@lru_cache(maxsize=1)
def page_wording() -> PageWording:
    return load_page_wording(resources.folder("grammars") / "en")
