"""What each event does to the record, by example."""

from __future__ import annotations

from dataclasses import replace

from benchvoice.domain.engine import Engine
from benchvoice.domain.events import (
    ContradictionSettled,
    EngineTakenIn,
    Filed,
    FindingAdded,
    FindingCorrected,
    FindingsAccepted,
    FindingsDropped,
    GapNoted,
    LeftUnlooked,
    Marked,
    ReadAgain,
    Redone,
    SittingClosed,
    SittingOpened,
    SoundKept,
    StretchBlanked,
    Undone,
    UtteranceHeard,
    UtterancesMerged,
    UtteranceSplit,
    WordsCorrected,
)
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.readings import Reading
from benchvoice.domain.record import Status
from tests.domain.strategies import SITTING, STOCK, Person, utterance


def finding(condition: str = "wiped", cylinder: int = 3, part: str = "rod_bearing") -> Finding:
    return Finding(kind=Kind.CONDITION, part=part, place=Place(cylinder=cylinder), condition=condition)


def reading(n: int, *findings: Finding, text: str = "rod bearing wiped", withdraws: tuple[int, ...] = ()) -> Reading:
    return Reading(utterance=utterance(n, text), findings=findings, withdraws=withdraws)


def heard(n: int, *findings: Finding, withdraws: tuple[int, ...] = ()) -> UtteranceHeard:
    return UtteranceHeard(sitting=SITTING, reading=reading(n, *findings, withdraws=withdraws))


def person() -> Person:
    out = Person()
    out.do(EngineTakenIn(engine=Engine(stock=STOCK)))
    out.do(SittingOpened(sitting=SITTING, source="text"))
    return out


def statuses(someone: Person) -> dict[str, str]:
    return {name.removeprefix(f"{SITTING}."): entry.status.value for name, entry in someone.record.entries.items()}


def test_a_heard_finding_is_proposed_under_a_name_made_of_sitting_utterance_and_count():
    someone = person()
    someone.do(heard(0, finding(), finding("scored")))
    assert statuses(someone) == {"0.0": "proposed", "0.1": "proposed"}
    entry = someone.record.entries[f"{SITTING}.0.1"]
    assert entry.finding == entry.original == finding("scored")
    assert someone.record.said[(SITTING, 0)].entries == (f"{SITTING}.0.0", f"{SITTING}.0.1")


def test_a_strike_by_voice_takes_the_utterance_and_its_findings_back():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(heard(1, withdraws=(0,)))
    assert someone.record.said[(SITTING, 0)].withdrawn
    assert statuses(someone) == {"0.0": "withdrawn"}
    assert not someone.record.standing()


def test_a_misheard_strike_is_lifted_when_its_words_are_corrected():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)))
    someone.do(heard(1, withdraws=(0,)))
    someone.do(WordsCorrected(sitting=SITTING, n=1, before="strike that", after=reading(1, text="stripe on that")))
    assert not someone.record.said[(SITTING, 0)].withdrawn
    assert statuses(someone) == {"0.0": "accepted"}


def test_two_strikes_must_both_go_before_what_they_struck_comes_back():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(heard(1, withdraws=(0,)))
    someone.do(heard(2, withdraws=(0,)))
    someone.do(WordsCorrected(sitting=SITTING, n=1, before="strike that", after=reading(1)))
    assert statuses(someone)["0.0"] == "withdrawn"
    someone.do(WordsCorrected(sitting=SITTING, n=2, before="strike that", after=reading(2)))
    assert statuses(someone)["0.0"] == "proposed"


def test_accepting_a_withdrawn_finding_brings_it_back():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(heard(1, withdraws=(0,)))
    someone.do(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)))
    assert statuses(someone) == {"0.0": "accepted"}


def test_corrected_words_keep_what_is_still_claimed_and_what_was_decided_about_it():
    someone = person()
    someone.do(heard(0, finding(), finding("scored")))
    someone.do(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)))
    after = reading(0, finding("worn"), finding(), text="rod bearing three worn and wiped")
    someone.do(WordsCorrected(sitting=SITTING, n=0, before="rod bearing wiped", after=after))
    assert statuses(someone) == {"0.2": "proposed", "0.0": "accepted", "0.1": "withdrawn"}
    said = someone.record.said[(SITTING, 0)]
    assert said.reading == after
    assert said.heard == reading(0, finding(), finding("scored"))


def test_words_corrected_there_and_back_give_the_first_findings_again():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(WordsCorrected(sitting=SITTING, n=0, before="x", after=reading(0, finding("worn"))))
    someone.do(WordsCorrected(sitting=SITTING, n=0, before="y", after=reading(0, finding())))
    assert statuses(someone) == {"0.0": "proposed", "0.1": "withdrawn"}


