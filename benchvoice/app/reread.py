"""Reading utterances again, in the context that they were said in, and what follows for those that came after."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from benchvoice.app.sitting import LOOK_BACK, SPLIT_BASE
from benchvoice.domain.readings import Reading
from benchvoice.domain.record import Record, Said
from benchvoice.domain.words import Utterance, Word
from benchvoice.interpret import Context, Reader


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """An utterance that reads differently: `before` is what holds in the record, `after` what would."""

    sitting: str
    n: int
    before: Reading
    after: Reading

    @property
    def differs(self) -> bool:
        """True if other findings are claimed, or other utterances taken back."""
        return _says(self.before) != _says(self.after)


def spoken(record: Record, sitting: str) -> list[Said]:
    """A sitting's utterances as they stand, without those whose words were removed."""
    return [said for (name, _), said in record.said.items() if name == sitting and not said.blanked]


def read_in_place(
    said: Sequence[Said], places: Sequence[int], utterances: Sequence[Utterance], reader: Reader
) -> tuple[list[Reading], list[Change]]:
    """Read `utterances` in the place of those at the indices `places`, in the context of what was said before.

    Returns their readings, and the changes to later utterances whose focus came from there, as far as it carries.
    """
    first = places[0]
    old = reader.start()
    for item in said[max(0, first - LOOK_BACK) : first]:
        _, old = read_next(item.reading.utterance, old, reader)
    new, readings = old, []
    for utterance in utterances:
        reading, new = read_next(utterance, new, reader)
        readings.append(reading)
    changes = []
    for index, item in enumerate(said[first : first + LOOK_BACK + 1], start=first):
        utterance = item.reading.utterance
        was, old = read_next(utterance, old, reader)
        if index != first and index not in places:
            now, new = read_next(utterance, new, reader)
            if _says(was) != _says(now):
                changes.append(Change(sitting=item.sitting, n=utterance.n, before=item.reading, after=now))
        if new == old:
            break
    return readings, changes


def read_next(utterance: Utterance, context: Context, reader: Reader) -> tuple[Reading, Context]:
    """Read an utterance after what was said before it. One that was split off is read as if it had the number of the
    one that it came from, because what carries over is counted in numbers.
    """
    if utterance.n < SPLIT_BASE:
        return reader.read(utterance, context)
    reading, after = reader.read(replace(utterance, n=context.n), context)
    live = tuple(utterance.n if index >= len(context.live) else n for index, n in enumerate(after.live))
    return replace(reading, utterance=utterance), replace(after, live=live)


def read_sitting(record: Record, sitting: str, reader: Reader) -> Iterator[Change]:
    """Every utterance of a sitting that a reader reads differently from what is in the record, words unchanged."""
    context = reader.start()
    for item in spoken(record, sitting):
        reading, context = read_next(item.reading.utterance, context, reader)
        change = Change(sitting=sitting, n=item.reading.utterance.n, before=item.reading, after=reading)
        if change.differs:
            yield change


def cut(utterance: Utterance, at: int, new_n: int) -> tuple[Utterance, Utterance]:
    """Two utterances of one, the second beginning with the word at index `at`."""
    first, second = utterance.words[:at], utterance.words[at:]
    return _stretch(utterance, first), replace(_stretch(utterance, second), n=new_n)


def joined(first: Utterance, second: Utterance) -> Utterance:
    """One utterance of two, under the first one's number."""
    whole = _stretch(first, first.words + second.words)
    return replace(whole, t0=first.t0, t1=second.t1, confidence=min(first.confidence, second.confidence))


def _stretch(utterance: Utterance, words: tuple[Word, ...]) -> Utterance:
    t0, t1 = (words[0].t0, words[-1].t1) if words else (utterance.t0, utterance.t1)
    return replace(utterance, words=words, t0=t0, t1=t1, domain=True, alternatives=(), raw=None)


def _says(reading: Reading) -> tuple[object, ...]:
    return (tuple(finding.claim() for finding in reading.findings), reading.withdraws)
