"""Typed words through the same path as sound: what is read and what is heard meet the same code after this."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from benchvoice.domain.words import Utterance, typed

NAME = "text"


def read_lines(lines: Iterable[str]) -> Iterator[Utterance]:
    """One utterance a line, numbered from 0. Empty lines count, so that numbers and lines agree."""
    for n, line in enumerate(lines):
        yield typed(n, line)
