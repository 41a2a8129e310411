"""Typed talk, read as if it had been heard."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from benchvoice.domain.words import Utterance
from benchvoice.recognise.text import read_lines

LONGEST_LINE = 20_000
"""Characters of a line that are read; nobody says more in one breath."""


def utterances(lines: Iterable[bytes]) -> Iterator[Utterance]:
    """One utterance a line, numbered from 0, whatever the bytes are; they are read as UTF-8 as far as they are."""
    return read_lines(_words(line) for line in lines)


def _words(line: bytes) -> str:
    text = line[:LONGEST_LINE].decode("utf-8", errors="replace").removeprefix("\ufeff")
    return "".join(character if character.isprintable() else " " for character in text)
