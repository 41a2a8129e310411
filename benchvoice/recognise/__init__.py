"""Recognisers: which there are, which can be used here, and opening one.

The implementations are imported only when they are needed, so that asking for help doesn't load a model.
"""

from __future__ import annotations

from benchvoice.errors import BenchvoiceError
from benchvoice.recognise.base import Availability, Heard, Progress, Recogniser

__all__ = ["Availability", "Heard", "Recogniser", "available", "open_recogniser"]

TWO = "vosk+pocketsphinx"
"""Both hear each utterance and their words are voted on."""
PAIR = "pocketsphinx+moonshine"
"""The embedded one, and where it leaves a doubt a second one beside it."""
NAMES = ("vosk", PAIR, "pocketsphinx", TWO, "text")


def available() -> list[Availability]:
    """All recognisers of the program, best first, with what can be used on this machine and why not the rest."""
    from benchvoice.recognise import pair_engine, pocketsphinx_engine, vosk_engine

    one, other = vosk_engine.availability(), pocketsphinx_engine.availability()
    return [
        one,
        pair_engine.availability(),
        other,
        Availability(
            name=TWO,
            usable=one.usable and other.usable,
            why="Both, voting on each word; measure it before you rely on it." if one.usable else one.why,
        ),
        Availability(name="text", usable=True, why="Typed words; no sound is heard.", version="1"),
    ]


def open_recogniser(name: str | None = None, *, on_progress: Progress | None = None) -> Recogniser:
    """A recogniser by name; None takes the best one that can be used: vosk where an English model is, else
    pocketsphinx, with moonshine beside it where its package is.

    Raises BenchvoiceError for an unknown name or one that can't be used here. The first pocketsphinx one on a machine
    builds the language model, which takes some seconds and is kept.
    """
    from benchvoice.recognise import pair_engine, pocketsphinx_engine, vosk_engine

    if name is None:
        name = next(found.name for found in available() if found.usable)
    if name == PAIR:
        return pair_engine.open_engine(on_progress=on_progress)
    if name == "pocketsphinx":
        return pocketsphinx_engine.open_engine(on_progress=on_progress)
    if name == "vosk":
        return vosk_engine.open_engine()
    if name == TWO:
        from benchvoice.recognise.combine import CombinedEngine

        return CombinedEngine((vosk_engine.open_engine(), pocketsphinx_engine.open_engine(on_progress=on_progress)))
    if name == "text":
        raise BenchvoiceError("The text recogniser reads typed words, not sound.", hint="Use `benchvoice read`.")
    raise BenchvoiceError(f"There is no recogniser {name}.", hint="Known: " + ", ".join(NAMES) + ".")
