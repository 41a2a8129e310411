"""The fold's working state: what each kind of event does to the record.

Utterances are keyed by (sitting, n), findings by their id. An id, once given, means the same finding for good: when
words are corrected, a finding that is still claimed keeps its id and what was decided about it, one that isn't is
withdrawn, and a new one gets the next free number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from benchvoice.domain.blanks import blank, blank_mark, within
from benchvoice.domain.engine import Engine
from benchvoice.domain.events import (
    CameraAligned,
    ContradictionSettled,
    EngineTakenIn,
    Event,
    Filed,
    FindingAdded,
    FindingCorrected,
    FindingsAccepted,
    FindingsDropped,
    GapNoted,
    LeftUnlooked,
    Marked,
    Overruled,
    ReadAgain,
    SittingClosed,
    SittingOpened,
    SoundKept,
    StretchBlanked,
    UtteranceHeard,
    UtterancesMerged,
    UtteranceSplit,
    WordsCorrected,
)
from benchvoice.domain.findings import Finding
from benchvoice.domain.readings import Reading
from benchvoice.domain.record import Entry, Record, Revision, Said, Sitting, Status

Key = tuple[str, int]


def finding_id(sitting: str, n: int, k: int) -> str:
    """The id of the k-th finding of an utterance."""
    return f"{sitting}.{n}.{k}"


def hand_id(sitting: str, k: int) -> str:
    """The id of a finding that was added by hand; k is unique in the journal."""
    return f"{sitting}.hand.{k}"


class State:
    """Mutable on the inside, so that a long sitting folds fast; `record` hands out a frozen copy."""

    def __init__(self) -> None:
        self.engine: Engine | None = None
        self.sittings: dict[str, Sitting] = {}
        self.said: dict[Key, Said] = {}
        self.entries: dict[str, Entry] = {}
        self.settled: list[ContradictionSettled] = []
        self.overruled: list[Overruled] = []
        self.revisions: list[Revision] = []
        self.hidden: dict[str, Status] = {}
        """Status that a withdrawn finding had, for the case that the withdrawal goes away."""
        self.struck_by: dict[Key, set[Key]] = {}
        """Which utterances take this one back, as they read now."""
        self.made: dict[Key, int] = {}
        """How many finding ids were given out for each utterance."""
        self.in_order = True
        self.order: list[str] = []
        """Names of the entries in the order of the record, as far as that isn't the order in which they were made."""
        self.by_hand = False
        """There are findings that stand on no utterance, and come last."""

    def apply(self, event: Event) -> None:
        _APPLY[type(event.body)](self, event, event.body)

    def record(self, *, undoable: tuple[int, ...], redoable: tuple[int, ...], last_event: int) -> Record:
        """A frozen copy. Entries stand in the order in which they were said, those without an utterance last."""
        if not self.in_order:
            said = [name for item in self.said.values() for name in item.entries]
            self.order = list(dict.fromkeys((*said, *self.entries)))
            self.in_order = True
        # The entries themselves stay in the order in which they were made, so that it doesn't matter how often the
        # record was asked for meanwhile.
        ordered = {name: self.entries[name] for name in self.order if name in self.entries}
        return Record(
            engine=self.engine,
            sittings=dict(self.sittings),
            said=dict(self.said),
            entries=ordered | self.entries,
            settled=tuple(self.settled),
            overruled=tuple(self.overruled),
            revisions=tuple(self.revisions),
            undoable=undoable,
            redoable=redoable,
            last_event=last_event,
        )

    def copy(self) -> State:
        """The same state, to go on from without changing this one; what it holds is frozen and shared."""
        other = State()
        for name, value in vars(self).items():
            if isinstance(value, dict):
                setattr(other, name, {key: set(item) if isinstance(item, set) else item for key, item in value.items()})
            else:
                setattr(other, name, list(value) if isinstance(value, list) else value)
        return other

    def keep_same(self, before: State) -> None:
        """Where nothing changed, keep the very objects of an earlier state: who follows the record sees at a glance,
        by identity, what an undo changed.
        """
        for old, new in ((before.said, self.said), (before.entries, self.entries), (before.sittings, self.sittings)):
            _keep_same(old, new)

    # Utterances

    def heard(self, sitting: str, reading: Reading) -> None:
        key = (sitting, reading.utterance.n)
        if key in self.said:
            return
        ids = []
        for k, finding in enumerate(reading.findings):
            name = finding_id(sitting, key[1], k)
            self.entries[name] = Entry(
                id=name, sitting=sitting, n=key[1], finding=finding, status=Status.PROPOSED, original=finding
            )
            ids.append(name)
        self.made[key] = len(ids)
        self.said[key] = Said(sitting=sitting, heard=reading, reading=reading, entries=tuple(ids))
        self.in_order = self.in_order and not (ids and self.by_hand)
        if reading.withdraws:
            self._strike(key, (), reading.withdraws)

    def reread(self, key: Key, after: Reading, *, keep_decided: bool) -> None:
        """Put another reading in an utterance's place.

        keep_decided: the words are the same and only the grammar is newer, so findings that the person decided about
        or corrected stay, and what they are the outcome of doesn't come back. Otherwise findings that the new words
        no longer claim are withdrawn. Findings added by hand stay either way.
        """
        said = self.said.get(key)
        if said is None or said.blanked:
            return
        left = [self.entries[name] for name in said.entries if self.entries[name].original is not None]
        kept: list[str] = []
        for finding in after.findings:
            match = next((entry for entry in left if _claims(entry, finding, keep_decided)), None)
            if match is None:
                name = finding_id(key[0], key[1], self.made[key])
                self.made[key] += 1
                self.entries[name] = Entry(
                    id=name, sitting=key[0], n=key[1], finding=finding, status=Status.PROPOSED, original=finding
                )
                if said.withdrawn:
                    self._withdraw(name)
                self.in_order = False
            else:
                left.remove(match)
                name = match.id
                self._stand_again(match, finding, withdrawn=said.withdrawn)
            kept.append(name)
        for entry in left:
            if not (keep_decided and (entry.status is not Status.PROPOSED or entry.corrections)):
                self._withdraw(entry.id)
        rest = [name for name in said.entries if name not in kept]
        self.in_order = self.in_order and said.entries == (*kept, *rest)
        self.said[key] = replace(said, reading=after, entries=(*kept, *rest))
        self._strike(key, said.reading.withdraws, after.withdraws)

    def split(self, body: UtteranceSplit) -> None:
        old, new = (body.sitting, body.n), (body.sitting, body.new_n)
        if old not in self.said or new in self.said or self.said[old].blanked:
            return
        self.reread(old, body.first, keep_decided=False)
        self.heard(body.sitting, replace(body.second, findings=()))
        self._hand_over(old, new)
        self.reread(new, body.second, keep_decided=False)
        self.said[new] = replace(self.said[new], heard=body.second)
        # The new one goes right behind the old one; splits are rare, so the dict is simply made anew.
        order: list[Key] = []
        for key in self.said:
            if key != new:
                order.append(key)
            if key == old:
                order.append(new)
        self.said = {key: self.said[key] for key in order}
        self.in_order = False

    def _hand_over(self, old: Key, new: Key) -> None:
        """What the first half of a split utterance no longer claims goes to the second half, which may."""
        said = self.said[old]
        gone = [name for name in said.entries if name in self.hidden and not said.withdrawn]
        for name in gone:
            self.entries[name] = replace(self.entries[name], n=new[1])
        self.said[old] = replace(said, entries=tuple(name for name in said.entries if name not in gone))
        self.said[new] = replace(self.said[new], entries=tuple(gone))

    def merge(self, body: UtterancesMerged) -> None:
        key, gone = (body.sitting, body.n), (body.sitting, body.other)
        if key == gone or key not in self.said or gone not in self.said:
            return
        other = self.said[gone]
        if self.said[key].blanked or other.blanked:
            return
        self._strike(gone, other.reading.withdraws, ())
        kept = self.said[key]
        del self.said[gone]
        self.said[key] = replace(kept, entries=(*kept.entries, *other.entries))
        self.reread(key, body.after, keep_decided=False)
        if kept.withdrawn:
            for name in other.entries:
                self._withdraw(name)
        self.in_order = False

    def blank(self, body: StretchBlanked) -> None:
        sitting = self.sittings.get(body.sitting)
        if sitting is not None:
            marks = tuple(blank_mark(mark, body.t0, body.t1) for mark in sitting.marks)
            self.sittings[body.sitting] = replace(sitting, marks=marks, blanked=(*sitting.blanked, body))
        for key, said in self.said.items():
            if key[0] != body.sitting or not any(
                within(reading, body.t0, body.t1) for reading in (said.heard, said.reading)
            ):
                continue
            for name in said.entries:
                del self.entries[name]
                self.hidden.pop(name, None)
            empty = blank(said.heard)
            self._strike(key, said.reading.withdraws, ())
            self.said[key] = replace(self.said[key], heard=empty, reading=empty, blanked=True, entries=())

    def _strike(self, key: Key, before: Iterable[int], after: Iterable[int]) -> None:
        """Utterance `key` took `before` back and now takes `after` back."""
        old, new = set(before), set(after)
        for n in sorted(old - new):
            target = (key[0], n)
            strikers = self.struck_by.get(target, set())
            strikers.discard(key)
            if target in self.said and not strikers:
                self.said[target] = replace(self.said[target], withdrawn=False)
                for name in self.said[target].entries:
                    self._restore(name)
        for n in sorted(new - old):
            target = (key[0], n)
            if target not in self.said:
                continue
            self.struck_by.setdefault(target, set()).add(key)
            self.said[target] = replace(self.said[target], withdrawn=True)
            for name in self.said[target].entries:
                self._withdraw(name)

    # Findings

    def _withdraw(self, name: str) -> None:
        entry = self.entries[name]
        if entry.status is not Status.WITHDRAWN:
            self.hidden[name] = entry.status
            self.entries[name] = replace(entry, status=Status.WITHDRAWN)

    def _restore(self, name: str) -> None:
        if name in self.hidden:
            self.entries[name] = replace(self.entries[name], status=self.hidden.pop(name))

    def _stand_again(self, entry: Entry, finding: Finding, *, withdrawn: bool) -> None:
        """An entry whose claim the new reading makes too: it keeps its id and what was decided."""
        if entry.finding.same_claim(finding):
            self.entries[entry.id] = replace(entry, finding=finding)
        if not withdrawn:
            self._restore(entry.id)

    def decide(self, names: Iterable[str], status: Status) -> None:
        for name in names:
            entry = self.entries.get(name)
            if entry is not None and entry.status is not status:
                self.hidden.pop(name, None)
                self.entries[name] = replace(entry, status=status)

    def add(self, name: str, sitting: str, n: int | None, finding: Finding) -> None:
        """A person's own finding is accepted as it is made."""
        self.entries[name] = Entry(id=name, sitting=sitting, n=n, finding=finding, status=Status.ACCEPTED)
        said = self.said.get((sitting, n)) if n is not None else None
        if said is not None and n is not None and name not in said.entries:
            self.said[(sitting, n)] = replace(said, entries=(*said.entries, name))
            self.in_order = False
        else:
            self.by_hand = True

    def correct(self, name: str, after: Finding) -> None:
        """Who corrects a finding has looked at it, so it is accepted with that."""
        entry = self.entries.get(name)
        if entry is not None:
            self.hidden.pop(name, None)
            self.entries[name] = replace(
                entry, finding=after, status=Status.ACCEPTED, corrections=entry.corrections + 1
            )

    def settle(self, body: ContradictionSettled) -> None:
        self.settled.append(body)
        if body.decision == "first":
            self.decide((body.second,), Status.DROPPED)
        elif body.decision == "second":
            self.decide((body.first,), Status.DROPPED)

    # Sittings

    def open(self, event: Event, body: SittingOpened) -> None:
        self.sittings.setdefault(body.sitting, Sitting(opened=body, at=event.at))

    def in_sitting(self, name: str, **changes: Any) -> None:
        """Change a sitting; a tuple is added to what is there, anything else takes its place."""
        sitting = self.sittings.get(name)
        if sitting is not None:
            whole: dict[str, Any] = {
                key: (*getattr(sitting, key), *value) if isinstance(value, tuple) else value
                for key, value in changes.items()
            }
            self.sittings[name] = replace(sitting, **whole)


