"""Phrase templates of the grammar files.

"(rod|big end) bearing [shell]" stands for four phrases: round brackets hold alternatives, square ones what may be left
out; both may nest. A template is data for people, so a mistake in one is reported, never guessed at.
"""

from __future__ import annotations

import re
from itertools import product

_TOKEN = re.compile(r"[()\[\]|]|[^\s()\[\]|]+")
MOST = 2000
"""More phrases than this from one template is a slip, not a wish."""


class TemplateError(ValueError):
    """A template that can't be read; the message says why."""


def expand(template: str) -> list[tuple[str, ...]]:
    """All phrases of a template, each as its words, without doubles, in the order of writing.

    Raises TemplateError for unbalanced brackets, an empty template or one that stands for too many phrases.
    """
    tokens = _TOKEN.findall(template.lower())
    phrases, rest = _sequence(tokens, 0, template)
    if rest != len(tokens):
        raise TemplateError(f"unexpected {tokens[rest]!r} in {template!r}")
    out = [phrase for phrase in dict.fromkeys(phrases) if phrase]
    if not out:
        raise TemplateError(f"nothing to say in {template!r}")
    return out


def _sequence(tokens: list[str], at: int, template: str) -> tuple[list[tuple[str, ...]], int]:
    """Phrases of a run of words and brackets; stops at a closing sign or a bar."""
    found: list[tuple[str, ...]] = [()]
    while at < len(tokens) and tokens[at] not in (")", "]", "|"):
        if tokens[at] in ("(", "["):
            inner, after = _alternatives(tokens, at, template)
            found = [head + tail for head, tail in product(found, inner)]
            at = after
        else:
            found = [(*head, tokens[at]) for head in found]
            at += 1
        if len(found) > MOST:
            raise TemplateError(f"more than {MOST} phrases in {template!r}")
    return found, at


def _alternatives(tokens: list[str], at: int, template: str) -> tuple[list[tuple[str, ...]], int]:
    opening = tokens[at]
    closing = ")" if opening == "(" else "]"
    found: list[tuple[str, ...]] = [()] if opening == "[" else []
    while True:
        inner, at = _sequence(tokens, at + 1, template)
        found += inner
        if at >= len(tokens) or (tokens[at] != "|" and tokens[at] != closing):
            raise TemplateError(f"{opening!r} is not closed in {template!r}")
        if tokens[at] == closing:
            return found, at + 1


_IRREGULAR = {"half": "halves", "shelf": "shelves", "foot": "feet", "tooth": "teeth"}


def plural(phrase: tuple[str, ...]) -> tuple[str, ...]:
    """The phrase with its last word in the plural."""
    *head, last = phrase
    if last in _IRREGULAR:
        last = _IRREGULAR[last]
    elif last.endswith("y") and last[-2:-1] not in "aeiou":
        last = last[:-1] + "ies"
    elif last.endswith(("s", "x", "z", "ch", "sh")):
        last += "es"
    else:
        last += "s"
    return (*head, last)
