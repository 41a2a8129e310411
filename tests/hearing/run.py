"""Takes through the product's real path: cleaned, cut at pauses, recognised, read. Nothing is stood in for.

Sound goes in as it would from a microphone, in the microphone's blocks, on a clock that counts the time of the sound
and the time of the computing: the delay of a finding is what a person would wait for it on one core.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import soundfile

from benchvoice.app.hearing import Listener
from benchvoice.audio.blocks import RATE, Samples
from benchvoice.audio.microphone import BLOCK_SECONDS
from benchvoice.domain.findings import finding_to_contract
from benchvoice.domain.readings import Reading
from benchvoice.domain.words import Utterance, typed
from benchvoice.interpret import Reader
from benchvoice.lexicon import Lexicon
from benchvoice.recognise.base import Recogniser
from tests.hearing import scoring
from tests.hearing.corpus import Take
from tests.hearing.scoring import Tally

BLOCK = round(RATE * BLOCK_SECONDS)
BEFORE = "now for the timing cover"
"""What was spoken of when chatter begins: a part, so that chatter could be taken for more about it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """An utterance and when its findings were there, seconds of sound."""

    reading: Reading
    at: float


@dataclass(slots=True)
class Clock:
    """Time as a person at the microphone has it: sound comes at its own pace, computing takes what it takes."""

    now: float = 0.0
    busy: float = 0.0
    _since: float = field(default_factory=time.thread_time)

    def compute(self) -> None:
        """Add the computing since the last call."""
        moment = time.thread_time()
        self.now += moment - self._since
        self.busy += moment - self._since
        self._since = moment

    def wait_for(self, end: float) -> None:
        """Sound up to `end` is there only at `end`; who is late goes on at once."""
        self.compute()
        self.now = max(self.now, end)


def listen(sound: Samples, recogniser: Recogniser, lexicon: Lexicon, *, before: str = "") -> tuple[list[Came], Clock]:
    """Everything that is heard and read in a sound that comes after `before` was said."""
    listener, reader = Listener(recogniser, first=1), Reader(lexicon)
    context = reader.start()
    if before:
        _, context = reader.read(typed(0, before), context)
    clock, came = Clock(), []

    def take(utterances: Iterable[Utterance]) -> None:
        nonlocal context
        for utterance in utterances:
            reading, context = reader.read(utterance, context)
            clock.compute()
            came.append(Came(reading=reading, at=clock.now))

    for at in range(0, len(sound), BLOCK):
        block = sound[at : at + BLOCK]
        clock.wait_for((at + len(block)) / RATE)
        take(listener.feed(block))
    take(listener.finish())
    clock.compute()
    return came, clock


def score(take: Take, recogniser: Recogniser, lexicon: Lexicon) -> Tally:
    """The figures of one take."""
    sound, rate = soundfile.read(take.path, dtype="float32")
    assert rate == RATE
    before = "" if any(line.domain for line in take.narration.lines) else BEFORE
    came, clock = listen(np.asarray(sound, dtype=np.float32), recogniser, lexicon, before=before)
    tally = Tally(busy_seconds=clock.busy, sound_seconds=take.seconds)
    _score_words(take, came, tally)
    _score_findings(take, came, tally)
    return tally


def _score_words(take: Take, came: Sequence[Came], tally: Tally) -> None:
    """Each utterance belongs to the line that it overlaps most; a line's words are those of its utterances in order."""
    belongs = [_line_of(take, item) for item in came]
    for k, (line, (t0, t1)) in enumerate(zip(take.narration.lines, take.spans, strict=True)):
        mine = [item for item, owner in zip(came, belongs, strict=True) if owner == k]
        heard = [word.text for item in mine for word in item.reading.utterance.words]
        want = line.say.lower().split()
        tally.lines += 1
        tally.told_apart += line.domain == any(_about_the_engine(item) for item in mine)
        tally.speech += t1 - t0
        tally.covered += sum(_overlap(item, t0, t1) for item in mine)
        if line.domain:
            tally.words += len(want)
            tally.word_errors += scoring.word_errors(want, heard)
            right = scoring.words_right(want, heard)
            confidences = [word.confidence for item in mine for word in item.reading.utterance.words]
            tally.word_calibration += list(zip(confidences, right, strict=True))
            if len(mine) == 1:
                tally.calibration.append((mine[0].reading.utterance.confidence, want == heard))
            if line.findings and mine and any(item.reading.findings for item in mine):
                tally.delays.append(mine[-1].at - t1)
        else:
            tally.chatter_seconds += t1 - t0
            tally.chatter_findings += sum(len(item.reading.findings) for item in mine)
    # What was heard where nobody spoke is an error word by word.
    tally.word_errors += sum(
        len(item.reading.utterance.words) for item, k in zip(came, belongs, strict=True) if k is None
    )


def _score_findings(take: Take, came: Sequence[Came], tally: Tally) -> None:
    gone = {n for item in came for n in item.reading.withdraws}
    found = [
        finding_to_contract(finding)
        for item in came
        if item.reading.utterance.n not in gone
        for finding in item.reading.findings
    ]
    wanted = [finding for line in take.narration.lines if not line.withdrawn for finding in line.findings]
    tally.right, tally.missed, tally.wrong = scoring.match(wanted, found)


def _about_the_engine(item: Came) -> bool:
    return item.reading.domain and item.reading.utterance.domain


def _line_of(take: Take, item: Came) -> int | None:
    shares = [_overlap(item, t0, t1) for t0, t1 in take.spans]
    best = int(np.argmax(shares))
    return best if shares[best] > 0 else None


def _overlap(item: Came, t0: float, t1: float) -> float:
    utterance = item.reading.utterance
    return max(0.0, min(t1, utterance.t1 or 0.0) - max(t0, utterance.t0 or 0.0))


def peak_megabytes() -> float:
    """The most memory that this process ever held."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def score_all(takes: Iterable[Take], recogniser: Recogniser, lexicon: Lexicon) -> Iterator[tuple[Take, Tally]]:
    for take in takes:
        yield take, score(take, recogniser, lexicon)