def test_reading_again_leaves_what_the_person_decided_or_corrected():
    someone = person()
    someone.do(heard(0, finding(), finding("scored"), finding("worn"), finding("spun")))
    names = [f"{SITTING}.0.{k}" for k in range(4)]
    someone.do(FindingsAccepted(finding_ids=(names[0],)))
    someone.do(FindingsDropped(finding_ids=(names[1],)))
    someone.do(FindingCorrected(finding_id=names[2], before=finding("worn"), after=finding("good")))
    again = reading(0, finding("scored"), finding("worn"), finding("dry"))
    someone.do(ReadAgain(sitting=SITTING, n=0, reading=again))
    assert statuses(someone) == {
        "0.0": "accepted",  # no longer read, but the person said that it is so
        "0.1": "dropped",  # read again, and still wrong
        "0.2": "accepted",  # read as it was before the correction, which holds
        "0.3": "withdrawn",  # nobody had looked at it
        "0.4": "proposed",
    }
    assert someone.record.entries[names[2]].finding == finding("good")


def test_a_finding_corrected_by_hand_is_accepted_and_keeps_what_was_heard():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(FindingCorrected(finding_id=f"{SITTING}.0.0", before=finding(), after=finding(cylinder=6)))
    entry = someone.record.entries[f"{SITTING}.0.0"]
    assert (entry.status, entry.corrections, entry.original) == (Status.ACCEPTED, 1, finding())
    assert entry.finding == finding(cylinder=6)


def test_a_finding_added_by_hand_stands_with_its_utterance_and_survives_new_words():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(heard(1, finding("good", 4)))
    name = f"{SITTING}.hand.5"
    someone.do(FindingAdded(finding_id=name, sitting=SITTING, n=0, finding=finding("spun")))
    someone.do(WordsCorrected(sitting=SITTING, n=0, before="x", after=reading(0)))
    assert statuses(someone) == {"hand.5": "accepted", "0.0": "withdrawn", "1.0": "proposed"}
    assert name in someone.record.said[(SITTING, 0)].entries


def test_what_was_left_on_purpose_is_on_record():
    someone = person()
    unseen = Finding(kind=Kind.UNSEEN, part="main_bearing", place=Place(journal=2))
    someone.do(LeftUnlooked(finding_id=f"{SITTING}.hand.3", finding=unseen, reason="cap seized"))
    entry = someone.record.entries[f"{SITTING}.hand.3"]
    assert (entry.finding, entry.status, entry.sitting) == (unseen, Status.ACCEPTED, SITTING)


def test_settling_a_contradiction_drops_the_one_that_is_wrong():
    someone = person()
    someone.do(heard(0, finding("good")))
    someone.do(heard(1, finding("wiped")))
    pair = {"first": f"{SITTING}.0.0", "second": f"{SITTING}.1.0"}
    someone.do(ContradictionSettled(**pair, decision="second"))
    assert statuses(someone) == {"0.0": "dropped", "1.0": "proposed"}
    someone.do(Undone(event=someone.record.undoable[-1]))
    someone.do(ContradictionSettled(**pair, decision="both", reason="turned it over"))
    assert statuses(someone) == {"0.0": "proposed", "1.0": "proposed"}
    assert len(someone.record.settled) == 1


def test_a_split_utterance_gives_two_in_place():
    someone = person()
    someone.do(heard(0, finding(), finding("good", 4)))
    someone.do(heard(1, finding("dry")))
    someone.do(FindingsAccepted(finding_ids=(f"{SITTING}.0.1",)))
    someone.do(
        UtteranceSplit(
            sitting=SITTING,
            n=0,
            new_n=1_000_000,
            first=reading(0, finding()),
            second=reading(1_000_000, finding("good", 4)),
        )
    )
    assert [n for _, n in someone.record.said] == [0, 1_000_000, 1]
    assert statuses(someone) == {"0.0": "proposed", "0.1": "accepted", "1.0": "proposed"}
    assert someone.record.entries[f"{SITTING}.0.1"].n == 1_000_000, "it went along, and what was decided with it"
    someone.do(WordsCorrected(sitting=SITTING, n=0, before="x", after=reading(0, finding(), finding("spun"))))
    assert statuses(someone)["0.2"] == "proposed", "its name isn't given again"


