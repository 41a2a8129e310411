"""The pattern files of grammars/ and of the person's own folder, brought together with the lexicon's word classes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from benchvoice import paths
from benchvoice.errors import GrammarError
from benchvoice.lexicon.sentences import Patterns, read_patterns
from benchvoice.resources import folder

FOLDER = "en/sentences"


def pattern_texts(extra: Path | None = None) -> list[tuple[str, str]]:
    """(name, text) of every pattern file, the program's before the person's own, each in order of names.

    extra: the folder of the person's own files, if it isn't grammars/en in their configuration folder.
    """
    found: list[tuple[str, str]] = []
    own = paths.config() / "grammars" / FOLDER if extra is None else extra / "sentences"
    for where, prefix in ((folder("grammars") / FOLDER, f"grammars/{FOLDER}"), (own, str(own))):
        if not where.is_dir():
            continue
        for file in sorted(where.iterdir(), key=lambda item: item.name):
            if file.name.endswith(".toml"):
                try:
                    found.append((f"{prefix}/{file.name}", file.read_text(encoding="utf-8")))
                except (OSError, UnicodeDecodeError) as error:
                    raise GrammarError(f"{prefix}/{file.name} can't be read: {error}.", hint="Correct it.") from error
    return found


def load_patterns(classes: Mapping[str, Sequence[str]], extra: Path | None = None) -> Patterns:
    """All sentence patterns. `classes` are the lexicon's `word_classes()`; `extra` as in `pattern_texts`.

    Raises GrammarError naming file and line.
    """
    return read_patterns(pattern_texts(extra), classes)