def _keep_same(old: dict[Any, Any], new: dict[Any, Any]) -> None:
    for key, value in new.items():
        kept = old.get(key)
        if kept is not value and kept == value:
            new[key] = kept


def _claims(entry: Entry, finding: Finding, keep_decided: bool) -> bool:
    if entry.finding.same_claim(finding):
        return True
    return keep_decided and entry.original is not None and entry.original.same_claim(finding)


def _engine(state: State, event: Event, body: EngineTakenIn) -> None:
    state.engine = body.engine


def _sound(state: State, event: Event, body: SoundKept) -> None:
    """A file that is entered again, because a stretch of it was blanked, takes its own place."""
    sitting = state.sittings.get(body.sitting)
    if sitting is None:
        return
    paths = [sound.path for sound in sitting.sounds]
    if body.path in paths:
        sounds = tuple(body if sound.path == body.path else sound for sound in sitting.sounds)
    else:
        sounds = (*sitting.sounds, body)
    state.sittings[body.sitting] = replace(sitting, sounds=sounds)


def _gap(state: State, event: Event, body: GapNoted) -> None:
    """A gap that was noted open is noted again when it ends; that is one gap."""
    sitting = state.sittings.get(body.sitting)
    if sitting is not None:
        others = [gap for gap in sitting.gaps if (gap.t0, gap.why, gap.t1) != (body.t0, body.why, None)]
        state.sittings[body.sitting] = replace(sitting, gaps=(*others, body))


