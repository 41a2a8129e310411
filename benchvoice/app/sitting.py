"""A sitting: utterances come in, are read and are committed one by one, for whoever else reads the journal to see."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import Final

from benchvoice.domain.events import Body, GapNoted, Marked, SittingClosed, SittingOpened, SoundKept, UtteranceHeard
from benchvoice.domain.readings import Order, Reading
from benchvoice.domain.words import Utterance
from benchvoice.errors import BenchvoiceError
from benchvoice.interpret import Reader
from benchvoice.journal import Journal

_LOG = logging.getLogger(__name__)

LOOK_BACK: Final = 40
"""Utterances read again to know what the talk was about. Nothing is carried further than that."""

SPLIT_BASE: Final = 1_000_000
"""Numbers from here on belong to utterances that a person split off, so that they never meet a live sitting's."""

_MARKS = {Order.MARK, Order.NOTE, Order.QUESTION}


class Listening:
    """One sitting being written. Findings are in the journal as soon as `hear` returns."""

    def __init__(self, journal: Journal, stock: str, sitting: str, reader: Reader) -> None:
        """A sitting that is already in the journal; use `open_sitting` or `carry_on`."""
        self.journal = journal
        self.stock = stock
        self.sitting = sitting
        self.next_n = 0
        self._reader = reader
        self._context = reader.start()
        self._end = 0.0

    def hear(self, utterance: Utterance) -> Reading:
        """Read one utterance and commit it with its findings. An utterance that can't be read is kept as words."""
        also: list[Body] = []
        context = self._context
        try:
            reading, context = self._reader.read(utterance, self._context)
        except Exception as error:
            # A fault of ours in reading must never cost the words that were spoken.
            _LOG.exception("an utterance could not be read")
            reading = Reading(utterance=utterance, rest=tuple(word.text for word in utterance.words))
            also.append(
                GapNoted(
                    sitting=self.sitting, t0=utterance.t0 or 0.0, t1=utterance.t1, why="not_read", detail=repr(error)
                )
            )
        command = reading.command
        if command is not None and command.order in _MARKS:
            also.append(Marked(sitting=self.sitting, what=command.order.value, text=command.text, t=utterance.t0))
        self.journal.append([UtteranceHeard(sitting=self.sitting, reading=reading), *also], self.stock)
        # Only now: an utterance that could not be kept is read again as if it were new.
        self._context = context
        self.next_n = max(self.next_n, utterance.n + 1)
        self._end = max(self._end, utterance.t1 or 0.0)
        return reading

    def peek(self, utterance: Utterance) -> Reading:
        """How an utterance would be read here. Nothing is kept, and nothing carries over from it."""
        return self._reader.read(utterance, self._context)[0]

    def note(self, event: Marked | GapNoted | SoundKept) -> None:
        """Commit something else that happened."""
        self.journal.append(event, self.stock)

    def close(self, seconds: float | None = None, why: str = "done") -> None:
        """Close the sitting; seconds: how long it was, None to take the end of the last utterance."""
        length = self._end if seconds is None else seconds
        self.journal.append(SittingClosed(sitting=self.sitting, seconds=length, why=why), self.stock)

    def resume(self) -> None:
        """Take up what was said so far: numbers go on, and the focus is where it was."""
        record = self.journal.record(self.stock)
        spoken = [said for (sitting, n), said in record.said.items() if sitting == self.sitting and n < SPLIT_BASE]
        for said in spoken[-LOOK_BACK:]:
            _, self._context = self._reader.read(said.reading.utterance, self._context)
        for said in spoken:
            self.next_n = max(self.next_n, said.heard.utterance.n + 1)
            self._end = max(self._end, said.heard.utterance.t1 or 0.0)


def open_sitting(
    journal: Journal,
    stock: str,
    reader: Reader,
    *,
    source: str,
    title: str = "",
    recogniser: str = "",
    grammar: str = "",
) -> Listening:
    """Start a sitting under the next free name of the engine ("E-0417-s3"). UnknownStockError for an unknown engine."""
    with journal.writing():
        own = journal.canonical(stock)
        taken = journal.sittings(own)
        k = len(taken) + 1
        while f"{own}-s{k}" in taken:
            k += 1
        opened = SittingOpened(
            sitting=f"{own}-s{k}", source=source, title=title, recogniser=recogniser, grammar=grammar
        )
        journal.append(opened, own)
    return Listening(journal, own, opened.sitting, reader)


def carry_on(journal: Journal, stock: str, sitting: str, reader: Reader) -> Listening:
    """Go on with a sitting that was cut off."""
    own = journal.canonical(stock)
    if sitting not in journal.sittings(own):
        raise BenchvoiceError(f"{own} has no sitting {sitting}.", hint=f"`benchvoice show {own}` lists them.")
    listening = Listening(journal, own, sitting, reader)
    listening.resume()
    return listening


def listen(listening: Listening, utterances: Iterable[Utterance]) -> Iterator[Reading]:
    """Hear everything that a source gives, yielding each reading once it is committed, and close the sitting.

    When the source fails or the caller stops, what was heard until then stays and the sitting is closed with the
    reason.
    """
    why = "failed"
    try:
        for utterance in utterances:
            yield listening.hear(utterance)
        why = "done"
    except GeneratorExit:
        why = "stopped"
        raise
    except KeyboardInterrupt:
        why = "stopped"
        raise
    finally:
        if why == "done":
            listening.close()
        else:
            # The first error is the one to tell; the sitting is then found unfinished at the next start.
            with suppress(BenchvoiceError):
                listening.close(why=why)
