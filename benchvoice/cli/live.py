"""`benchvoice hear --mic`: a live sitting on a terminal."""

from __future__ import annotations

import os
import shutil
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

from benchvoice.cli import messages, options
from benchvoice.cli.readings import Printer, printer

if TYPE_CHECKING:
    from benchvoice.app.live.opening import Equipment, Unfinished
    from benchvoice.app.live.signs import Sign
    from benchvoice.app.live.sitting import LiveSitting, Outcome
    from benchvoice.audio.microphone import LiveSource
    from benchvoice.journal import Journal

WHAT_NOW = ("continue", "close", "leave")

WHY = {
    "overflow": "The sound system lost some sound",
    "device_gone": "The microphone is gone",
    "asleep": "The machine slept",
    "hold": "On hold",
    "broken_off": "The sitting had broken off",
}


def listen(
    stock: str | None,
    *,
    name: str | None,
    recogniser: str | None,
    tones: bool,
    as_json: bool,
    what_now: str | None,
    source: LiveSource | None = None,
) -> None:
    """Hear a microphone until Ctrl-C. `what_now` answers what to do with a sitting that broke off; None asks."""
    from benchvoice import lexicon as words
    from benchvoice.app import settings
    from benchvoice.app.live import opening
    from benchvoice.app.live.sitting import Manner
    from benchvoice.audio.microphone import Microphone, find

    microphone = source
    if microphone is None:
        wanted = name or settings.load().microphone or None
        found = find(wanted)
        if name:
            settings.save(microphone=found.name)
        microphone = Microphone(wanted)
    _check_recogniser(recogniser)
    lexicon = words.load()
    messages.say("Getting ready; what you say from now on is kept.")
    equipment = opening.Equipment(lexicon=lexicon, recogniser=recogniser, manner=Manner(tones=tones))
    show = printer(lexicon, as_json=as_json)
    if stock is None:
        with _screen(show) as screen:
            live = opening.loose_sitting(microphone, equipment, screen)
            outcome = _run(live)
        messages.say(_told(outcome))
        messages.say(f"No engine was named: nothing is in a record. The sound is in {live.plan.folder}.")
        return
    with options.journal() as journal:
        own = journal.canonical(stock)
        broken = _broken_off(journal, own, equipment, show, what_now)
        with _screen(show) as screen:
            if broken is not None:
                live = opening.taken_up(journal, broken, microphone, equipment, screen)
            else:
                live = opening.new_sitting(journal, own, microphone, equipment, screen)
            outcome = _run(live)
    messages.say(_told(outcome))
    messages.say(f"Kept as {live.plan.sitting}. `benchvoice review {own}` goes through it.")


def _check_recogniser(name: str | None) -> None:
    """Refuse one that can't be used before anything is recorded. BenchvoiceError says why."""
    from benchvoice.errors import BenchvoiceError
    from benchvoice.recognise import available

    there = {item.name: item for item in available() if item.name != "text"}
    if name is not None and name not in there:
        raise BenchvoiceError(f"There is no recogniser {name} for sound.", hint=f"Known: {', '.join(there)}.")
    if name is not None and not there[name].usable:
        raise BenchvoiceError(f"The recogniser {name} can't be used: {there[name].why}")


def _broken_off(
    journal: Journal, stock: str, equipment: Equipment, show: Printer, what_now: str | None
) -> Unfinished | None:
    """Deal with sittings that broke off; gives the one that is to go on, if any."""
    from benchvoice.app.live import opening

    for other in opening.unfinished(journal):
        if other.stock != stock:
            messages.say(f"{other.sitting} was not closed either; `benchvoice hear --mic --engine {other.stock}` does.")
    for broken in opening.unfinished(journal, stock):
        when = time.strftime("%Y-%m-%d %H:%M", time.localtime(broken.at))
        messages.say(
            f"The sitting {broken.sitting} of {when} was not closed; {broken.recorded - broken.heard:.0f} s of its "
            f"{broken.recorded:.0f} s of sound have not been heard yet."
        )
        answer = what_now or _ask()
        if answer == "continue":
            return broken
        if answer == "close":
            with _screen(show) as screen:
                outcome = _run(opening.taken_up(journal, broken, None, equipment, screen))
            messages.say(f"Closed {broken.sitting}: {outcome.utterances} utterances were heard in what was left.")
    return None


def _ask() -> str:
    if not sys.stdin.isatty():
        return "close"
    choice: str = click.prompt(
        "Continue it, close it (what is left is heard first), or leave it",
        type=click.Choice(WHAT_NOW),
        default="continue",
        err=True,
    )
    return choice


def _run(live: LiveSitting) -> Outcome:
    """Ctrl-C ends the recording and lets what was said be heard; a second one leaves at once."""
    pressed = 0

    def interrupted(*_: object) -> None:
        nonlocal pressed
        pressed += 1
        if pressed == 1:
            live.stop()
        else:
            live.leave()

    before = {number: signal.signal(number, interrupted) for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)}
    try:
        return live.run()
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _told(outcome: Outcome) -> str:
    minutes = f"{int(outcome.seconds) // 60}:{int(outcome.seconds) % 60:02d}"
    text = f"{minutes} recorded, {outcome.utterances} utterances, {outcome.findings} findings."
    if outcome.why == "disk_full":
        text += " The disk is full: recording stopped, everything until then is kept. Free some space and go on."
    elif outcome.why not in ("asked", "done"):
        text += f" Recording stopped by itself ({outcome.why})."
    if outcome.overflows:
        text += f" The sound system lost sound {outcome.overflows} times; the gaps are in the record."
    if not outcome.heard_all:
        text += " What was not heard yet is kept as sound; the next sitting offers to hear it."
    return text


