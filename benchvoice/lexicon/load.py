"""Loads the grammar files into one lexicon, ours and a person's own over them."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from benchvoice import paths, resources
from benchvoice.lexicon import build
from benchvoice.lexicon.checks import check
from benchvoice.lexicon.files import Problems, Source, read
from benchvoice.lexicon.lexicon import Lexicon
from benchvoice.lexicon.small_words import everyday, word_classes
from benchvoice.lexicon.word_sets import word_sets

LANGUAGE = "en"
NAMES = (
    "parts.toml", "places.toml", "conditions.toml", "degrees.toml", "quantities.toml", "units.toml", "numbers.toml",
    "hedges.toml", "unseen.toml", "actions.toml", "commands.toml", "small_words.toml", "confusions.csv",
    "everyday.toml", "word_sets.toml",
)  # fmt: skip


def load(extra: Path | None = None) -> Lexicon:
    """The lexicon of our grammar files with a person's own files merged over them, read once for each state of them.

    extra: a folder of files of the same form; without it, grammars/en in the person's configuration folder if there
    is one. Raises GrammarError with every problem that was found, each with its file and line.
    """
    own = extra if extra is not None else paths.config() / "grammars" / LANGUAGE
    return _load(own, _state(own))


def _state(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """Names, times and sizes of a person's own files, so that a change is seen."""
    if not folder.is_dir():
        return ()
    files = ((path, path.stat()) for path in sorted(folder.iterdir()) if path.suffix in (".toml", ".csv"))
    return tuple((path.name, stat.st_mtime_ns, stat.st_size) for path, stat in files)


@lru_cache(maxsize=4)
def _load(own: Path, state: tuple[tuple[str, int, int], ...]) -> Lexicon:
    ours = resources.folder("grammars") / LANGUAGE
    folders: list[Source] = [ours, own] if state else [ours]
    return compile_folders(folders)


def compile_folders(folders: list[Source]) -> Lexicon:
    """One lexicon from some folders, later ones over earlier ones. Raises GrammarError with all problems."""
    problems = Problems()
    files = read(folders, NAMES, problems)
    parts = build.parts(files, problems)
    against, homely = everyday(files, problems)
    lexicon = Lexicon(
        parts=parts,
        conditions=build.conditions(files, parts, problems),
        quantities=build.quantities(files, parts, problems),
        units=build.units(files, problems),
        actions=build.actions(files, parts, problems),
        commands=build.commands(files, problems),
        words=word_classes(files, problems),
        word_sets=word_sets(files, problems),
        numbers=build.numbers(files, problems),
        contractions=build.contractions(files),
        confusions=build.confusions(files),
        everyday=against,
        homely=homely,
        hash=files.hash,
    )
    check(lexicon, problems)
    problems.raise_if_any()
    return lexicon
