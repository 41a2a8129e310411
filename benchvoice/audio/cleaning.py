"""Which denoiser works: none in a quiet room, one for noise, and where others talk the one that takes voices too."""

from __future__ import annotations

from collections import deque

import numpy as np

from benchvoice.audio import deepfilter, rnnoise
from benchvoice.audio.blocks import FRAME, RATE, Samples
from benchvoice.audio.denoise import Denoiser
from benchvoice.audio.detector import STEP, Detector
from benchvoice.audio.level import QUIETEST, SYLLABLE, SYLLABLES, LevelMeter, frame_levels

_REST = 30.0
"""Seconds after which a resting denoiser listens again whether the room is still quiet."""
_ONSET_FRAMES = 25
"""The latest frames of a silence may already be the beginning of a sentence; they don't count as room."""
_OTHERS_SHARE = 20.0
"""Per cent. A radio is silent for less of the time, an impact gun for more."""
_OTHERS_TALK = 30.0
"""dB. Others talk where their syllables are less than this softer than the person's. Beside a radio 15 dB softer they
are by 15 to 36, 20 dB softer by 18 to 60, half of the time less than 35; the bursts of an impact gun for a twentieth of
the time by less than 30; hums and echoes by 45 and more.
"""
_NOBODY_ELSE = 40.0
_HEARD = {False: 0.4, True: 0.5}
"""Of the while that others are judged by, after which that is done; by whether voices are taken out."""
_FIRST = 3
"""Syllables at the beginning: where no voice is taken out of them, nobody else talks."""
_TAKEN = 12.0
"""dB that the denoiser of voices takes off a voice that isn't the person's, and more."""
_BELIEVED = 40.0
"""Seconds for which nobody asks whether they still talk."""
_NOTHING: Samples = np.empty(0, dtype=np.float32)


