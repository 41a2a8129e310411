"""Heard words cut into tokens that the rules work on; every token knows its word."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from benchvoice.domain.words import Word

_PIECE = re.compile(
    r"[0-9]{1,3}(?:,[0-9]{3})+|[0-9]*\.[0-9]+|[0-9]+/[0-9]+|[0-9]+"  # 80,000  .022  3/16  22
    r"|°[fc]?|[%\"#]"
    r"|[^\W\d_]+(?:[.·-]?lbs?f?)?"  # letters; ft-lb and its like stay whole
    r"|'(?:s|re|ve|ll|d|m|t)\b"
    r"|[,;:.!?]",
    re.IGNORECASE,
)
_SHORTENED = re.compile(r"^(.+?)(n't|'s|'re|'ve|'ll|'d|'m)$")
_STOPS = frozenset(",;:.!?")


@dataclass(frozen=True, slots=True)
class Token:
    """One token: `word` is the index of the heard word, `stop` tells that punctuation follows it."""

    text: str
    word: int
    stop: bool = False


def tokenise(words: tuple[Word, ...], contractions: Mapping[str, tuple[str, ...]]) -> list[Token]:
    """The tokens of some heard words. Typed text may hold punctuation, digits and hyphens, heard text won't."""
    out: list[Token] = []
    for index, word in enumerate(words):
        for piece in _pieces(word.text.lower().replace("’", "'").replace("″", '"'), contractions):
            if piece in _STOPS:
                if out:
                    out[-1] = Token(out[-1].text, out[-1].word, True)
                continue
            out.append(Token(piece, index))
    return out


def _pieces(text: str, contractions: Mapping[str, tuple[str, ...]]) -> list[str]:
    if text.isalpha():
        return list(contractions.get(text, (text,)))
    body = text.rstrip(",;:.!?")
    if body in contractions:
        return [*contractions[body], *text[len(body) :]]
    shortened = _SHORTENED.match(body)
    if shortened:
        head, tail = shortened.groups()
        if tail == "n't" and not head:
            head = ""
        return [*_pieces(head, contractions), tail, *text[len(body) :]]
    return _PIECE.findall(text)
