"""Sets a live sitting up with stand-ins for device and recogniser, and looks at what it left behind."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from benchvoice.app.live import plan as plans
from benchvoice.app.live.ear import EarMaker
from benchvoice.app.live.recording import Clocks
from benchvoice.app.live.signs import Sign
from benchvoice.app.live.sitting import LiveSitting, Manner
from benchvoice.audio import segments as sj
from benchvoice.audio.follow import read_stretch
from benchvoice.audio.microphone import LiveSource
from benchvoice.domain.record import Record
from benchvoice.journal.journal import Journal
from tests.faults.books import SITTING, STOCK, RuleBook
from tests.faults.devices import counting

QUIET = Manner(tones=False)
EVERY = 0.2


def metronome(**given: object) -> EarMaker:
    return EarMaker(where="tests.faults.ears:metronome", given={"every": EVERY, **given})


def sitting(
    home: Path,
    book: RuleBook,
    source: LiveSource | None,
    *,
    maker: EarMaker | None = None,
    show: Callable[[Sign], None] | None = None,
    manner: Manner = QUIET,
    again: Record | None = None,
    clocks: Clocks | None = None,
    refresh: Callable[[], None] | None = None,
) -> LiveSitting:
    """A sitting whose sound lies in `home`. `again`: the record, to take up the one that broke off."""
    base = home / "sound"
    ear = maker or metronome()
    plan = plans.fresh(SITTING, ear, base=base) if again is None else plans.again(again, SITTING, ear, base=base)
    return LiveSitting(plan, book, source, show or (lambda sign: None), manner=manner, clocks=clocks, refresh=refresh)


def on_disk(home: Path) -> list[sj.Segment]:
    return sj.segments(home / "sound" / SITTING)


def is_counting(home: Path, segment: sj.Segment, first: int) -> bool:
    """True if the segment holds `counting` from sample `first` on, bit by bit."""
    sound = read_stretch(home / "sound" / SITTING, segment.start, segment.end)
    pcm = np.round(sound * 32767.0).astype("<i2").tobytes()
    return pcm[: 2 * segment.samples] == counting(first, segment.samples)


def ticks(record: Record) -> list[int]:
    """Which beats of the metronome are in the record, by number."""
    ends = [said.heard.utterance.t1 for said in record.said.values()]
    return sorted(round(end / EVERY) for end in ends if end is not None)


def values(journal: Journal) -> list[int]:
    """The numbers of the utterances whose findings stand in the journal."""
    return sorted(int(entry.finding.value or 0) - 100 for entry in journal.record(STOCK).standing())
