"""A live sitting: recording, hearing and the journal, brought together.

Three workers run side by side: the recording thread (microphone to disk), the recogniser's process with its supervisor
(disk to words), and this loop (words to findings to the journal). Each can stall or fail without the one before it.
What is heard is committed before it is shown.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from queue import Empty, SimpleQueue
from typing import Protocol, TypeVar

from benchvoice.app.live.packing import Packing
from benchvoice.app.live.plan import Lock, Plan
from benchvoice.app.live.recording import Clocks, Recording
from benchvoice.app.live.signs import (
    AllHeard,
    Committed,
    Gap,
    HeardUpTo,
    Held,
    ReadBack,
    RecordingStopped,
    SegmentDone,
    Sign,
    SilentLong,
    StretchSkipped,
    UtteranceCame,
)
from benchvoice.app.live.supervisor import Supervisor
from benchvoice.app.live.worker import LOG, mostly_within
from benchvoice.audio import playback
from benchvoice.audio import segments as sj
from benchvoice.audio.microphone import LiveSource
from benchvoice.audio.tones import Tone
from benchvoice.audio.watch import SilenceWatch
from benchvoice.domain.events import GapNoted, Marked, SoundKept
from benchvoice.domain.findings import Finding, Flag
from benchvoice.domain.readings import Order, Reading
from benchvoice.domain.words import Utterance
from benchvoice.errors import JournalError

SILENT_SECONDS = 300.0
_UNSURE = (Flag.LOW_CONFIDENCE, Flag.TWO_READINGS, Flag.IMPLAUSIBLE, Flag.NOT_ON_ENGINE)

Kept = TypeVar("Kept")


class Book(Protocol):
    """Where utterances are read and kept: a sitting of an engine's record, or one of no engine."""

    def hear(self, utterance: Utterance) -> Reading: ...

    def peek(self, utterance: Utterance) -> Reading:
        """How it would be read. Nothing is kept, and nothing carries over from it."""
        ...

    def note(self, event: Marked | GapNoted | SoundKept) -> None: ...

    def close(self, seconds: float | None = None, why: str = "done") -> None: ...

    @property
    def next_n(self) -> int: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How a sitting ended. `heard_all` is False if sound is left that nobody has gone through."""

    seconds: float
    utterances: int
    findings: int
    overflows: int
    why: str
    heard_all: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """How a sitting behaves towards the person and the disk."""

    tones: bool = True
    pack: bool = True
    sync_seconds: float = sj.SYNC_SECONDS
    rotate_seconds: float = sj.ROTATE_SECONDS
    silent_seconds: float = SILENT_SECONDS


class LiveSitting:
    """Runs one sitting. `source` None: nothing is recorded, what is unheard is heard, and the sitting is closed.

    `run` belongs to one thread; `stop`, `leave` and `hold` may be called from any other.
    """

    def __init__(
        self,
        plan: Plan,
        book: Book,
        source: LiveSource | None,
        show: Callable[[Sign], None],
        *,
        manner: Manner | None = None,
        describe: Callable[[Finding], str] | None = None,
        clocks: Clocks | None = None,
        refresh: Callable[[], None] | None = None,
    ) -> None:
        self._plan = plan
        self._book = book
        self._show_to = show
        self._manner = manner or Manner()
        self._describe = describe or (lambda finding: finding.text)
        self._signs: SimpleQueue[Sign] = SimpleQueue()
        self._recording = (
            None
            if source is None
            else Recording(
                source,
                plan.folder,
                self._signs.put,
                begin=plan.begin,
                clocks=clocks,
                sync_seconds=self._manner.sync_seconds,
                rotate_seconds=self._manner.rotate_seconds,
                refresh=refresh,
            )
        )
        self.hearing = Supervisor(plan.folder, plan.maker, self._signs.put, since=plan.since)
        self._player = playback.Player() if self._manner.tones else None
        self._packing = Packing(plan.sitting, pack=self._manner.pack)
        self._silence = SilenceWatch(self._manner.silent_seconds)
        self._silence.heard(plan.begin)
        self._first_n = book.next_n
        self._findings = 0
        self._held_since: float | None = None
        self._last: Finding | None = None
        self._reading_back = (0.0, 0.0)
        self._why = "asked"
        self._until = 0.0
        self._finished = False
        self._left = False

    # From other threads

    def stop(self) -> None:
        """End the recording; what was said until now is still heard."""
        if self._recording is not None:
            self._recording.stop()

    def leave(self) -> None:
        """End at once. What is not heard yet stays on disk, and the sitting stays open for another time."""
        self._left = True
        self.stop()
        self.hearing.abandon()

    def hold(self, on: bool) -> None:
        """Let go of the microphone, or take it again."""
        if self._recording is not None:
            self._recording.pause(on)

    @property
    def plan(self) -> Plan:
        return self._plan

    @property
    def book(self) -> Book:
        return self._book

    @property
    def behind(self) -> float:
        """Seconds of sound on disk that have not been gone through yet."""
        until = self._recording.until if self._recording is not None else self._until
        return max(0.0, until - self.hearing.at)

    # The loop

    def run(self) -> Outcome:
        """Until the sitting is over. Raises JournalError if the journal can't be written even after room was made."""
        with Lock(self._plan.folder):
            self._begin()
            try:
                while not self._over():
                    self._turn()
            except BaseException:
                self.leave()
                self._join()
                raise
            self._join()
            self._end()
        overflows = self._recording.overflows if self._recording is not None else 0
        return Outcome(
            seconds=self._until,
            utterances=self._book.next_n - self._first_n,
            findings=self._findings,
            overflows=overflows,
            why=self._why,
            heard_all=self._finished,
        )

    def _begin(self) -> None:
        plan = self._plan
        for segment in sj.segments(plan.folder):
            self._until = max(self._until, segment.end)
            if segment.path.stem not in plan.known:
                self._packing.add(segment)
        if plan.again and self._recording is not None:
            self._note(self._gone(self._until, plan.begin, "broken_off"))
        self.hearing.start()
        if self._recording is not None:
            self._recording.start()
        else:
            self.hearing.end(self._until)

    def _over(self) -> bool:
        stopped = self._recording is None or not self._recording.is_alive()
        return stopped and (self._finished or self._left) and self._signs.empty()

    def _turn(self) -> None:
        try:
            sign = self._signs.get(timeout=0.2)
        except Empty:
            pass
        else:
            self._take(sign)
        self._look_at_silence()
        self._enter_packed()

    def _take(self, sign: Sign) -> None:
        match sign:
            case UtteranceCame(utterance=utterance):
                self._heard(utterance)
                return
            case Gap():
                self._gap(sign)
            case StretchSkipped(t0=t0, t1=t1):
                self._note(self._gone(t0, t1, "recogniser_failed", "kept as sound"))
            case SegmentDone(segment=segment):
                self._packing.add(segment)
            case HeardUpTo(until=until):
                self._packing.heard_up_to(until)
            case RecordingStopped(until=until, why=why):
                self._until, self._why = max(until, self._until), why
                if why != "asked":
                    self._sound(Tone.STOPPED)
                self.hearing.end(until)
            case AllHeard():
                self._finished = True
                self._packing.heard_up_to(float("inf"))
            case _:
                pass
        self._show(sign)

    # What was heard

    def _heard(self, utterance: Utterance) -> None:
        self._silence.heard(utterance.t1 or 0.0)
        t0, t1 = utterance.t0 or 0.0, utterance.t1 or 0.0
        if mostly_within(t0, t1, self._reading_back):
            # Our own voice from the loudspeaker would be filed as a second finding.
            self._note(self._gone(t0, t1, "own_voice", "what was read back"))
            return
        if self._held_since is not None:
            command = self._book.peek(utterance).command
            if command is not None and command.order is Order.CARRY_ON:
                self._carry_on(utterance)
            return
        numbered = replace(utterance, n=self._book.next_n)
        reading = self._kept_at_last(lambda: self._book.hear(numbered))
        self._findings += len(reading.findings)
        self._show(Committed(reading=reading))
        self._answer(reading)

    def _answer(self, reading: Reading) -> None:
        """The tone for what was heard, and what a command asks for."""
        order = reading.command.order if reading.command is not None else None
        if order is Order.HOLD:
            self._held_since = reading.utterance.t1 or self._until
            self._sound(Tone.HELD)
            self._show(Held(on=True, by="voice"))
        elif order is Order.READ_BACK:
            self._read_back(reading.utterance.t1 or 0.0)
        elif reading.withdraws:
            self._sound(Tone.STRUCK)
        elif reading.findings:
            unsure = any(flag in _UNSURE for finding in reading.findings for flag in finding.flags)
            self._sound(Tone.NOT_SURE if unsure else Tone.HEARD)
        if reading.findings:
            self._last = reading.findings[-1]

    def _carry_on(self, utterance: Utterance) -> None:
        since, self._held_since = self._held_since, None
        assert since is not None
        self._note(self._gone(since, utterance.t1 or since, "hold", "by voice; the sound is kept"))
        self._sound(Tone.CARRIED_ON)
        self._show(Held(on=False, by="voice"))

    def _read_back(self, since: float) -> None:
        text = self._describe(self._last) if self._last is not None else "Nothing yet."
        aloud = playback.say(text)
        if aloud:
            now = self._recording.until if self._recording is not None else since
            self._reading_back = (since, max(now, since) + playback.seconds_to_say(text))
        self._show(ReadBack(text=text, aloud=aloud))

    def _gap(self, gap: Gap) -> None:
        self._note(self._gone(gap.t0, gap.t1, gap.why, gap.detail))
        if gap.why in ("device_gone", "hold"):
            away = gap.t1 is None
            stopped = Tone.STOPPED if gap.why == "device_gone" else Tone.HELD
            self._sound(stopped if away else Tone.CARRIED_ON)
            self._show(Held(on=away, by="device" if gap.why == "device_gone" else "key"))

    def _look_at_silence(self) -> None:
        recording = self._recording
        if recording is None or not recording.is_alive() or self._held_since is not None:
            return
        if self._silence.due(recording.until):
            self._show(SilentLong(seconds=self._manner.silent_seconds))

    # The end

    def _join(self) -> None:
        if self._recording is not None:
            self._recording.join()
        self.hearing.join()
        log = self._plan.folder / LOG
        if log.exists() and not log.stat().st_size:
            log.unlink()

    def _end(self) -> None:
        while not self._signs.empty():
            self._take(self._signs.get())
        if self._held_since is not None:
            self._note(self._gone(self._held_since, self._until, "hold", "by voice; the sound is kept"))
        if not self._finished:
            self._enter_packed(wait=True)
            self._packing.close()
            return
        self._packing.heard_up_to(float("inf"))
        self._enter_packed(wait=True)
        self._packing.close()
        why = "done" if self._why == "asked" else self._why
        self._kept_at_last(lambda: self._book.close(round(self._until, 3), why))

    # Small things

    def _show(self, sign: Sign) -> None:
        """Show it. Where nobody can see it any more (the terminal was closed), the sitting is ended in good order."""
        try:
            self._show_to(sign)
        except OSError:
            self._show_to = lambda sign: None
            self.stop()

    def _gone(self, t0: float, t1: float | None, why: str, detail: str = "") -> GapNoted:
        end = None if t1 is None else round(t1, 3)
        return GapNoted(sitting=self._plan.sitting, t0=round(t0, 3), t1=end, why=why, detail=detail)

    def _enter_packed(self, *, wait: bool = False) -> None:
        for event in self._packing.done(wait=wait):
            self._note(event)

    def _note(self, event: GapNoted | SoundKept) -> None:
        self._kept_at_last(lambda: self._book.note(event))

    def _kept_at_last(self, keep: Callable[[], Kept]) -> Kept:
        """Keep something in the journal. If the disk is full, end the recording, which frees the room that was set
        aside, and try again.
        """
        try:
            return keep()
        except JournalError:
            if self._recording is None or not self._recording.is_alive():
                raise
            self._recording.give_up("disk_full")
            self._recording.join()
            return keep()

    def _sound(self, tone: Tone) -> None:
        if self._player is not None and not self._player.tone(tone):
            self._player = None
