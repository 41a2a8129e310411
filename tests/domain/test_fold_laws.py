"""Laws of the fold, each for any story that a person could make."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from benchvoice.domain.events import CORRECTIONS, Event, Redone, Undone
from benchvoice.domain.fold import RunningFold, fold
from benchvoice.domain.record import Record, Status
from tests.domain.strategies import ACTS, stories

LAWS = settings(max_examples=150, deadline=None)


def plain(record: Record) -> tuple[object, ...]:
    """All that a record says, order included, without the bookkeeping of undo."""
    bare = replace(record, undoable=(), redoable=(), last_event=0)
    return bare, list(bare.said), list(bare.entries), list(bare.sittings)


def back(events: list[Event], kind: type[Undone] | type[Redone]) -> list[Event]:
    """The story with undo (or redo) pressed until nothing is left to press it for."""
    story = list(events)
    running = RunningFold()
    running.advance(story)
    while True:
        record = running.record()
        left = record.undoable if kind is Undone else record.redoable
        if not left:
            return story
        story.append(Event(id=len(story) + 1, at=0.0, stock="E-0417", body=kind(event=left[-1])))
        running.advance(story[-1:])


@LAWS
@given(stories())
def test_undo_of_everything_returns_the_exact_start(events: list[Event]) -> None:
    start = [event for event in events if not isinstance(event.body, (*CORRECTIONS, Undone, Redone))]
    assert plain(fold(back(events, Undone))) == plain(fold(start))


@LAWS
@given(stories())
def test_redo_of_everything_returns_the_exact_end(events: list[Event]) -> None:
    ended = back(events, Redone)
    assert plain(fold(back(back(ended, Undone), Redone))) == plain(fold(ended))


@LAWS
@given(stories())
def test_an_undone_event_counts_as_if_it_had_never_been(events: list[Event]) -> None:
    record = fold(events)
    counts = set(record.undoable)
    kept = [
        event for event in events if event.id in counts or not isinstance(event.body, (*CORRECTIONS, Undone, Redone))
    ]
    assert plain(fold(kept)) == plain(record)


@LAWS
@given(stories(), st.lists(st.integers(1, 5), max_size=30))
def test_carrying_a_fold_on_gives_the_same_as_folding_at_once(events: list[Event], sizes: list[int]) -> None:
    running, left = RunningFold(), list(events)
    for size in sizes:
        running.advance(left[:size])
        running.record()
        left = left[size:]
    running.advance(left)
    whole = fold(events)
    assert running.record() == whole
    assert plain(running.record()) == plain(whole)


@LAWS
@given(stories())
def test_a_record_that_was_handed_out_never_changes(events: list[Event]) -> None:
    running = RunningFold()
    half = len(events) // 2
    running.advance(events[:half])
    before = running.record()
    copy = plain(before)
    running.advance(events[half:])
    running.record()
    assert plain(before) == copy


@LAWS
@given(stories())
def test_every_event_twice_is_every_event_once(events: list[Event]) -> None:
    running = RunningFold()
    running.advance(events)
    running.advance(events)
    assert running.record() == fold(events)


@LAWS
@given(stories(acts=tuple(act for act in ACTS if act not in ("undo", "redo"))))
def test_an_id_means_one_finding_for_good(events: list[Event]) -> None:
    first: dict[str, object] = {}
    running = RunningFold()
    for event in events:
        running.advance([event])
        for name, entry in running.record().entries.items():
            assert name == entry.id
            assert first.setdefault(name, entry.original) == entry.original


@LAWS
@given(stories())
def test_every_utterance_lists_its_findings_and_nothing_else(events: list[Event]) -> None:
    record = fold(events)
    listed = [name for said in record.said.values() for name in said.entries]
    assert len(listed) == len(set(listed))
    assert set(listed) <= set(record.entries)
    for name, entry in record.entries.items():
        if entry.n is not None and (entry.sitting, entry.n) in record.said:
            assert name in listed


@LAWS
@given(stories())
def test_what_was_taken_back_stands_only_if_the_person_said_so(events: list[Event]) -> None:
    record = fold(events)
    for said in record.said.values():
        if said.withdrawn:
            assert all(record.entries[name].status is not Status.PROPOSED for name in said.entries)
