"""An encoder-decoder recogniser: a second pair of ears, which knows people where the embedded one knows the trade.

The model is Moonshine base (Jeffries et al., "Moonshine: Speech recognition for live transcription and voice
commands", 2024): the sound of a span becomes a row of states, from which the decoder predicts piece after piece of
words. The pieces it may use here are those of spelled words: numbers come as words, as the trade's sentences have them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchvoice import nets
from benchvoice.errors import BenchvoiceError
from benchvoice.recognise.base import RATE
from benchvoice.recognise.beam import Pieces
from benchvoice.recognise.moonshine_files import ModelFiles

Floats = NDArray[np.float32]
PAD_SECONDS = 0.1
"""Silence before and after a span: the model was taught on whole recordings."""
BEGIN, END = 1, 2
_SPELLED = re.compile(r" ?[A-Za-z']*[,.?!-]?")
_PAST, _PRESENT = "past_key_values", "present"
_HEARD = ".encoder."
"""In the names of what the decoder took from the sound, which is the same for every text."""


@dataclass(frozen=True, slots=True)
class State:
    """Where the decoder stands in each of some texts: keys and values of the pieces before, by the model's names, a row
    a text; `heard`, what it took from the sound, is one row for all.
    """

    hidden: Floats
    heard: dict[str, Floats]
    past: dict[str, Floats]


class Moonshine:
    """See `beam.Decoder`. One thread at a time."""

    def __init__(self, files: ModelFiles) -> None:
        self._encoder = _opened(files.encoder)
        self._decoder = _opened(files.decoder)
        self._inputs = {item.name: item.shape for item in self._decoder.get_inputs()}
        self._outputs = [item.name for item in self._decoder.get_outputs()]
        texts = read_pieces(files.pieces.read_bytes())
        spelled = [k for k, text in enumerate(texts) if k > END and text.strip() and _SPELLED.fullmatch(text)]
        self.pieces = Pieces(begin=BEGIN, end=END, ids=(END, *spelled), texts=("", *(texts[k] for k in spelled)))
        self._allowed = np.array(self.pieces.ids, dtype=np.int64)
        self._at = {number: k for k, number in enumerate(self.pieces.ids)}

    def states(self, pcm: bytes) -> Floats:
        """What the encoder makes of a span: (1, states, width), about 42 states a second."""
        pad = np.zeros(round(PAD_SECONDS * RATE), np.float32)
        sound = np.frombuffer(pcm, dtype="<i2").astype(np.float32) / np.float32(32768.0)
        found: Floats = self._encoder.run(None, {"input_values": np.concatenate([pad, sound, pad])[None]})[0]
        return found

    def begin(self, states: Floats) -> State:
        nothing = {
            name: np.zeros((1, shape[1], 0, shape[3]), np.float32)
            for name, shape in self._inputs.items()
            if name.startswith(_PAST)
        }
        heard = {name: value for name, value in nothing.items() if _HEARD in name}
        return State(hidden=states, heard=heard, past={k: v for k, v in nothing.items() if k not in heard})

    def step(self, state: State, latest: list[int]) -> tuple[Floats, State]:
        """Natural logarithms of the chances of each of `pieces` after each text, whose last pieces are `latest`:
        (texts, pieces); and the state after them.
        """
        scores, now = self._run(state, [[piece] for piece in latest])
        return _logs(scores[:, -1]), now

    def keep(self, state: State, rows: list[int]) -> State:
        """The state of these texts only, each as often as it is named."""
        return replace(state, past={name: value[rows] for name, value in state.past.items()})

    def follow(self, states: Floats, texts: Sequence[Sequence[int]]) -> list[float]:
        """Natural logarithms of the chances of whole texts, each given as its pieces without begin and end."""
        first, state = self.step(self.begin(states), [self.pieces.begin])
        out: list[float] = []
        for text in texts:
            # The net can't take no pieces at all.
            logs = np.concatenate([first, _logs(self._run(state, [text])[0][0])]) if text else first
            out.append(float(logs[np.arange(len(text) + 1), [self._at[number] for number in (*text, END)]].sum()))
        return out

    def _run(self, state: State, texts: Sequence[Sequence[int]]) -> tuple[Floats, State]:
        """Scores of `pieces` after each piece of texts of one length that go on from the state, (texts, pieces of a
        text, `pieces`); and the state after them.
        """
        # What was taken from the sound is worked out with the first piece, and then the same for all texts.
        begun = next(iter(state.past.values())).shape[2] > 0
        wanted = [name for name in self._outputs if not (begun and _HEARD in name)]
        told = self._decoder.run(
            wanted,
            {
                "input_ids": np.array(texts, dtype=np.int64),
                "encoder_hidden_states": state.hidden,
                "use_cache_branch": np.array([begun]),
                **state.heard,
                **state.past,
            },
        )
        now = {name.replace(_PRESENT, _PAST): value for name, value in zip(wanted[1:], told[1:], strict=True)}
        heard = state.heard if begun else {name: now[name] for name in state.heard}
        after = State(hidden=state.hidden, heard=heard, past={name: now[name] for name in state.past})
        return told[0][:, :, self._allowed], after


def _logs(scores: Floats) -> Floats:
    """Natural logarithms of the chances that the scores in each row stand for."""
    top = scores.max(axis=-1, keepdims=True)
    out: Floats = scores - top - np.log(np.exp(scores - top).sum(axis=-1, keepdims=True))
    return out


def read_pieces(data: bytes) -> list[str]:
    """The texts of the pieces by number, spaces for the mark that begins a word. Each is stored as its length, in one
    byte or, from 128 on, in two, and its UTF-8. Raises BenchvoiceError if the bytes end in the middle of one.
    """
    out: list[str] = []
    at = 0
    try:
        while at < len(data):
            length = data[at]
            at += 1
            if length >= 128:
                length = length - 128 + 128 * data[at]
                at += 1
            if at + length > len(data):
                raise IndexError
            out.append(data[at : at + length].decode("utf-8", "replace").replace("\u2581", " "))
            at += length
    except IndexError:
        raise BenchvoiceError(
            "The second recogniser's list of pieces breaks off.", hint="Install moonshine-cpp again."
        ) from None
    return out


def _opened(path: Path) -> Any:
    try:
        return nets.opened(str(path))
    except Exception as error:  # onnxruntime raises nothing narrower
        raise BenchvoiceError(
            f"The second recogniser's {path.name} can't be opened.", hint=f"Delete {path.parent} and try again."
        ) from error
