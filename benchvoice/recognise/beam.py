"""The likeliest texts of a decoder that predicts pieces of words, in the light of what people say.

A beam search over pieces; each time a word is complete, n-grams have their say, weighed against the decoder ("shallow
fusion": Kannan et al., "An analysis of incorporating an external language model into a sequence-to-sequence model",
ICASSP 2018). A bonus a word keeps the n-grams, which make every further word dearer, from preferring short texts.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
TextModel = Callable[[str, Sequence[str]], float]
"""Natural logarithm of a word's chance after the words before it; END_OF_TEXT is the end."""
END_OF_TEXT = "</s>"
WIDTH = 6
"""Texts that are followed at a time."""
BEHIND = 4.0
"""A text whose score is so much less than the best one's is given up: where the sound is clear, few are followed."""
_LOOK = 12
"""Pieces that are tried after each text."""
_TOO_RARE = -12.0
_MAY_END = -2.5
"""Natural logarithm of the chance that the text is over, below which it isn't: a cheap end is no reason to stop."""
_MARGIN = 1.0
_ROUNDS = 3
_LONGEST_ROUND = 4
"""Nobody says a word more than three times on end, or the same few words three times; a decoder that has lost the sound
does.
"""
_NO_LETTER = re.compile(r"[^a-z' ]")
S = TypeVar("S")


@dataclass(frozen=True, slots=True)
class Pieces:
    """The pieces a decoder may use: their numbers and their texts, a leading space where a word begins."""

    begin: int
    end: int
    ids: tuple[int, ...]
    texts: tuple[str, ...]


class Decoder(Protocol[S]):
    """What predicts pieces. `step` takes the last piece of each text."""

    pieces: Pieces

    def begin(self, states: Any) -> S: ...

    def step(self, state: S, latest: list[int]) -> tuple[Floats, S]: ...

    def keep(self, state: S, rows: list[int]) -> S: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """How the n-grams count beside the decoder: what a word's logarithm is multiplied by, and what is added a word."""

    text: float = 0.25
    word: float = 1.25


@dataclass(frozen=True, slots=True)
class Text:
    """A finished text: its words, the natural logarithm of the chance that the decoder gave each, its score, and how
    the decoder spelled it, with capitals and marks.
    """

    words: tuple[str, ...] = ()
    logs: tuple[float, ...] = ()
    score: float = 0.0
    spelled: str = ""


@dataclass(frozen=True, slots=True)
class _Open:
    """A text on its way; the last word, spelled so far as `part`, is not counted among `words` yet."""

    sound: float = 0.0
    text: float = 0.0
    words: tuple[str, ...] = ()
    logs: tuple[float, ...] = ()
    part: str = ""
    part_log: float = 0.0
    spelled: str = ""

    def score(self, weights: Weights) -> float:
        return self.sound + weights.text * self.text + weights.word * len(self.words)


def search(
    decoder: Decoder[S], states: Any, text_model: TextModel, most: int, *, weights: Weights | None = None
) -> list[Text]:
    """Finished texts of at most `most` pieces, best first, each once; none for silence."""
    weights = weights or Weights()
    pieces = decoder.pieces
    state = decoder.begin(states)
    live, latest = [_Open()], [pieces.begin]
    done: dict[tuple[str, ...], Text] = {}
    best = -np.inf
    for _ in range(most):
        logs, state = decoder.step(state, latest)
        tried: list[tuple[float, int, int, _Open]] = []
        likely = np.argpartition(logs, -min(_LOOK, logs.shape[1]), axis=1)[:, -_LOOK:]
        for row, one in enumerate(live):
            closed = _closed(one, text_model)
            if goes_round(closed.words):
                continue
            for k in likely[row].tolist():
                log = float(logs[row, k])
                if pieces.ids[k] == pieces.end:
                    if log >= _MAY_END:
                        text = _finished(closed, log, text_model, weights)
                        best = max(best, text.score)
                        if text.words not in done or done[text.words].score < text.score:
                            done[text.words] = text
                elif log >= _TOO_RARE:
                    longer = _with_piece(one, closed, pieces.texts[k], log)
                    tried.append((longer.score(weights), row, pieces.ids[k], longer))
        kept = _best_of(tried)
        if not kept or best > kept[0][0] + _MARGIN:
            break
        live, latest = [item[3] for item in kept], [item[2] for item in kept]
        state = decoder.keep(state, [item[1] for item in kept])
    return sorted((text for text in done.values() if text.words), key=lambda text: -text.score)


def _best_of(tried: list[tuple[float, int, int, _Open]]) -> list[tuple[float, int, int, _Open]]:
    """The best few; of those that read alike, whatever their capitals, only the best."""
    tried.sort(key=lambda item: -item[0])
    out, seen = [], set()
    for item in tried:
        reads = (item[3].words, item[3].part.lower())
        if reads not in seen:
            seen.add(reads)
            out.append(item)
        if len(out) == WIDTH or item[0] < tried[0][0] - BEHIND:
            break
    return out


def _with_piece(one: _Open, closed: _Open, piece: str, log: float) -> _Open:
    """The text with a piece that goes on with its last word or, after that one is closed, begins another."""
    if not piece.startswith(" "):
        return _Open(one.sound + log, one.text, one.words, one.logs, one.part + piece, one.part_log + log, one.spelled)
    return _Open(closed.sound + log, closed.text, closed.words, closed.logs, piece, log, closed.spelled)


def _closed(one: _Open, text_model: TextModel) -> _Open:
    """With its last word counted; what is spelled with a hyphen is two."""
    words, logs, text = list(one.words), list(one.logs), one.text
    for word in plain(one.part):
        text += text_model(word, words)
        words.append(word)
        logs.append(round(one.part_log, 3))
    return _Open(one.sound, text, tuple(words), tuple(logs), spelled=one.spelled + one.part)


def goes_round(words: Sequence[str]) -> bool:
    """Whether the end is the same word, or the same few words, more often on end than anyone says them."""
    for length in range(1, _LONGEST_ROUND + 1):
        rounds = _ROUNDS + 1 if length == 1 else _ROUNDS
        if len(words) >= rounds * length:
            last = list(words[-length:])
            if list(words[-rounds * length :]) == last * rounds:
                return True
    return False


def _finished(closed: _Open, log: float, text_model: TextModel, weights: Weights) -> Text:
    last = text_model(END_OF_TEXT, closed.words)
    score = closed.score(weights) + log + weights.text * last
    return Text(words=closed.words, logs=closed.logs, score=round(score, 4), spelled=closed.spelled)


def plain(text: str) -> list[str]:
    """Words as recognisers write them: small letters, no marks but the apostrophe within."""
    return [word for word in (part.strip("'") for part in _NO_LETTER.sub(" ", text.lower()).split()) if word]
