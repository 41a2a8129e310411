"""Random records as a person might make them, for the laws of the fold and of the journal."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from hypothesis import strategies as st

from benchvoice.domain.engine import BankOrder, Engine, Fuel, Layout, NumberedFrom, Numbering, ValveGear
from benchvoice.domain.events import (
    Body,
    ContradictionSettled,
    EngineTakenIn,
    Event,
    FindingAdded,
    FindingCorrected,
    FindingsAccepted,
    FindingsDropped,
    LeftUnlooked,
    Overruled,
    ReadAgain,
    Redone,
    SittingOpened,
    Undone,
    UtteranceHeard,
    UtterancesMerged,
    UtteranceSplit,
    WordsCorrected,
)
from benchvoice.domain.findings import Because, Degree, Finding, Flag, Kind, Place
from benchvoice.domain.fold import RunningFold
from benchvoice.domain.readings import Command, Order, Reading
from benchvoice.domain.words import Utterance, Word, typed

STOCK = "E-0417"
SITTING = "E-0417-s1"

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
"""Anything that can be written down, quotes, control and direction characters too."""
seconds = st.floats(0, 40_000, allow_nan=False).map(lambda value: round(value, 3))
shares = st.floats(0, 1, allow_nan=False)
decimals = st.decimals(allow_nan=False, allow_infinity=False, places=6, min_value=-(10**6), max_value=10**6)


def optional(strategy: st.SearchStrategy) -> st.SearchStrategy:
    return st.none() | strategy


places = st.builds(
    Place,
    cylinder=optional(st.integers(1, 16)),
    journal=optional(st.integers(1, 9)),
    bank=optional(st.sampled_from(["left", "right"])),
    end=optional(st.sampled_from(["front", "rear"])),
    level=optional(st.sampled_from(["top", "middle", "bottom"])),
)
reasons = st.builds(
    Because,
    field=texts,
    value=texts,
    rule=texts,
    words=optional(st.tuples(st.integers(0, 9), st.integers(0, 9))),
    utterance=optional(st.integers(0, 99)),
)
findings = st.builds(
    Finding,
    kind=st.sampled_from(list(Kind)),
    part=st.sampled_from(["rod_bearing", "piston", "main_cap", "oil"]),
    place=places,
    condition=optional(st.sampled_from(["wiped", "good", "scored", "worn"])),
    present=st.booleans(),
    degree=optional(st.sampled_from(list(Degree))),
    hedged=st.booleans(),
    quantity=optional(st.sampled_from(["clearance", "diameter"])),
    value=optional(decimals),
    unit=optional(st.sampled_from(["in", "mm"])),
    resolution=optional(decimals.map(abs)),
    upper=optional(decimals),
    bound=optional(st.sampled_from(["at_least", "at_most", "about"])),
    readings=st.lists(decimals, max_size=2).map(tuple),
    action=optional(texts),
    done_by=optional(st.sampled_from(["teardown", "before"])),
    t0=optional(seconds),
    t1=optional(seconds),
    text=texts,
    confidence=shares,
    flags=st.lists(st.sampled_from(list(Flag)), max_size=2, unique=True).map(tuple),
    why=st.lists(reasons, max_size=2).map(tuple),
)
words = st.builds(Word, text=texts, t0=optional(seconds), t1=optional(seconds), confidence=shares)
utterances = st.builds(
    Utterance,
    n=st.integers(0, 99),
    words=st.lists(words, max_size=4).map(tuple),
    t0=optional(seconds),
    t1=optional(seconds),
    confidence=shares,
    domain=st.booleans(),
    recogniser=texts,
    alternatives=st.lists(texts, max_size=2).map(tuple),
    raw=optional(texts),
)
readings = st.builds(
    Reading,
    utterance=utterances,
    findings=st.lists(findings, max_size=3).map(tuple),
    withdraws=st.lists(st.integers(0, 99), max_size=2).map(tuple),
    command=optional(st.builds(Command, order=st.sampled_from(list(Order)), text=texts)),
    domain=st.booleans(),
    rest=st.lists(texts, max_size=2).map(tuple),
)
engines = st.builds(
    Engine,
    stock=st.just(STOCK),
    maker=texts,
    layout=st.sampled_from(list(Layout)),
    cylinders=st.sampled_from([2, 4, 6, 8]),
    mains=optional(st.integers(1, 9)),
    numbering=st.builds(
        Numbering,
        numbered_from=st.sampled_from(list(NumberedFrom)),
        bank_order=st.sampled_from(list(BankOrder)),
        first_bank=st.sampled_from(["left", "right"]),
        confirmed=st.booleans(),
    ),
    valve_gear=st.sampled_from(list(ValveGear)),
    fuel=st.sampled_from(list(Fuel)),
    vin=optional(texts),
    cost=optional(decimals),
    claimed=st.lists(texts, max_size=2).map(tuple),
)

small_findings = st.builds(
    Finding,
    kind=st.just(Kind.CONDITION),
    part=st.sampled_from(["rod_bearing", "piston"]),
    place=st.builds(Place, cylinder=st.integers(1, 2)),
    condition=st.sampled_from(["wiped", "good"]),
    text=st.sampled_from(["one", "two"]),
)
"""So few that they often claim the same."""


def utterance(n: int, text: str = "rod bearing wiped") -> Utterance:
    return replace(typed(n, text), t0=float(n), t1=n + 0.8)


@st.composite
def small_readings(draw: st.DrawFn, n: int) -> Reading:
    struck = draw(st.lists(st.integers(0, max(n - 1, 0)), max_size=1)) if n else []
    return Reading(
        utterance=utterance(n, draw(st.sampled_from(["rod bearing wiped", "piston good", "strike that"]))),
        findings=tuple(draw(st.lists(small_findings, max_size=2))),
        withdraws=tuple(struck),
    )


class Person:
    """Makes events as a person at a review would: what is corrected is there, undo and redo as they are offered."""

    def __init__(self) -> None:
        self.events: list[Event] = []
        self.fold = RunningFold()
        self.heard = 0
        self.split = 0

    def do(self, *bodies: Body) -> None:
        start = len(self.events) + 1
        batch = start if len(bodies) > 1 else None
        new = [
            Event(id=start + k, at=float(start), stock=STOCK, body=body, batch=batch) for k, body in enumerate(bodies)
        ]
        self.events += new
        self.fold.advance(new)

    @property
    def record(self):
        return self.fold.record()


def _act(draw: st.DrawFn, person: Person, what: str) -> None:
    record = person.record
    names = list(record.entries)
    keys = [key for key, said in record.said.items() if not said.blanked]
    number = len(person.events) + 1
    if what == "hear":
        person.do(UtteranceHeard(sitting=SITTING, reading=draw(small_readings(person.heard))))
        person.heard += 1
    elif what == "add":
        n = draw(st.sampled_from([None, *(key[1] for key in keys)]))
        name = f"{SITTING}.hand.{number}"
        person.do(FindingAdded(finding_id=name, sitting=SITTING, n=n, finding=draw(small_findings)))
    elif what == "leave":
        person.do(LeftUnlooked(finding_id=f"{SITTING}.hand.{number}", finding=draw(small_findings)))
    elif what == "overrule":
        person.do(Overruled(subject="cause:dirt", verdict="no"))
    elif what == "undo" and record.undoable:
        person.do(Undone(event=record.undoable[-1]))
    elif what == "redo" and record.redoable:
        person.do(Redone(event=record.redoable[-1]))
    elif names and what in ("accept", "drop", "correct", "several", "settle"):
        _act_on_findings(draw, person, what, names)
    elif keys and what in ("words", "again", "split", "merge"):
        _act_on_words(draw, person, what, [key[1] for key in keys])


def _act_on_findings(draw: st.DrawFn, person: Person, what: str, names: list[str]) -> None:
    chosen = tuple(draw(st.lists(st.sampled_from(names), min_size=1, max_size=3, unique=True)))
    before = person.record.entries[chosen[0]].finding
    corrected = FindingCorrected(finding_id=chosen[0], before=before, after=draw(small_findings))
    if what == "accept":
        person.do(FindingsAccepted(finding_ids=chosen))
    elif what == "drop":
        person.do(FindingsDropped(finding_ids=chosen, reason="no"))
    elif what == "correct":
        person.do(corrected)
    elif what == "settle" and len(chosen) > 1:
        decision = draw(st.sampled_from(["first", "second", "both"]))
        person.do(ContradictionSettled(first=chosen[0], second=chosen[1], decision=decision, reason="seen again"))
    else:
        person.do(corrected, FindingsAccepted(finding_ids=chosen))


def _act_on_words(draw: st.DrawFn, person: Person, what: str, numbers: list[int]) -> None:
    n = draw(st.sampled_from(numbers))
    reading = replace(draw(small_readings(n)), utterance=utterance(n, "piston one good"))
    if what == "words":
        person.do(WordsCorrected(sitting=SITTING, n=n, before="x", after=reading))
    elif what == "again":
        person.do(ReadAgain(sitting=SITTING, n=n, reading=reading))
    elif what == "split":
        new_n = 1_000_000 + person.split
        person.split += 1
        second = replace(reading, utterance=utterance(new_n), withdraws=())
        person.do(UtteranceSplit(sitting=SITTING, n=n, new_n=new_n, first=reading, second=second))
    elif len(numbers) > 1:
        other = draw(st.sampled_from([number for number in numbers if number != n]))
        person.do(UtterancesMerged(sitting=SITTING, n=n, other=other, after=reading))


ACTS = (
    "hear", "hear", "add", "leave", "overrule", "undo", "undo", "redo", "accept", "drop", "correct", "several",
    "settle", "words", "again", "split", "merge",
)  # fmt: skip


@st.composite
def stories(draw: st.DrawFn, acts: tuple[str, ...] = ACTS, max_size: int = 25) -> list[Event]:
    """The events of one engine, from its intake on."""
    person = Person()
    person.do(EngineTakenIn(engine=Engine(stock=STOCK, cost=Decimal("12.30"))))
    person.do(SittingOpened(sitting=SITTING, source="text"))
    for what in draw(st.lists(st.sampled_from(acts), max_size=max_size)):
        _act(draw, person, what)
    return person.events