@contextmanager
def _screen(show: Printer) -> Iterator[Callable[[Sign], None]]:
    """Shows signs: utterances as they are committed, and below them a status line where there is a terminal."""
    teller = Teller(show)
    if not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        yield teller.take
        return
    line = StatusLine()
    try:
        yield lambda sign: line.around(teller, sign)
    finally:
        line.clear()


class StatusLine:
    """The last line of the terminal, on standard error: taken away before anything is printed, and drawn again after.

    Standard output is left alone, so that it can be piped while the line stays on the terminal.
    """

    SECONDS = 0.1

    def __init__(self) -> None:
        self._drawn = False
        self._at = 0.0

    def around(self, teller: Teller, sign: Sign) -> None:
        quiet = teller.is_quiet(sign)
        if not quiet:
            self.clear()
        teller.take(sign)
        now = time.monotonic()
        if not quiet or now - self._at >= self.SECONDS:
            self._at = now
            width = shutil.get_terminal_size().columns - 1
            sys.stderr.write(f"\r\x1b[2K{teller.status()[:width]}")
            sys.stderr.flush()
            self._drawn = True

    def clear(self) -> None:
        if self._drawn:
            sys.stderr.write("\r\x1b[2K")
            sys.stderr.flush()
            self._drawn = False


class Teller:
    """Turns signs into lines for the person, and keeps what the status line shows."""

    def __init__(self, show: Printer) -> None:
        self._show = show
        self._level: Any = None
        self._until = 0.0
        self._through = 0.0
        self._held = ""
        self._listening = False
        self._warned_clipping = False

    def is_quiet(self, sign: Sign) -> bool:
        """True for a sign that only changes the status line."""
        from benchvoice.app.live import signs

        if isinstance(sign, signs.Level):
            return not sign.loudness.clipping or self._warned_clipping
        return isinstance(sign, (signs.HeardUpTo, signs.SegmentDone, signs.AllHeard))

    def take(self, sign: Sign) -> None:
        from benchvoice.app.live import signs

        match sign:
            case signs.Level(until=until, loudness=loudness):
                self._until, self._level = until, loudness
                self._warn_clipping(loudness.clipping)
            case signs.HeardUpTo(until=until):
                self._through = until
            case signs.EarReady(recogniser=recogniser):
                if not self._listening:
                    messages.say(f"Listening with {recogniser}. Ctrl-C ends the sitting.")
                self._listening = True
            case signs.Committed(reading=reading):
                self._show(reading)
            case signs.Held(on=on, by=by):
                self._held = f"on hold (by {by})" if on else ""
                messages.say(f"On hold, by {by}." if on else "Carrying on.")
            case signs.ReadBack(text=text, aloud=aloud):
                if not aloud:
                    messages.say(f"\n    >>>  {text.upper()}  <<<\n")
            case _:
                self._warn(sign)

    def _warn(self, sign: Sign) -> None:
        from benchvoice.app.live import signs

        match sign:
            case signs.Gap(t0=t0, t1=None, why=why, detail=detail):
                messages.say(f"{WHY.get(why, why)} at {t0:.0f} s. {detail} It goes on as soon as it can.".strip())
            case signs.Gap(t0=t0, t1=float(t1), why=why, detail=detail):
                lost = f"{t1 - t0:.1f} s" if t1 > t0 else detail
                messages.say(f"{WHY.get(why, why)}: {lost} from {t0:.0f} s on are missing; it is in the record.")
            case signs.SpaceLow(minutes=minutes):
                messages.say(f"The disk has room for {minutes:.0f} minutes more.")
            case signs.SilentLong(seconds=seconds):
                messages.say(f"Nothing was heard for {seconds / 60:.0f} minutes. Is the microphone on?")
            case signs.EarDied(since=since, detail=detail):
                messages.say(
                    f"The recogniser failed at {since:.0f} s and is started again; recording goes on. {detail}"
                )
            case signs.StretchSkipped(t0=t0, t1=t1):
                messages.say(f"{t0:.1f} to {t1:.1f} s could not be heard; the sound is kept and marked.")
            case signs.RecordingStopped(why=why) if why != "asked":
                messages.say(f"RECORDING STOPPED ({why.replace('_', ' ')}).")

    def _warn_clipping(self, clipping: bool) -> None:
        if clipping and not self._warned_clipping:
            messages.say("The sound is too loud and clips: turn the microphone down.")
        self._warned_clipping = clipping

    def status(self) -> str:
        """One line: time, meter, how far hearing is behind, hold."""
        minutes = f"{int(self._until) // 60}:{int(self._until) % 60:02d}"
        rms = -120.0 if self._level is None else self._level.rms
        bars = max(0, min(24, round((rms + 66) / 2.5)))
        clip = " TOO LOUD" if self._level is not None and self._level.clipping else ""
        behind = self._until - self._through
        late = f"  hearing is {behind:.0f} s behind" if behind > 10.0 else ""
        held = f"  {self._held.upper()}" if self._held else ""
        return f"{minutes} |{'#' * bars}{'.' * (24 - bars)}|{clip}{late}{held}"
