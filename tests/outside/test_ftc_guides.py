"""The disclosure against the United States Federal Trade Commission's guides for used automobile parts, 16 CFR Part 20.

Sections as the Electronic Code of Federal Regulations lists them; final revisions 79 FR 40623 to 40629, in force since
22 August 2014. The conditions of section 20.3(a) are told here in our words.
"""

from __future__ import annotations

import re
from dataclasses import fields
from datetime import UTC, datetime

from benchvoice.report import Options, Rebuilt, build
from benchvoice.report.language import load
from benchvoice.report.model import Says
from benchvoice.report.redact import work_on_record
from tests.report.records import demo, engine

SECTIONS = {
    "20.0": "scope and purpose",
    "20.1": "deception generally",
    "20.2": "identity of the one who rebuilt, remanufactured, reconditioned or relined",
    "20.3": "the terms rebuilt, factory rebuilt, remanufactured and the like",
}
ASKED_FOR = {
    "taken apart and put together again as necessary": "dismantled_and_reconstructed",
    "all internal and external parts cleaned": "cleaned_inside_and_out",
    "made free of rust and corrosion": "made_rust_free",
    "impaired, defective or substantially worn parts restored or replaced": "worn_parts_restored_or_replaced",
    "missing parts replaced": "missing_parts_replaced",
    "machining and other operations as necessary for sound working condition": "machined_to_sound_condition",
}
"""Section 20.3(a), condition by condition, and where this program asks for it."""


def _law(**options: object) -> str:
    report = build(demo(), engine(), None, options=Options(made_at=datetime(2026, 1, 1, tzinfo=UTC), **options))  # type: ignore[arg-type]
    return " ".join(sentence.text for sentence in report.sentences() if sentence.says is Says.LAW)


def test_only_sections_that_exist_are_named() -> None:
    texts = " ".join(str(value) for value in load().table("disclosure").values())
    named = set(re.findall(r"16 CFR (20\.\d+)", texts))
    assert named <= set(SECTIONS)
    assert {"20.1", "20.3"} <= named


def test_each_condition_of_the_word_rebuilt_is_asked_for_and_no_other() -> None:
    """20.3(a) has six conditions; 20.3(b) adds the factory; 20.2 asks who did it."""
    names = {item.name for item in fields(Rebuilt)}
    assert names == {*ASKED_FOR.values(), "in_a_factory", "done_by"}
    full = dict.fromkeys(ASKED_FOR.values(), True)
    assert work_on_record(Rebuilt(**full, done_by="a shop"))
    for name in full:
        assert not work_on_record(Rebuilt(**(full | {name: False}), done_by="a shop"))
    assert not work_on_record(Rebuilt(**full))


def test_used_parts_are_called_used_and_marking_the_part_is_brought_up() -> None:
    """20.1(a): not represented as new. 20.1(b): said clearly; a part that looks new is marked itself."""
    law = _law()
    assert "is used and is offered as used" in law
    assert "20.1(b)" in law
    assert load().heading("badge").startswith("USED")


def test_words_of_similar_import_are_refused_too() -> None:
    """20.3(a) speaks of "rebuilt" and any word of similar import."""
    refused = set(load().table("disclosure")["refused"])
    assert {"rebuilt", "remanufactured", "reconditioned", "factory rebuilt", "overhauled", "like new"} <= refused


def test_remanufactured_needs_the_factory() -> None:
    full = dict.fromkeys(ASKED_FOR.values(), True)
    assert "called remanufactured" not in _law(rebuilt=Rebuilt(**full, done_by="a shop"))
    assert "called remanufactured" in _law(rebuilt=Rebuilt(**full, done_by="a shop", in_a_factory=True))


def test_it_is_no_legal_advice_and_state_law_differs() -> None:
    law = _law()
    assert "no legal advice" in law
    assert "state and local law" in law
