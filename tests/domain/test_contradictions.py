from __future__ import annotations

import pytest

from benchvoice.domain.contradictions import Why, conflict, contradictions
from benchvoice.domain.events import ContradictionSettled, FindingAdded, UtteranceHeard
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.readings import Reading
from tests.domain.strategies import SITTING, utterance
from tests.domain.test_fold import person

OPPOSITES = {
    "good": {"worn", "wiped", "scored"},
    "wiped": {"good"},
    "worn": {"good"},
    "scored": {"good"},
    "dry": {"wet"},
    "wet": {"dry"},
}


def condition(name: str, *, present: bool = True, part: str = "cylinder_bore", **place: object) -> Finding:
    return Finding(kind=Kind.CONDITION, part=part, place=Place(**place), condition=name, present=present)


def measured(**place: object) -> Finding:
    return Finding(kind=Kind.MEASUREMENT, part="cylinder_bore", place=Place(**place), quantity="diameter")


def unseen(**place: object) -> Finding:
    return Finding(kind=Kind.UNSEEN, part="cylinder_bore", place=Place(**place))


CLASHES = [
    (condition("good", cylinder=3), condition("wiped", cylinder=3), Why.OPPOSITE),
    (condition("wiped", cylinder=3), condition("good", cylinder=3), Why.OPPOSITE),
    (condition("scored", cylinder=3, present=False), condition("scored", cylinder=3), Why.ABSENT),
    (condition("scored", cylinder=3, level="top"), condition("scored", cylinder=3, present=False), Why.ABSENT),
    (condition("good", cylinder=3), condition("scored", cylinder=3, level="top"), Why.OPPOSITE),
    (condition("good"), condition("worn"), Why.OPPOSITE),
    (measured(cylinder=2), unseen(cylinder=2), Why.UNSEEN),
    (condition("good", cylinder=2, level="top"), unseen(cylinder=2), Why.UNSEEN),
]
NO_CLASHES = [
    (condition("good", cylinder=3), condition("wiped", cylinder=4)),
    (condition("good"), condition("wiped", cylinder=4)),  # a rule and its exception
    (condition("good", cylinder=3, part="piston"), condition("wiped", cylinder=3)),
    (condition("scored", cylinder=3), condition("worn", cylinder=3)),
    (condition("scored", cylinder=3), condition("good", cylinder=3, level="bottom")),
    (condition("scored", cylinder=3, level="bottom", present=False), condition("scored", cylinder=3)),
    (condition("good", cylinder=3, level="top"), condition("scored", cylinder=3, level="bottom")),
    (condition("dry", cylinder=3), condition("wet", cylinder=3, level="top")),
    (condition("wiped", cylinder=3, present=False), condition("good", cylinder=3)),
    (unseen(cylinder=2), condition("good", cylinder=2)),  # looked at later
    (measured(cylinder=2), measured(cylinder=2)),
]


@pytest.mark.parametrize(("first", "second", "why"), CLASHES)
def test_what_cant_both_be_true(first: Finding, second: Finding, why: Why) -> None:
    assert conflict(first, second, OPPOSITES) is why


@pytest.mark.parametrize(("first", "second"), NO_CLASHES)
def test_what_can(first: Finding, second: Finding) -> None:
    assert conflict(first, second, OPPOSITES) is None


def hear(someone, n: int, finding: Finding) -> None:
    someone.do(UtteranceHeard(sitting=SITTING, reading=Reading(utterance=utterance(n), findings=(finding,))))


def test_each_pair_of_claims_is_listed_once_however_often_it_was_said():
    someone = person()
    for n in range(50):
        hear(someone, 2 * n, condition("good", cylinder=3))
        hear(someone, 2 * n + 1, condition("wiped", cylinder=3))
    (found,) = contradictions(someone.record, OPPOSITES)
    assert (found.first.id, found.second.id) == (f"{SITTING}.98.0", f"{SITTING}.99.0")
    assert len(found.also_first) == len(found.also_second) == 49


def test_a_decision_holds_for_all_that_claims_the_same():
    someone = person()
    hear(someone, 0, condition("good", cylinder=3))
    hear(someone, 1, condition("wiped", cylinder=3))
    (found,) = contradictions(someone.record, OPPOSITES)
    someone.do(ContradictionSettled(first=found.first.id, second=found.second.id, decision="both", reason="two shells"))
    assert not contradictions(someone.record, OPPOSITES)
    hear(someone, 2, condition("good", cylinder=3))
    assert not contradictions(someone.record, OPPOSITES)
    someone.do(FindingAdded(finding_id="x", sitting=SITTING, n=None, finding=condition("worn", cylinder=3)))
    assert len(contradictions(someone.record, OPPOSITES)) == 1


def test_dropping_either_ends_it():
    someone = person()
    hear(someone, 0, condition("good", cylinder=3))
    hear(someone, 1, condition("wiped", cylinder=3))
    (found,) = contradictions(someone.record, OPPOSITES)
    someone.do(ContradictionSettled(first=found.first.id, second=found.second.id, decision="first"))
    assert not contradictions(someone.record, OPPOSITES)
    assert [entry.id for entry in someone.record.standing()] == [found.first.id]
