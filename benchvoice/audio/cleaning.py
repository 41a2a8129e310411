"""Which denoiser works: none in a quiet room, one for noise, and where others talk the one that takes voices too."""

from __future__ import annotations

from collections import deque

import numpy as np

from benchvoice.audio import deepfilter, rnnoise
from benchvoice.audio.blocks import FRAME, RATE, Samples
from benchvoice.audio.denoise import Denoiser
from benchvoice.audio.detector import Detector, Steps
from benchvoice.audio.level import QUIETEST, SYLLABLE, SYLLABLES, LevelMeter, frame_levels

_REST = 30.0
"""Seconds after which a resting denoiser listens again whether the room is still quiet."""
_ONSET_FRAMES = 25
"""The latest frames of a silence may already be the beginning of a sentence; they don't count as room."""
_OTHERS_SHARE = 20.0
"""Per cent. A radio is silent for less of the time, an impact gun for more."""
_OTHERS_TALK = 30.0
"""dB. Others may talk where their syllables are less than this softer than the person's. Beside a radio 15 dB softer
they are by 15 to 36, 20 dB softer by 18 to 60, half of the time less than 35; the bursts of an impact gun for a
twentieth of the time by less than 30; hums and echoes by 45 and more.
"""
_HEARD = 0.4
"""Of the while that others are judged by, after which that is done."""
_NEAR = 30.0
"""dB. A syllable less than this softer than the person's is near."""
_TAKEN = 15.0
"""dB that the denoiser of voices takes off a voice that isn't the person's, and more."""
_SURE = 2
"""Near syllables taken away from which others talk. Beside a radio there are 3 to 11 in ten seconds, 1 to 8 where it is
20 dB softer; in hums, bursts and a hard room there is none, seldom one.
"""
_FIRST = 3
"""Syllables at the beginning, in which the denoiser of noise finds out what the room is like. Where none of them is
taken away, nobody else talks; one that is may be noise.
"""
_TRY, _LONG_ENOUGH = 12, 60
"""Syllables after which nobody else talks; at the beginning, while voices are taken out, and otherwise."""
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
        self._others = _Syllables(voiced=True)
        """After the denoiser of noise alone."""
        self._left = _Syllables(voiced=False)
        """After the denoiser of voices."""
        self.begin()

    def begin(self) -> None:
        """What came before is over."""
        for made in self._made.values():
            made.finish()
        self._works: Denoiser | None = None
        self._rest = self._believed = 0.0
        self._was_quiet = self._comparing = self._cold = False
        self._pending = _NOTHING
        self._late = 0

    @property
    def works(self) -> bool:
        return self._works is not None

    @property
    def voices(self) -> bool:
        """Whether voices are taken out."""
        return self._works is not None and self._works is self._made.get(True)

    def feed(self, raw: Samples, *, between: bool) -> Samples:
        """between: nobody is known to be speaking, so that a denoiser may begin or rest."""
        levels = frame_levels(raw)
        self._meter.feed(levels)
        rest = self._settle()
        if self._can and between:
            rest = np.concatenate([rest, self._switch(levels)])
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
        self._forget_syllables()

    def finish(self) -> Samples:
        """What is still inside."""
        if self._works is None:
            return _NOTHING
        if self._comparing:
            self._made[not self.voices].finish()
        return self._works.finish()

    def _switch(self, levels: Samples) -> Samples:
        """Lets a denoiser begin or rest, if the room asks for that. Gives what was inside of the one before."""
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
        room = self._meter.room
        # What the denoiser of voices leaves of bursts passes for speech, and the rest would be taken for the room.
        if room is not None and not self.voices and self._meter.speech - room > self._below:
            self._rest, self._was_quiet = _REST, True
            return self._let_work(voices=None)
        return _NOTHING

    def _let_work(self, *, voices: bool | None) -> Samples:
        """None: no denoiser works."""
        rest = self.finish()
        cold = self._works is None
        if voices is not None:
            for kind in {False, self._can_voices} - set(self._made):
                self._made[kind] = Denoiser(voices=kind)
        if voices and not cold:
            self._meter.forget_cleaned()
        self._works = None if voices is None else self._made[voices]
        self._compare(cold=cold)
        return rest

    def _compare(self, *, cold: bool = False) -> None:
        """From now on the other denoiser runs besides. cold: neither knows the room."""
        self._comparing, self._cold = self._can_voices and self._works is not None, cold
        self._late = 0 if self._works is None else self._works.inside
        self._forget_syllables()

    def _listen(self, raw: Samples, clean: Samples) -> None:
        """What others say, after one denoiser, and, while both run, after the other."""
        if self._comparing:
            beside = self._made[not self.voices].feed(raw)
            clean, self._late = clean[self._late :], max(0, self._late - len(clean))
            alone, left = (beside, clean) if self.voices else (clean, beside)
            self._others.feed(alone)
            self._left.feed(left)
        elif self.voices:
            self._believed -= len(raw) / RATE
            if self._believed <= 0:
                self._compare()
        elif self._can_voices:
            self._others.feed(clean)
            heard = self._others.share >= _HEARD
            if heard and self._meter.speech - self._others.level(_OTHERS_SHARE) < _OTHERS_TALK:
                self._compare()

    def _settle(self) -> Samples:
        """Once it is known whether others talk, the right denoiser takes over, within a sentence too: it has run
        besides. Gives what was inside of the one before.
        """
        talk = self._others_talk() if self._comparing else None
        if talk is None:
            return _NOTHING
        if talk != self.voices:
            self._meter.forget_room()
            return self._let_work(voices=talk)
        self._forget_syllables()
        self._made[not talk].finish()
        self._comparing, self._believed = False, _BELIEVED
        return _NOTHING

    def _forget_syllables(self) -> None:
        for known in (self._others, self._left):
            known.forget()

    def _others_talk(self) -> bool | None:
        """Whether the denoiser of voices takes out what the other leaves; None while that isn't known."""
        count = min(len(self._others.peaks), len(self._left.peaks))
        before = np.array(self._others.peaks)[:count]
        after = np.array(self._left.peaks)[:count]
        taken = (before > self._meter.speech - _NEAR) & (before - after > _TAKEN)
        if self._cold and self.voices and count >= _FIRST and not taken[:_FIRST].any():
            return False
        sure = int(taken[_FIRST if self._cold else 0 :].sum()) >= _SURE
        enough = _TRY if self._cold and self.voices else _LONG_ENOUGH
        return True if sure else False if count >= enough else None


class _Syllables:
    """How loud a stream is at the loudest of each syllable, over the last while; of voices only, where asked for."""

    def __init__(self, *, voiced: bool) -> None:
        self._detector = Detector() if voiced else None
        self.forget()

    def forget(self) -> None:
        self._steps = Steps()
        self._levels = _NOTHING
        self.peaks: deque[float] = deque(maxlen=SYLLABLES)

    @property
    def share(self) -> float:
        """Of the while, how much was heard: 0..1."""
        return len(self.peaks) / SYLLABLES

    def level(self, share: float) -> float:
        """A percentile of the syllables, of which there is one at least."""
        return float(np.percentile(np.array(self.peaks), share))

    def feed(self, clean: Samples) -> None:
        """All sound, the person's sentences and what is between them."""
        sound = self._steps.whole(clean)
        levels = frame_levels(sound)
        if self._detector is not None:
            levels = np.where(self._detector.through(sound), levels, QUIETEST).astype(np.float32)
        self._levels = np.concatenate([self._levels, levels])
        while len(self._levels) >= SYLLABLE:
            self.peaks.append(float(self._levels[:SYLLABLE].max()))
            self._levels = self._levels[SYLLABLE:]