class Cleaner:
    """A stream of blocks in, the same stream as clean as the room asks for, some hundredths of a second later.

    meter: is told what the room is like between sentences. below: ratio of voice to room, dB, above which no denoiser
    works.
    """

    def __init__(self, meter: LevelMeter, *, below: float, enabled: bool) -> None:
        self._meter, self._below = meter, below
        self._can = enabled and deepfilter.available()
        self._can_voices = self._can and rnnoise.available()
        self._made: dict[bool, Denoiser] = {}
        self._others = _Others()
        self._taken: bool | None = None
        self._begun: Samples
        self.begin()

    def begin(self) -> None:
        """What came before is over."""
        for made in self._made.values():
            made.finish()
        self._works: Denoiser | None = None
        self._rest = self._believed = 0.0
        self._was_quiet = False
        self._pending = _NOTHING
        self._forget_others()

    @property
    def works(self) -> bool:
        return self._works is not None

    @property
    def voices(self) -> bool:
        """Whether voices are taken out."""
        return self._works is not None and self._works is self._made.get(True)

    def feed(self, raw: Samples, *, between: bool) -> Samples:
        """between: nobody is known to be speaking, so that one denoiser may take over from another."""
        levels = frame_levels(raw)
        self._meter.feed(levels)
        rest = _NOTHING
        # At the beginning the one waits beside the other: what is said then is better heard as it should be all along.
        if self._can and (between or (self.voices and self._taken is False)):
            rest = self._switch(levels)
        else:
            self._pending = self._pending[:0]
        if self._works is None:
            return np.concatenate([rest, raw])
        clean = self._works.feed(raw)
        self._listen(raw, clean)
        return np.concatenate([rest, clean])

    def forget_levels(self) -> None:
        """What comes is at another level."""
        self._pending = self._pending[:0]
        self._forget_others()

    def finish(self) -> Samples:
        """What is still inside."""
        if self.voices:
            self._made[False].finish()
        return _NOTHING if self._works is None else self._works.finish()

    def _switch(self, levels: Samples) -> Samples:
        """Lets another denoiser work, or none, if the room asks for that. Gives what was inside of the one before."""
        if self._works is None:
            self._rest -= len(levels) * FRAME / RATE
            loud = self._meter.snr < self._below
            if self._rest > 0 and not loud:
                return _NOTHING
            self._meter.forget_room()
            # Beside a radio no pause may be heard in which to begin with it; where nobody else talks there is one.
            return self._let_work(voices=self._can_voices and (loud or not self._was_quiet))
        self._pending = np.concatenate([self._pending, levels])
        self._meter.between(self._pending[:-_ONSET_FRAMES])
        self._pending = self._pending[-_ONSET_FRAMES:]
        if self._can_voices and self._others_talk() != self.voices:
            self._meter.forget_room()
            return self._let_work(voices=not self.voices)
        room = self._meter.room
        # What the denoiser of voices leaves of bursts passes for speech, and the rest would be taken for the room.
        if room is not None and not self.voices and self._meter.speech - room > self._below:
            self._rest, self._was_quiet = _REST, True
            return self._let_work(voices=None)
        return _NOTHING

    def _let_work(self, *, voices: bool | None) -> Samples:
        """None: no denoiser works."""
        rest = self.finish()
        if voices is not None:
            for kind in {False, voices} - set(self._made):
                self._made[kind] = Denoiser(voices=kind)
        if voices and self._works is not None:
            self._meter.forget_cleaned()
        self._works = None if voices is None else self._made[voices]
        self._forget_others()
        self._believed = 0.0
        return rest

    def _others_talk(self) -> bool:
        """Whether they do; while that isn't known, whether they are taken out already."""
        enough = _NOBODY_ELSE if self.voices else _OTHERS_TALK
        if self._others.share >= _HEARD[self.voices]:
            return self._meter.speech - self._others.level < enough
        return self.voices and self._taken is not False

    def _listen(self, raw: Samples, clean: Samples) -> None:
        """How loud others are after the denoiser of noise alone; while voices are taken out, now and then."""
        if not self.voices:
            self._others.feed(clean)
            return
        self._believed -= len(raw) / RATE
        if self._believed <= 0:
            alone = self._made[False].feed(raw)
            self._others.feed(alone)
            if self._taken is None:
                self._begun = np.concatenate([self._begun, clean])
                if len(self._begun) >= _FIRST * SYLLABLE * FRAME and len(self._others.peaks) >= _FIRST:
                    self._taken = self._voice_taken()
            if self._others.share == 1.0 and self._others_talk():
                self._others.forget()
                self._believed = _BELIEVED

    def _voice_taken(self) -> bool:
        """Whether the denoiser of voices took out one that the other left."""
        before = np.array(self._others.peaks)[:_FIRST]
        after = frame_levels(self._begun)[: _FIRST * SYLLABLE].reshape(_FIRST, SYLLABLE).max(axis=1)
        near = before > self._meter.speech - _NOBODY_ELSE
        return bool(np.any(near & (before - after > _TAKEN)))

    def _forget_others(self) -> None:
        self._others.forget()
        self._begun = _NOTHING
        self._taken = None


class _Others:
    """How loud the voices are that go on between the person's sentences, after the denoiser of noise."""

    def __init__(self) -> None:
        self._detector = Detector()
        self.forget()

    def forget(self) -> None:
        self.level = QUIETEST
        self._waiting = _NOTHING
        self._voiced = _NOTHING
        self.peaks: deque[float] = deque(maxlen=SYLLABLES)

    @property
    def share(self) -> float:
        """Of the while that others are judged by, how much was heard: 0..1."""
        return len(self.peaks) / SYLLABLES

    def feed(self, clean: Samples) -> None:
        """All sound, the person's sentences and what is between them."""
        sound = np.concatenate([self._waiting, clean])
        whole = len(sound) // STEP * STEP
        self._waiting = sound[whole:]
        levels = np.where(self._detector.through(sound[:whole]), frame_levels(sound[:whole]), QUIETEST)
        self._voiced = np.concatenate([self._voiced, levels.astype(np.float32)])
        while len(self._voiced) >= SYLLABLE:
            self.peaks.append(float(self._voiced[:SYLLABLE].max()))
            self._voiced = self._voiced[SYLLABLE:]
            self.level = float(np.percentile(np.array(self.peaks), _OTHERS_SHARE))
