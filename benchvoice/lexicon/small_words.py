"""Gathers the small words of all grammar files into classes by what they do in a sentence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from benchvoice.lexicon.build import tables
from benchvoice.lexicon.entries import WordClass
from benchvoice.lexicon.fields import Table, slots_of
from benchvoice.lexicon.files import Files, Problems

Slots = Mapping[str, frozenset[str]]


def word_classes(files: Files, problems: Problems) -> dict[str, WordClass]:
    """All classes by name: "be", "not", "hedge", "bank.left", "degree.light", "nail.light" ..."""
    gathered = (*_plain(files, problems), *_by_value(files, problems), *_nested(files, problems))
    return {item.name: item for item in gathered}


def _made(table: Table, name: str, key: str = "says", slots: Slots | None = None) -> WordClass:
    return WordClass(name=name, phrases=table.phrases(key), patterns=table.patterns("patterns", slots or {}))


def _plain(files: Files, problems: Problems) -> Iterator[WordClass]:
    """One class a table, under the table's name."""
    chosen = {"actions.toml": ("ours", "while_taking", "theirs"), "commands.toml": ("slips",)}
    for file in ("small_words.toml", "hedges.toml", "unseen.toml", *chosen):
        shared = slots_of(files.tables.get(file, {}).get("slots"))
        for table in tables(files, file, problems):
            if table.name in ("slots", "contractions", "reversal") or table.name not in chosen.get(file, [table.name]):
                continue
            table.allow("says", "patterns", "slots")
            yield _made(table, table.name, slots=shared | slots_of(table.data.get("slots")))


def _by_value(files: Files, problems: Problems) -> Iterator[WordClass]:
    """One class a key, under the table's name and the key: "bank.left", "bounds.about"."""
    chosen = {"places.toml": None, "numbers.toml": ("bounds", "sizes"), "hedges.toml": ("reversal",)}
    for file, names in chosen.items():
        for table in tables(files, file, problems):
            if names is None or table.name in names:
                for key in table.data:
                    yield WordClass(name=f"{table.name}.{key}", phrases=table.phrases(key))


def _nested(files: Files, problems: Problems) -> Iterator[WordClass]:
    """Degrees, which have words before and after, and the fingernail test, which has patterns."""
    file = "degrees.toml"
    shared = slots_of(files.tables.get(file, {}).get("slots"))
    for table in tables(files, file, problems):
        if table.name == "nail":
            for value, data in table.data.items():
                yield _made(Table(file, f"nail.{value}", data, problems), f"nail.{value}", slots=shared)
        elif table.name != "slots":
            table.allow("says", "trailing")
            yield _made(table, f"degree.{table.name}")
            yield _made(table, f"trailing.{table.name}", "trailing")


def everyday(files: Files, problems: Problems) -> tuple[frozenset[str], frozenset[str]]:
    """Words of everyday life that speak against a sentence being about the engine, and the homely ones: words of the
    files about engines that people use as much of other things.
    """
    against: set[str] = set()
    homely: set[str] = set()
    for table in tables(files, "everyday.toml", problems):
        table.allow("nouns", "words")
        phrases = (*table.phrases("nouns"), *table.phrases("nouns", plurals=True), *table.phrases("words"))
        (homely if table.name == "homely" else against).update(word for phrase in phrases for word in phrase)
    return frozenset(against), frozenset(homely)
