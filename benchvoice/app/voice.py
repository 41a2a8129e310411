"""A person's voice profile: how loud they are into this microphone, how loud the room is, how long they pause.

Made once from sentences read out, kept as a small file in the configuration folder, and used for every sitting after
that. The acoustic model itself is not adapted: pocketsphinx takes a transform of its means (MLLR) but the programs that
estimate one are no part of any Python package; `Profile.transform` is where its path would go.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from queue import Empty, SimpleQueue

import numpy as np
import soxr
from rapidfuzz.distance import Levenshtein

from benchvoice import paths
from benchvoice.audio.blocks import FRAME, RATE, Samples, from_pcm
from benchvoice.audio.level import frame_levels
from benchvoice.audio.microphone import Delivery, LiveSource
from benchvoice.audio.spans import Setting, Span, Spanner
from benchvoice.errors import SoundError
from benchvoice.recognise.base import Recogniser
from benchvoice.resources import folder

NAME = "voice.toml"
_SENTENCES = "en/voice.toml"
_SHORTEST_PAUSE, _LONGEST_PAUSE = 0.35, 0.9
_MARGIN = 1.25
"""The closing pause is this much longer than the pauses that the person made within a sentence."""
_WITHIN = 0.08
"""Seconds of silence from which it is a pause and no closed lip."""
_TOO_SOFT, _TOO_LOUD = -45.0, -6.0
_LOUD_ROOM = 10.0
_PATIENCE = 3.0
"""Seconds without a delivery after which a microphone counts as gone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """Levels in dB below full scale, the pause in seconds. `right`: share of the words that were heard rightly."""

    speech: float
    room: float
    pause: float
    words_a_minute: float
    right: float
    transform: str = ""
    """Path of an acoustic transform, empty for none."""

    @property
    def snr(self) -> float:
        return self.speech - self.room

    def advice(self) -> tuple[str, ...]:
        """What the person could do better, nothing if all is well."""
        found = []
        if self.speech < _TOO_SOFT:
            found.append("The voice comes in very softly: turn the microphone's gain up or move it nearer.")
        if self.speech > _TOO_LOUD:
            found.append("The voice is so loud that it may be cut off: turn the gain down.")
        if self.snr < _LOUD_ROOM:
            found.append("The room is nearly as loud as the voice: a headset would help more than any program.")
        if self.right < 0.7:
            found.append("Many words were misheard: check that the right microphone is used.")
        return tuple(found)


def sentences() -> tuple[str, ...]:
    """What is to be read out, one after the other."""
    return tuple(tomllib.loads((folder("grammars") / _SENTENCES).read_text(encoding="utf-8"))["read_out"])


def measure(blocks: Iterable[Samples], recogniser: Recogniser, read: Sequence[str] | None = None) -> Profile:
    """The profile of somebody who reads out `read` (None: `sentences()`).

    Raises SoundError if nobody speaks.
    """
    spanner = Spanner(Setting(pauses=replace(Setting().pauses, pause=_LONGEST_PAUSE)))
    spans: list[Span] = []
    for block in blocks:
        spans += spanner.feed(block)
    spans += spanner.finish()
    if not spans:
        raise SoundError("Nobody spoke.", hint="Check the microphone's level and read the sentences out loud.")
    heard = [word.text for span in spans for word in recogniser.hear(span.pcm, start=span.t0, snr=span.snr).words]
    said = " ".join(sentences() if read is None else read).split()
    spoken = sum(span.silent - span.speaks for span in spans)
    pauses = [pause for span in spans for pause in _pauses(span)]
    usual = float(np.percentile(np.array(pauses), 95.0)) if pauses else 0.0
    return Profile(
        speech=round(spanner.speech_level, 1),
        room=round(spanner.room_level, 1),
        pause=round(min(_LONGEST_PAUSE, max(_SHORTEST_PAUSE, _MARGIN * usual)), 2),
        words_a_minute=round(60.0 * len(said) / max(spoken, 0.1), 0),
        right=round(max(0.0, 1.0 - Levenshtein.distance(said, heard) / len(said)), 3),
    )


def _pauses(span: Span) -> Iterator[float]:
    """Seconds of each silence within a span, its ends left out."""
    levels = frame_levels(from_pcm(span.pcm))
    first, last = round((span.speaks - span.t0) * RATE / FRAME), round((span.silent - span.t0) * RATE / FRAME)
    inside = levels[first:last]
    if not len(inside):
        return
    soft = inside < float(np.percentile(inside, 80.0)) - 30.0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], soft, [False]]).astype(np.int8)))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if (end - start) * FRAME / RATE >= _WITHIN:
            yield float((end - start) * FRAME / RATE)


def save(profile: Profile, path: Path | None = None) -> Path:
    """Keeps the profile; the file before it is replaced in one step. Returns where it lies."""
    import tomlkit

    target = path or paths.config() / NAME
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_suffix(".part")
    part.write_text(tomlkit.dumps(asdict(profile)), encoding="utf-8")
    part.replace(target)
    return target


def load(path: Path | None = None) -> Profile | None:
    """The kept profile, None if there is none. A file that can't be read counts as none: hearing goes on without it."""
    target = path or paths.config() / NAME
    try:
        table = tomllib.loads(target.read_text(encoding="utf-8"))
        numbers = {name: float(table[name]) for name in ("speech", "room", "pause", "words_a_minute", "right")}
        return Profile(**numbers, transform=str(table.get("transform", "")))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def setting(profile: Profile | None) -> Setting:
    """How to listen to this person; the program's own setting without a profile."""
    own = Setting()
    if profile is None:
        return own
    pause = min(_LONGEST_PAUSE, max(_SHORTEST_PAUSE, profile.pause))
    pauses = replace(own.pauses, pause=pause, tail=min(own.pauses.tail, pause))
    return replace(own, pauses=pauses, speech_level=min(0.0, max(-60.0, profile.speech)))


def record(source: LiveSource, seconds: float) -> Iterator[Samples]:
    """Blocks at RATE from a microphone, for so many seconds. Raises SoundError if it is not there or goes away."""
    deliveries: SimpleQueue[Delivery] = SimpleQueue()
    source.start(deliveries)
    try:
        resample = soxr.ResampleStream(source.rate, RATE, 1, dtype="float32")
        left = round(seconds * source.rate)
        while left > 0:
            try:
                samples = from_pcm(deliveries.get(timeout=_PATIENCE).pcm)
            except Empty:
                raise SoundError(f"{source.name} fell silent.", hint="Plug it in again and start over.") from None
            left -= len(samples)
            yield np.asarray(resample.resample_chunk(samples), dtype=np.float32)
    finally:
        source.stop()
