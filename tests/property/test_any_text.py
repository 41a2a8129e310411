"""Any text at all gives a reading, and reading is pure."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from benchvoice.domain.readings import reading_to_contract
from benchvoice.domain.words import typed
from benchvoice.interpret import Reader, explain
from benchvoice.lexicon import load

LEXICON = load()
READER = Reader(LEXICON)
WORDS = sorted({word for forms in LEXICON.word_classes().values() for form in forms for word in form.split()})


@given(st.lists(st.text(max_size=60), max_size=4))
@settings(max_examples=200, deadline=None)
def test_any_text_gives_a_reading(lines: list[str]) -> None:
    for reading in READER.read_all(typed(n, line) for n, line in enumerate(lines)):
        assert reading_to_contract(reading)["n"] == reading.utterance.n


@given(st.lists(st.lists(st.sampled_from(WORDS), max_size=14).map(" ".join), min_size=1, max_size=5))
@settings(max_examples=400, deadline=None)
def test_any_words_of_the_trade_give_a_reading_that_can_be_explained(lines: list[str]) -> None:
    context = READER.start()
    for n, line in enumerate(lines):
        reading, after = READER.read(typed(n, line), context)
        again, _ = READER.read(typed(n, line), context)
        assert reading == again
        assert explain(reading)
        for finding in reading.findings:
            assert finding.part in LEXICON.parts
            for because in finding.why:
                if because.words is not None:
                    assert 0 <= because.words[0] < because.words[1] <= len(reading.utterance.words)
        context = after