_APPLY: dict[type, Callable[[State, Event, Any], None]] = {
    EngineTakenIn: _engine,
    SittingOpened: lambda state, event, body: state.open(event, body),
    SoundKept: _sound,
    UtteranceHeard: lambda state, event, body: state.heard(body.sitting, body.reading),
    WordsCorrected: lambda state, event, body: state.reread((body.sitting, body.n), body.after, keep_decided=False),
    ReadAgain: lambda state, event, body: state.reread((body.sitting, body.n), body.reading, keep_decided=True),
    UtteranceSplit: lambda state, event, body: state.split(body),
    UtterancesMerged: lambda state, event, body: state.merge(body),
    FindingAdded: lambda state, event, body: state.add(body.finding_id, body.sitting, body.n, body.finding),
    FindingCorrected: lambda state, event, body: state.correct(body.finding_id, body.after),
    FindingsAccepted: lambda state, event, body: state.decide(body.finding_ids, Status.ACCEPTED),
    FindingsDropped: lambda state, event, body: state.decide(body.finding_ids, Status.DROPPED),
    ContradictionSettled: lambda state, event, body: state.settle(body),
    LeftUnlooked: lambda state, event, body: state.add(
        body.finding_id, body.finding_id.split(".", 1)[0], None, body.finding
    ),
    Overruled: lambda state, event, body: state.overruled.append(body),
    Marked: lambda state, event, body: state.in_sitting(body.sitting, marks=(body,)),
    GapNoted: _gap,
    StretchBlanked: lambda state, event, body: state.blank(body),
    CameraAligned: lambda state, event, body: state.in_sitting(body.sitting, cameras=(body,)),
    SittingClosed: lambda state, event, body: state.in_sitting(body.sitting, closed=True, seconds=body.seconds),
    Filed: lambda state, event, body: state.revisions.append(Revision(filed=body, at=event.at, event=event.id)),
}
