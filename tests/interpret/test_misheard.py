"""Words that were misheard in places that ask for another kind of word, and sentences that only look so."""

from __future__ import annotations

import pytest

from benchvoice.domain.findings import Finding, Flag
from benchvoice.domain.words import typed
from benchvoice.interpret import Reader
from benchvoice.lexicon import load

READER = Reader(load())


def told(text: str) -> list[tuple[str, int | None, str]]:
    """(part, cylinder or journal, condition or value) of each finding."""
    return [_short(finding) for finding in read(text)]


def read(text: str) -> tuple[Finding, ...]:
    reading, _ = READER.read(typed(0, text), READER.start())
    return reading.findings


def _short(finding: Finding) -> tuple[str, int | None, str]:
    place = finding.place
    return finding.part, place.cylinder or place.journal, finding.condition or f"{finding.value}"


@pytest.mark.parametrize(
    ("text", "said", "heard"),
    [
        ("crankpin four measures sixty three point nine four millimetres", "point", "pintle"),
        ("main journal two measures seventy six point one nine millimetres", "six", "signs"),
        ("engine has done three hundred and ten thousand kilometres", "hundred", "hand"),
        ("compression on number three is six hundred kilopascals", "hundred", "hand"),
        ("leakdown on three is thirty five percent", "thirty", "thirdy"),
        ("head is warped two thou and a half", "half", "hole"),
        ("timing chain has half an inch of slack", "half", "hole"),
        ("number two exhaust valve is burned", "two", "twist"),
        ("spark plugs seven and nine are oil fouled", "nine", "non"),
        ("timing belt is brittle", "belt", "bell"),
        ("bent windage tray", "windage", "window"),
        ("eleven head bolts are stretched", "head", "heat"),
        ("rod side clearance is eleven thou on four", "side", "said"),
    ],
)
def test_what_stands_beside_a_word_says_what_was_meant(text: str, said: str, heard: str) -> None:
    wrong = text.replace(said, heard)
    assert told(wrong) == told(text) != []
    assert all(Flag.REPAIRED in finding.flags for finding in read(wrong))


@pytest.mark.parametrize(
    "text",
    [
        "when i lifted the head gasket off i could see the black track across it where it was blown at number four",
        "number one liner since i had the gauge out reads five point one two five at the top",
        "rod bearings on two and four are wiped",
        "exhaust rocker on six is worn and so is the spring",
        "the valve stem seals are split and that's your smoke",
        "runout is at five thou",
    ],
)
def test_a_word_that_fits_is_left_alone(text: str) -> None:
    assert all(Flag.REPAIRED not in finding.flags for finding in read(text))


@pytest.mark.parametrize(
    "text", ["the ladder's cracked so don't climb on it", "the number is on the wall", "i had a heart bolt"]
)
def test_nothing_is_made_of_talk(text: str) -> None:
    assert read(text) == ()
