"""Sound in, utterances out: the spans of a sound through a recogniser, numbered in order.

A span whose words stop in the middle of a number or a name is held back for a moment; if the next one goes on where
it stopped, the two are heard again as one, so that a pause for a look at the dial cuts no measurement in two.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from benchvoice.app.joining import seams
from benchvoice.app.two_cores import both_hear
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.files import probe, read_blocks
from benchvoice.audio.spans import Setting, Span, Spanner
from benchvoice.domain.words import Utterance, Word
from benchvoice.errors import SoundError
from benchvoice.recognise.base import Heard, Recogniser
from benchvoice.recognise.stretches import Stretches

Progress = Callable[[float, float | None], None]
"""Called with the seconds gone through and the seconds there are (None: unknown)."""


HOLD = 1.3
"""Seconds of silence after which a sentence that seemed unfinished is given out as it is."""
EARLY = 0.15
"""Seconds of silence after which an open span is already heard, in the hope that it is over."""
PATIENCE = 0.2
"""Seconds more for each time that this was in vain within the span: who pauses often must not cost a core."""
LONGEST_JOINED = 20.0


@dataclass(frozen=True, slots=True)
class _Take:
    """A span with what was heard in it."""

    span: Span
    heard: Heard

    @property
    def texts(self) -> list[str]:
        return [word.text for word in self.heard.words]


@dataclass(slots=True)
class Listener:
    """Pieces of sound in, utterances out as they are complete. One sitting, one thread."""

    recogniser: Recogniser
    setting: Setting = field(default_factory=Setting)
    first: int = 0
    """Number of the first utterance."""
    _spanner: Spanner = field(init=False)
    _n: int = field(init=False)
    _at: float = 0.0
    _early: _Take | None = None
    _in_vain: int = 0
    _held: _Take | None = None
    _stretches: Stretches = field(default_factory=Stretches)

    def __post_init__(self) -> None:
        self._spanner = Spanner(self.setting)
        self._n = self.first

    def begin(self, at: float) -> None:
        """The sound that follows starts at this time of the sitting."""
        self._spanner.begin(at)
        self._at, self._early, self._in_vain = at, None, 0

    @property
    def open_since(self) -> float | None:
        """When the utterance began that is not over yet, None in silence."""
        return self._held.span.speaks if self._held else self._spanner.open_since

    def feed(self, samples: Samples) -> Iterator[Utterance]:
        self._at += len(samples) / RATE
        for span in self._spanner.feed(samples):
            yield from self._take(span)
        self._listen_early()
        held = self._held
        if held and self._spanner.open_since is None and self._at - held.span.silent > HOLD:
            yield from self._release()

    def finish(self) -> Iterator[Utterance]:
        """The sound is over: whatever is left."""
        for span in self._spanner.finish():
            yield from self._take(span)
        yield from self._release()

    def _listen_early(self) -> None:
        """Hears the open span during its closing pause, so that its words are there when the pause is long enough."""
        if self._spanner.open_since is None or self._spanner.quiet < EARLY + PATIENCE * self._in_vain:
            return
        span = self._spanner.so_far()
        if span is not None and (self._early is None or not _same(self._early.span, span)):
            self._in_vain += self._early is not None
            self._early = _Take(span, self.recogniser.hear(span.pcm, start=span.t0, snr=span.snr))

    def _take(self, span: Span) -> Iterator[Utterance]:
        early, self._early, self._in_vain = self._early, None, 0
        if early is not None and _same(early.span, span):
            yield from self.place(span, early.heard)
        else:
            yield from self.place(span, self.recogniser.hear(span.pcm, start=span.t0, snr=span.snr))

    def spans(self, blocks: Iterable[Samples]) -> Iterator[Span]:
        """The spans of a whole sound, to be heard elsewhere and brought back in order with `place`."""
        for block in blocks:
            yield from self._spanner.feed(block)
        yield from self._spanner.finish()

    def place(self, span: Span, heard: Heard) -> Iterator[Utterance]:
        """A span with what was heard in it; what is complete with it comes out."""
        take, held = _Take(span, heard), self._held
        if held is not None and self._belongs(held, take):
            self._held, take = None, self._joined(held, take)
        else:
            yield from self._release()
        if take.heard.domain and seams().waits(take.texts):
            self._held = take
        else:
            yield from self._give(take)

    def _belongs(self, held: _Take, take: _Take) -> bool:
        near = take.span.speaks - held.span.silent <= HOLD
        short = take.span.t1 - held.span.t0 <= LONGEST_JOINED
        return near and short and seams().goes_on(held.texts, take.texts)

    def _joined(self, held: _Take, take: _Take) -> _Take:
        """Both spans heard as one. The sound between them held no speech and is left out, but for its time."""
        seam, gap = held.span.t1, take.span.t0 - held.span.t1
        heard = self.recogniser.hear(held.span.pcm + take.span.pcm, start=held.span.t0, snr=take.span.snr)
        words = tuple(_moved(word, gap) if (word.t0 or 0.0) >= seam else word for word in heard.words)
        span = replace(take.span, t0=held.span.t0, speaks=held.span.speaks, pcm=held.span.pcm + take.span.pcm)
        return _Take(span, replace(heard, words=words))

    def _release(self) -> Iterator[Utterance]:
        held, self._held = self._held, None
        if held is not None:
            yield from self._give(held)

    def _give(self, take: _Take) -> Iterator[Utterance]:
        utterance = as_utterance(self._n, take.span, self._stretches.settle(take.heard))
        if utterance is not None:
            self._n += 1
            yield utterance


def _same(early: Span, span: Span) -> bool:
    """Whether nothing was said between the early look and the close."""
    return (early.t0, early.silent, early.gain) == (span.t0, span.silent, span.gain)


def _moved(word: Word, by: float) -> Word:
    return replace(word, t0=round((word.t0 or 0.0) + by, 3), t1=round((word.t1 or 0.0) + by, 3))


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
    sound = _Sound(source)
    any_heard = False
    for span, heard in both_hear(listener.spans(sound), recogniser):
        for utterance in listener.place(span, heard):
            any_heard = True
            yield utterance
        if on_progress is not None:
            on_progress(span.t1, total)
    for utterance in listener.finish():
        any_heard = True
        yield utterance
    if sound.broken is not None:
        raise sound.broken
    if not any_heard:
        raise SoundError(f"Nobody speaks in {source}.", hint="Check the microphone's level, or give another recording.")


class _Sound:
    """The blocks of a sound file. One that breaks off gives what came before, and keeps the error."""

    def __init__(self, source: str | Path) -> None:
        self._source = source
        self.broken: SoundError | None = None

    def __iter__(self) -> Iterator[Samples]:
        try:
            yield from read_blocks(self._source)
        except SoundError as error:
            self.broken = error