def test_merged_utterances_are_one_and_undo_makes_them_two_again():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(heard(1, finding("good", 4)))
    someone.do(FindingsAccepted(finding_ids=(f"{SITTING}.1.0",)))
    before = someone.record
    both = reading(0, finding(), finding("good", 4), text="rod bearing three wiped four good")
    someone.do(UtterancesMerged(sitting=SITTING, n=0, other=1, after=both))
    assert [n for _, n in someone.record.said] == [0]
    assert statuses(someone) == {"0.0": "proposed", "1.0": "accepted"}
    someone.do(Undone(event=someone.record.undoable[-1]))
    assert someone.record.said == before.said
    assert someone.record.entries == before.entries


def test_a_strike_that_goes_up_in_what_it_struck_strikes_no_more():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(heard(1, withdraws=(0,)))
    someone.do(UtterancesMerged(sitting=SITTING, n=0, other=1, after=reading(0, finding())))
    assert not someone.record.said[(SITTING, 0)].withdrawn
    assert statuses(someone) == {"0.0": "proposed"}


def test_one_keystroke_is_one_undo():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(heard(1, finding()))
    someone.do(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)), FindingsDropped(finding_ids=(f"{SITTING}.1.0",)))
    someone.do(Undone(event=someone.record.undoable[-1]))
    assert statuses(someone) == {"0.0": "proposed", "1.0": "proposed"}
    assert not someone.record.undoable
    someone.do(Redone(event=someone.record.redoable[-1]))
    assert statuses(someone) == {"0.0": "accepted", "1.0": "dropped"}


def test_something_new_ends_what_could_be_redone():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)))
    someone.do(Undone(event=someone.record.undoable[-1]))
    someone.do(FindingsDropped(finding_ids=(f"{SITTING}.0.0",)))
    assert not someone.record.redoable


def test_hearing_more_doesnt_end_what_could_be_redone():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(FindingsAccepted(finding_ids=(f"{SITTING}.0.0",)))
    someone.do(Undone(event=someone.record.undoable[-1]))
    someone.do(heard(1, finding()))
    assert len(someone.record.redoable) == 1


def test_what_was_heard_and_filed_cant_be_undone():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(Filed(revision=1, by="A shop", finding_ids=(), sha256="0" * 64))
    before = someone.record
    for number in range(1, 5):
        someone.do(Undone(event=number))
    assert replace(someone.record, last_event=before.last_event) == before


def test_a_blanked_stretch_keeps_its_times_and_nothing_that_was_said():
    someone = person()
    someone.do(heard(0, finding()))
    someone.do(heard(1, finding("good", 4)))
    someone.do(heard(2, withdraws=(0,)))
    someone.do(Marked(sitting=SITTING, what="note", text="call the buyer", t=1.2))
    someone.do(StretchBlanked(sitting=SITTING, t0=1.0, t1=2.5))
    record = someone.record
    assert [said.blanked for said in record.said.values()] == [False, True, True]
    assert statuses(someone) == {"0.0": "proposed"}, "the strike was blanked, so what it struck stands again"
    blanked = record.said[(SITTING, 1)]
    assert (blanked.heard.utterance.text, blanked.heard.utterance.t0, blanked.entries) == ("", 1.0, ())
    assert record.sittings[SITTING].marks[0].text == ""
    assert len(record.sittings[SITTING].blanked) == 1


def test_a_sitting_gathers_its_sound_gaps_and_marks():
    someone = person()
    someone.do(SoundKept(sitting=SITTING, path="sound/x.flac", start=0.0, seconds=60.0, rate=16_000))
    someone.do(GapNoted(sitting=SITTING, t0=3.0, t1=4.0, why="overflow"))
    someone.do(Marked(sitting=SITTING, what="mark", t=3.5))
    sitting = someone.record.sittings[SITTING]
    assert not sitting.closed
    someone.do(SittingClosed(sitting=SITTING, seconds=61.5))
    sitting = someone.record.sittings[SITTING]
    assert (len(sitting.sounds), len(sitting.gaps), len(sitting.marks)) == (1, 1, 1)
    assert (sitting.closed, sitting.seconds, sitting.at) == (True, 61.5, 2.0)


def test_events_that_name_what_isnt_there_do_nothing():
    someone = person()
    before = someone.record
    someone.do(FindingsAccepted(finding_ids=("nothing",)))
    someone.do(FindingCorrected(finding_id="nothing", before=finding(), after=finding()))
    someone.do(WordsCorrected(sitting=SITTING, n=9, before="", after=reading(9)))
    someone.do(UtterancesMerged(sitting=SITTING, n=9, other=8, after=reading(9)))
    someone.do(Marked(sitting="nothing", what="mark"))
    someone.do(heard(0, withdraws=(7,)))
    assert someone.record.entries == before.entries
    assert list(someone.record.said) == [(SITTING, 0)]
