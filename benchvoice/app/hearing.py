"""Sound in, utterances out: the spans of a sound through a recogniser, numbered in order.

A span whose words stop in the middle of a number or a name is held back for a moment; if the next one goes on where
it stopped, the two are heard again as one, so that a pause for a look at the dial cuts no measurement in two.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.files import probe, read_blocks
from benchvoice.audio.spans import Setting, Span, Spanner
from benchvoice.domain.words import Utterance
from benchvoice.errors import SoundError
from benchvoice.recognise.base import Heard, Recogniser

Progress = Callable[[float, float | None], None]
"""Called with the seconds gone through and the seconds there are (None: unknown)."""


@dataclass(slots=True)
class Listener:
    """Pieces of sound in, utterances out as they are complete. One sitting, one thread."""

    recogniser: Recogniser
    setting: Setting = field(default_factory=Setting)
    first: int = 0
    """Number of the first utterance."""
    _spanner: Spanner = field(init=False)
    _n: int = field(init=False)

    def __post_init__(self) -> None:
        self._spanner = Spanner(self.setting)
        self._n = self.first

    def begin(self, at: float) -> None:
        """The sound that follows starts at this time of the sitting."""
        self._spanner.begin(at)

    @property
    def open_since(self) -> float | None:
        return self._spanner.open_since

    def feed(self, samples: Samples) -> Iterator[Utterance]:
        for span in self._spanner.feed(samples):
            yield from self._take(span)

    def finish(self) -> Iterator[Utterance]:
        for span in self._spanner.finish():
            yield from self._take(span)

    def _take(self, span: Span) -> Iterator[Utterance]:
        heard = self.recogniser.hear(span.pcm, start=span.t0)
        utterance = as_utterance(self._n, span, heard)
        if utterance is not None:
            self._n += 1
            yield utterance


def as_utterance(n: int, span: Span, heard: Heard) -> Utterance | None:
    """The utterance of a span, None if it holds no words. Its times are those of the speech, not of the sound
    around it.
    """
    return heard.as_utterance(n, span.speaks, span.silent) if heard.words else None


def hear(
    source: str | Path, recogniser: Recogniser, *, setting: Setting | None = None, on_progress: Progress | None = None
) -> Iterator[Utterance]:
    """The utterances of a sound file, numbered from 0, as they are heard.

    Raises SoundError for a file that is missing, empty, no sound, or breaks off (after the utterances before the
    break), and for one in which nobody speaks.
    """
    total = probe(source).seconds
    listener = Listener(recogniser, setting or Setting())
    gone, any_heard = 0, False
    broken: SoundError | None = None
    blocks = read_blocks(source)
    while True:
        try:
            block = next(blocks, None)
        except SoundError as error:
            broken, block = error, None
        found = listener.finish() if block is None else listener.feed(block)
        for utterance in found:
            any_heard = True
            yield utterance
        if block is None:
            break
        gone += len(block)
        if on_progress is not None:
            on_progress(gone / RATE, total)
    if broken is not None:
        raise broken
    if not any_heard:
        raise SoundError(f"Nobody speaks in {source}.", hint="Check the microphone's level, or give another recording.")
