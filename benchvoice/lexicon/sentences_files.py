"""Pattern files and talk, those of grammars/ and those of the person's own folder."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from benchvoice import paths
from benchvoice.errors import GrammarError
from benchvoice.lexicon.sentences import Patterns, read_patterns
from benchvoice.resources import folder

LANGUAGE = "en"
PATTERNS = "sentences", ".toml"
TALK = "talk", ".txt"
CHATTER = "chatter", ".txt"
"""Folder and ending of each."""
_WORD = re.compile(r"[a-z0-9'_.-]+")
_ASIDE = "# "
"""Begins a line of talk that is not about the engine."""


def pattern_texts(extra: Path | None = None) -> list[tuple[str, str]]:
    """(name, text) of every pattern file, the program's before the person's own, each in order of names.

    extra: the folder of the person's own files, if it isn't grammars/en in their configuration folder.
    """
    return _texts(*PATTERNS, extra)


def talk_texts(extra: Path | None = None) -> list[tuple[str, str]]:
    """The same of the files that hold what people said, an utterance a line."""
    return _texts(*TALK, extra)


def chatter_texts(extra: Path | None = None) -> list[tuple[str, str]]:
    """The same of the files that hold what is said in a shop and isn't about the engine."""
    return _texts(*CHATTER, extra)


def _texts(kind: str, ending: str, extra: Path | None) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    own = paths.config() / "grammars" / LANGUAGE if extra is None else extra
    ours = folder("grammars") / LANGUAGE
    for where, prefix in ((ours / kind, f"grammars/{LANGUAGE}/{kind}"), (own / kind, str(own / kind))):
        if not where.is_dir():
            continue
        for file in sorted(where.iterdir(), key=lambda item: item.name):
            if file.name.endswith(ending):
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


def load_talk(extra: Path | None = None) -> list[tuple[str, ...]]:
    """What people said about the engine, word by word, as it was said.

    Raises GrammarError naming file and line.
    """
    return [words for name, text in talk_texts(extra) for words in read_talk(name, text)]


def load_chatter(extra: Path | None = None) -> list[tuple[str, ...]]:
    """What people said that was not about the engine: of chatter all, of talk the asides.

    Raises GrammarError naming file and line.
    """
    said = [words for name, text in chatter_texts(extra) for words in read_talk(name, text)]
    return said + [words for name, text in talk_texts(extra) for words in read_talk(name, text, asides=True)]


def read_talk(name: str, text: str, *, asides: bool = False) -> list[tuple[str, ...]]:
    """The utterances of one file. A line that begins with "# " isn't about the engine: it is left out or, with
    `asides`, alone counts.

    Raises GrammarError naming file and line of all that isn't written as it is said.
    """
    said: list[tuple[str, ...]] = []
    problems: list[str] = []
    for number, line in enumerate(text.splitlines(), 1):
        if line.startswith(_ASIDE) is not asides:
            continue
        words = tuple(line.removeprefix(_ASIDE).split())
        odd = next((word for word in words if not _WORD.fullmatch(word)), None)
        if odd is not None:
            problems.append(f"{name}:{number}: {odd!r} isn't a word as it is said: lower case, no punctuation")
        elif words:
            said.append(words)
    if problems:
        raise GrammarError("; ".join(problems), hint="Correct these lines.", problems=problems)
    return said
