"""Talk about other things gives nothing, whatever was spoken of before; talk about the engine bears strange words."""

from __future__ import annotations

import pytest

from benchvoice.domain.words import typed
from benchvoice.interpret import Reader
from benchvoice.lexicon import load

READER = Reader(load())
BEFORE = (
    "",
    "now for the timing cover",
    "number three rod bearing is wiped",
    "number two bore measures four inch thirty",
    "compression on one is one forty",
)


def after(before: str, line: str) -> tuple[bool, int]:
    """(whether it is about the engine, how many findings) of a line after another."""
    context = READER.start()
    if before:
        _, context = READER.read(typed(0, before), context)
    reading, _ = READER.read(typed(1, line), context)
    return reading.domain, len(reading.findings)


@pytest.mark.parametrize("before", BEFORE)
@pytest.mark.parametrize(
    "line",
    [
        "the lid of this pen is missing the cap",
        "the soup went cold and the spoon is bent",
        "our kitchen faucet is leaking",
        "see you at the pub at two o'clock",
        "my sister's apartment has a cracked window in the bathroom",
        "we hiked nine miles on saturday",
        "there's a ring round the moon so it'll snow tonight",
        "the kid broke his finger at school",
        "the belt on that dress is loose",
        "she paid forty dollars for a haircut",
        "could i have number six with noodles please",
        "the spring on the garden gate snapped last weekend",
    ],
)
def test_talk_of_other_things_gives_nothing(before: str, line: str) -> None:
    assert after(before, line) == (False, 0)


@pytest.mark.parametrize(
    ("line", "findings"),
    [
        ("rod bearing four is wiped and the customer won't be happy about that", 1),
        ("the crank is scored so get it over to the grinder by friday", 1),
        ("piston two is scuffed like my old boots", 1),
        ("v eight out of a delivery van", 0),
        ("straight six from the sawmill", 0),
        ("four banger out of the orchard", 0),
        ("sixty thousand miles on the engine says the seller", 1),
    ],
)
def test_strange_words_beside_plain_talk_of_the_engine(line: str, findings: int) -> None:
    assert after("", line) == (True, findings)
