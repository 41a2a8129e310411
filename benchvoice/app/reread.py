"""Reading utterances again, in the context that they were said in, and what follows for those that came after."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from benchvoice.app.sitting import LOOK_BACK
from benchvoice.domain.readings import Reading
from benchvoice.domain.record import Record, Said
from benchvoice.domain.words import Utterance, Word
from benchvoice.interpret import Reader


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
    old: Any = reader.start()
    for item in said[max(0, first - LOOK_BACK) : first]:
        _, old = reader.read(item.reading.utterance, old)
    new, readings = old, []
    for utterance in utterances:
        reading, new = reader.read(utterance, new)
        readings.append(reading)
    changes = []
    for index, item in enumerate(said[first : first + LOOK_BACK + 1], start=first):
        utterance = item.reading.utterance
        was, old = reader.read(utterance, old)
        if index != first and index not in places:
            now, new = reader.read(utterance, new)
            if _says(was) != _says(now):
                changes.append(Change(sitting=item.sitting, n=utterance.n, before=item.reading, after=now))
        if new == old:
            break
    return readings, changes


def read_sitting(record: Record, sitting: str, reader: Reader) -> Iterator[Change]:
    """Every utterance of a sitting that a reader reads differently from what is in the record, words unchanged."""
    context: Any = reader.start()
    for item in spoken(record, sitting):
        reading, context = reader.read(item.reading.utterance, context)
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
