from __future__ import annotations

import json
from decimal import Decimal
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchvoice.domain.events import (
    Body,
    CameraAligned,
    EngineTakenIn,
    Filed,
    FindingAdded,
    FindingCorrected,
    GapNoted,
    Marked,
    SittingClosed,
    SittingOpened,
    SoundKept,
    UtteranceHeard,
    WordsCorrected,
)
from benchvoice.domain.findings import Finding, Kind
from benchvoice.errors import JournalError
from benchvoice.journal.codec import BODIES, decode, encode
from tests.domain.strategies import engines, findings, optional, readings, seconds, stories, texts

bodies = st.one_of(
    st.builds(EngineTakenIn, engine=engines),
    st.builds(SittingOpened, sitting=texts, source=texts, title=texts),
    st.builds(SoundKept, sitting=texts, path=texts, start=seconds, seconds=seconds, rate=st.integers(1, 96_000)),
    st.builds(UtteranceHeard, sitting=texts, reading=readings),
    st.builds(WordsCorrected, sitting=texts, n=st.integers(0, 9), before=texts, after=readings),
    st.builds(FindingAdded, finding_id=texts, sitting=texts, n=optional(st.integers(0, 9)), finding=findings),
    st.builds(FindingCorrected, finding_id=texts, before=findings, after=findings),
    st.builds(Marked, sitting=texts, what=texts, text=texts, t=optional(seconds)),
    st.builds(GapNoted, sitting=texts, t0=seconds, t1=optional(seconds), why=texts),
    st.builds(CameraAligned, sitting=texts, film=texts, offset=seconds, drift=seconds, score=seconds),
    st.builds(SittingClosed, sitting=texts, seconds=optional(seconds)),
    st.builds(
        Filed, revision=st.integers(1, 9), by=texts, finding_ids=st.lists(texts, max_size=3).map(tuple), sha256=texts
    ),
)


@settings(max_examples=300, deadline=None)
@given(bodies)
def test_every_body_comes_back_equal(body: Body) -> None:
    text = encode(body)
    json.loads(text)
    assert decode(body.name, text) == body
    assert encode(decode(body.name, text)) == text


@settings(max_examples=60, deadline=None)
@given(stories())
def test_every_event_of_a_story_comes_back_equal(events) -> None:
    for event in events:
        assert decode(event.body.name, encode(event.body)) == event.body


def test_reasons_come_back_too():
    """They don't take part in equality, so that has to be looked at by itself."""

    @settings(max_examples=100, deadline=None)
    @given(readings)
    def law(reading) -> None:
        again = decode("utterance_heard", encode(UtteranceHeard(sitting="s", reading=reading))).reading
        assert [finding.why for finding in again.findings] == [finding.why for finding in reading.findings]

    law()


@pytest.mark.parametrize("spoken", ["0.00250", "2.5", "3", "-0.0005", "0.1000000000000000055511151231257827", "1E+2"])
def test_numbers_keep_their_digits(spoken: str) -> None:
    finding = Finding(kind=Kind.MEASUREMENT, part="rod_bearing", value=Decimal(spoken), resolution=Decimal("0.0005"))
    again = decode("finding_added", encode(FindingAdded(finding_id="x", sitting="s", n=None, finding=finding)))
    assert str(again.finding.value) == str(Decimal(spoken))


def test_all_kinds_of_events_are_known_by_their_names():
    assert len(BODIES) == len(get_args(Body))


@pytest.mark.parametrize(
    ("kind", "text", "says"),
    [
        ("marked", '{"sitting": "a", "what": "b", "extra": 1}', "extra"),
        ("marked", '{"sitting": 1, "what": "b"}', "sitting"),
        ("marked", '{"sitting": "a"}', "what"),
        ("marked", "null", "empty"),
        ("marked", "{", "JSON"),
        ("marked", "[]", "marked"),
        ("sitting_closed", '{"sitting": "a", "seconds": NaN}', "seconds"),
        ("words_corrected", '{"sitting": "a", "n": 1.5, "before": "", "after": {"utterance": {}}}', "n"),
        ("from_tomorrow", "{}", "from_tomorrow"),
    ],
)
def test_what_is_wrong_in_a_stored_event_is_said_on_one_line(kind: str, text: str, says: str) -> None:
    with pytest.raises(JournalError, match=says) as caught:
        decode(kind, text)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "body",
    [
        SittingClosed(sitting="a", seconds=float("nan")),
        SittingClosed(sitting="a", seconds=float("inf")),
        Marked(sitting="a", what="half a \ud800 character"),
        Marked(sitting="a", what=3),  # type: ignore[arg-type]
    ],
)
def test_what_json_cant_hold_is_refused_before_it_is_stored(body: Body) -> None:
    with pytest.raises(JournalError, match="can't be stored"):
        encode(body)
