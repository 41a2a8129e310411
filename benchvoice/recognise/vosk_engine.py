"""Vosk, where a model of the language is on the machine.

Each span is heard by two of its recognisers: one held to the trade's words, one free. Users report that a long-lived
Vosk recogniser grows without end (alphacep/vosk-api issues 209, 526, 1036), so each gets a successor at a pause every
few minutes.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from benchvoice.domain.words import Word
from benchvoice.errors import BenchvoiceError
from benchvoice.lexicon import load
from benchvoice.lexicon.sentences_files import load_patterns
from benchvoice.recognise.base import RATE, Availability, Heard, Progress
from benchvoice.recognise.pronounce import sounds_like

NAME = "vosk"
ENVIRONMENT = "BENCHVOICE_VOSK_MODEL"
FRESH_SECONDS = 300.0
"""Sound after which a recogniser is replaced at the next pause."""
PHRASES = 3_000
"""Sentences in the grammar: enough for every common pair of words."""
FETCHED = "vosk-model-small-en-us-0.15"
_ENGLISH = re.compile(r"vosk-model(-small)?-en")
_BY_HAND = f"Fetch {FETCHED}.zip on another machine, unpack it into ~/.cache/vosk, or name its folder in {ENVIRONMENT}."


def model_folders() -> Iterator[Path]:
    """English models on this machine, in order of preference: the one named in the environment, then what lies in
    the folders where Vosk itself looks.
    """
    named = os.environ.get(ENVIRONMENT)
    if named:
        yield Path(named).expanduser()
    own = os.environ.get("VOSK_MODEL_PATH")
    places = [Path(own)] if own else []
    places += [Path("/usr/share/vosk"), Path.home() / "AppData/Local/vosk", Path.home() / ".cache/vosk"]
    for place in places:
        with contextlib.suppress(OSError):
            yield from sorted(path for path in place.iterdir() if path.is_dir() and _ENGLISH.match(path.name))


def find_model(path: str | Path | None = None) -> Path | None:
    """The model to use, None if there is none. Raises BenchvoiceError for a named folder that holds no model."""
    if path is not None:
        folder = Path(path).expanduser()
        if not _is_model(folder):
            raise BenchvoiceError(f"There is no Vosk model in {folder}.", hint=_BY_HAND)
        return folder
    return next((folder for folder in model_folders() if _is_model(folder)), None)


def _is_model(folder: Path) -> bool:
    return (folder / "am").is_dir() or (folder / "final.mdl").is_file() or (folder / "am" / "final.mdl").is_file()


def availability() -> Availability:
    try:
        found = version("vosk")
    except PackageNotFoundError:
        return Availability(name=NAME, usable=False, why="Its package is not installed: pip install vosk.")
    model = find_model()
    if model is None:
        return Availability(
            name=NAME, usable=False, why="No English model here: run `benchvoice fetch-model`.", version=found
        )
    return Availability(name=NAME, usable=True, why=f"Model {model}.", version=found)


def open_engine(path: str | Path | None = None, phrases: Sequence[str] | None = None) -> VoskEngine:
    """Opens the model at `path` or the best one here. `phrases` is what the trade says, for its grammar (None: sampled
    from the sentence patterns); with an empty one only the free recogniser listens.

    Raises BenchvoiceError if there is no model or it can't be loaded.
    """
    model = find_model(path)
    if model is None:
        raise BenchvoiceError(
            "No English Vosk model is on this machine.", hint=f"Run `benchvoice fetch-model`. {_BY_HAND}"
        )
    return VoskEngine(model, trade_phrases() if phrases is None else phrases)


def trade_phrases(count: int = PHRASES) -> list[str]:
    """Sentences of the trade, from the same patterns as the n-gram model."""
    return [" ".join(sentence) for sentence in load_patterns(load().word_classes()).sample(count, seed=1)]


@dataclass(slots=True)
class _Ear:
    """One Vosk recogniser with its sound so far."""

    recogniser: Any
    heard: float = 0.0


class VoskEngine:
    """See `recognise.base.Recogniser`. One thread at a time."""

    def __init__(self, model: Path, phrases: Sequence[str] = ()) -> None:
        import vosk

        vosk.SetLogLevel(-1)
        self._vosk = vosk
        try:
            self._model = vosk.Model(model_path=str(model))
        except Exception as error:  # Vosk raises nothing narrower
            raise BenchvoiceError(f"The Vosk model in {model} can't be loaded.", hint="Fetch it again.") from error
        self._spelled = {word: spelled for word, spelled in sounds_like().items() if not self.knows(word)}
        said = dict.fromkeys(self._as_spelled(phrase) for phrase in phrases)
        self._grammar = json.dumps([*said, "[unk]"], ensure_ascii=False) if phrases else None
        self._ears: dict[str, _Ear] = {}

    @property
    def name(self) -> str:
        return NAME

    @property
    def version(self) -> str:
        return version("vosk")

    def knows(self, word: str) -> bool:
        """Whether the model has the word; others need a spelling that sounds like them."""
        return int(self._model.vosk_model_find_word(word)) >= 0

    def hear(self, pcm: bytes, *, start: float = 0.0, snr: float | None = None) -> Heard:
        free = self._listen("free", None, pcm, start)
        bound = self._listen("bound", self._grammar, pcm, start) if self._grammar else free
        about = bool(bound) and _unknown(bound) <= 0.34
        words = tuple(word for word in (bound if about else free) if word.text != "[unk]")
        other = " ".join(word.text for word in free)
        said = " ".join(word.text for word in words)
        return Heard(
            words=words,
            confidence=round(sum(word.confidence for word in words) / len(words), 4) if words else 0.0,
            alternatives=(other,) if other and other != said else (),
            domain=about,
            recogniser=NAME,
        )

    def close(self) -> None:
        self._ears.clear()

    def _as_spelled(self, phrase: str) -> str:
        return " ".join(part for word in phrase.split() for part in self._spelled.get(word, (word,)))

    def _listen(self, which: str, grammar: str | None, pcm: bytes, start: float) -> tuple[Word, ...]:
        ear = self._ears.get(which)
        if ear is None or ear.heard >= FRESH_SECONDS:
            self._ears[which] = ear = _Ear(self._make(grammar))
        ear.heard += len(pcm) / 2 / RATE
        found: list[Word] = []
        # The span's first sample is the recogniser's zero only once: it counts on over all that it was given.
        offset = start - (ear.heard - len(pcm) / 2 / RATE)
        if ear.recogniser.AcceptWaveform(pcm):
            found += _read(ear.recogniser.Result(), offset)
        found += _read(ear.recogniser.FinalResult(), offset)
        return restored(found, self._spelled)

    def _make(self, grammar: str | None) -> Any:
        given = (self._model, RATE) if grammar is None else (self._model, RATE, grammar)
        recogniser = self._vosk.KaldiRecognizer(*given)
        recogniser.SetWords(True)
        return recogniser


def _read(told: str, offset: float) -> list[Word]:
    return [
        Word(
            text=word["word"],
            t0=round(offset + word["start"], 3),
            t1=round(offset + word["end"], 3),
            confidence=min(1.0, max(0.0, float(word.get("conf", 1.0)))),
        )
        for word in json.loads(told).get("result", [])
    ]


def restored(words: Sequence[Word], spelled: Mapping[str, tuple[str, ...]]) -> tuple[Word, ...]:
    """The words with spelled-out ones put back: "push" "rod" is "pushrod" where the model lacks that word."""
    out: list[Word] = []
    at = 0
    longest_first = sorted(spelled.items(), key=lambda item: -len(item[1]))
    while at < len(words):
        for word, parts in longest_first:
            run = words[at : at + len(parts)]
            if tuple(item.text for item in run) == parts:
                sure = min(item.confidence for item in run)
                out.append(Word(text=word, t0=run[0].t0, t1=run[-1].t1, confidence=sure))
                at += len(parts)
                break
        else:
            out.append(words[at])
            at += 1
    return tuple(out)


def _unknown(words: Sequence[Word]) -> float:
    return sum(word.text == "[unk]" for word in words) / max(1, len(words))


def fetch_model(name: str = FETCHED, on_progress: Progress | None = None) -> Path:
    """Fetches a model with Vosk's own downloader into the folder where it looks, and returns its folder.

    Raises BenchvoiceError with what to do by hand when the network or the disk says no.
    """
    import vosk

    tell = on_progress or (lambda _what, _share: None)
    target = Path.home() / ".cache" / "vosk" / name
    if _is_model(target):
        return target
    tell(f"Fetching {name}", 0.0)
    fetcher = vosk.Model.__new__(vosk.Model)
    fetcher.download_progress_hook = lambda _bar: _hook(tell, name)
    # The object never gets a model of its own, and its end would free one that isn't there.
    fetcher._handle = vosk._ffi.NULL
    try:
        with contextlib.redirect_stderr(io.StringIO()):
            fetcher.download_model(target)
    except Exception as error:
        target.with_name(f"{name}.zip").unlink(missing_ok=True)
        raise BenchvoiceError(f"The model {name} can't be fetched.", hint=_BY_HAND) from error
    tell(f"Fetching {name}", 1.0)
    return target


def _hook(tell: Progress, name: str) -> Any:
    def told(blocks: int = 1, size: int = 1, total: int | None = None) -> None:
        if total and total > 0:
            tell(f"Fetching {name}", min(1.0, blocks * size / total))

    return told
