"""Saying one line again: the microphone listens until something was said, and gives the words."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from queue import Empty, SimpleQueue

from benchvoice.app.live.ear import Ear, EarMaker
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.microphone import Delivery, LiveSource, Microphone
from benchvoice.domain.words import Utterance
from benchvoice.errors import SoundError

PATIENCE = 12.0
"""Seconds after which nobody is going to speak any more."""


def hear_once(
    source: LiveSource | None = None,
    ear: Ear | None = None,
    *,
    patience: float = PATIENCE,
    stopped: Callable[[], bool] = lambda: False,
) -> Utterance:
    """The first utterance that the microphone brings. `stopped` is asked all the time whether to give up.

    SoundError where there is no microphone, or nothing was said.
    """
    microphone = source or Microphone()
    listener = ear or EarMaker()(lambda t0, t1: True)
    listener.begin(0.0)
    for samples in _samples(microphone, patience, stopped):
        for utterance in listener.feed(samples):
            if utterance.words:
                return utterance
    for utterance in listener.finish():
        if utterance.words:
            return utterance
    raise SoundError("Nothing was heard.", hint="Say the line again, closer to the microphone.")


def hear_words(stopped: Callable[[], bool]) -> str:
    """The words of the first utterance from the system's microphone."""
    return hear_once(stopped=stopped).text


def _samples(source: LiveSource, patience: float, stopped: Callable[[], bool]) -> Iterator[Samples]:
    """Mono sound at the recogniser's rate, as it comes, until the patience is over or the device is gone."""
    import numpy as np
    import soxr

    deliveries: SimpleQueue[Delivery] = SimpleQueue()
    source.start(deliveries)
    try:
        stream = soxr.ResampleStream(source.rate, RATE, 1, dtype="float32")
        end = time.monotonic() + patience
        while time.monotonic() < end and not stopped():
            with suppress(Empty):
                pcm = deliveries.get(timeout=0.1).pcm
                yield stream.resample_chunk(np.frombuffer(pcm, dtype="<i2").astype(np.float32) / np.float32(32768))
                continue
            if not source.alive:
                return
    finally:
        source.stop()
