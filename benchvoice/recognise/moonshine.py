"""An encoder-decoder recogniser: a second pair of ears, which knows people where the embedded one knows the trade.

The model is Moonshine base (Jeffries et al., "Moonshine: Speech recognition for live transcription and voice
commands", 2024): the sound of a span becomes a row of states, from which the decoder predicts piece after piece of
words. The pieces it may use here are those of spelled words: numbers come as words, as the trade's sentences have them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
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
    """Where the decoder stands in each of some texts: keys and values of what came before, by the model's names."""

    hidden: Floats
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
        return State(hidden=states, past=nothing)

    def step(self, state: State, latest: list[int]) -> tuple[Floats, State]:
        """Natural logarithms of the chances of each of `pieces` after each text, whose last pieces are `latest`:
        (texts, pieces); and the state after them.
        """
        begun = next(iter(state.past.values())).shape[2] > 0
        told = self._decoder.run(
            None,
            {
                "input_ids": np.array(latest, dtype=np.int64)[:, None],
                "encoder_hidden_states": np.repeat(state.hidden, len(latest), axis=0),
                "use_cache_branch": np.array([begun]),
                **state.past,
            },
        )
        now = {name.replace(_PRESENT, _PAST): value for name, value in zip(self._outputs[1:], told[1:], strict=True)}
        # What the decoder takes from the sound is worked out at the first step only.
        past = {name: old if begun and _HEARD in name else now[name] for name, old in state.past.items()}
        scores = told[0][:, -1, :][:, self._allowed]
        top = scores.max(axis=1, keepdims=True)
        logs: Floats = scores - top - np.log(np.exp(scores - top).sum(axis=1, keepdims=True))
        return logs, State(hidden=state.hidden, past=past)

    def keep(self, state: State, rows: list[int]) -> State:
        """The state of these texts only, each as often as it is named."""
        past = {name: _same(value, len(rows)) if _HEARD in name else value[rows] for name, value in state.past.items()}
        return State(hidden=state.hidden, past=past)


def _same(value: Floats, count: int) -> Floats:
    """`count` equal rows out of such, without a copy where there are as many."""
    return value[:count] if count <= len(value) else np.repeat(value[:1], count, axis=0)


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
