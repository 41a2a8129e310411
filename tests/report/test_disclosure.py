"""The disclosure: used is called used, and words that stand for work need that work on record."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from benchvoice.errors import BenchvoiceError
from benchvoice.report import Format, Options, Rebuilt, Report, Warranty, build
from benchvoice.report.language import load
from benchvoice.report.model import Says
from benchvoice.report.rebuilt import load as load_work
from benchvoice.report.redact import work_on_record
from benchvoice.report.write import make
from tests.report.records import FIXED, WHEN, demo, engine

WORK = Rebuilt(
    dismantled_and_reconstructed=True, cleaned_inside_and_out=True, made_rust_free=True,
    worn_parts_restored_or_replaced=True, missing_parts_replaced=True, machined_to_sound_condition=True,
    done_by="Quillfork Salvage",
)  # fmt: skip


@cache
def _plain() -> Report:
    return build(demo(), engine(), None, options=FIXED)


def _law(report: Report) -> str:
    return " ".join(sentence.text for sentence in report.sentences() if sentence.says is Says.LAW)


def test_used_is_called_used_first_and_everywhere() -> None:
    report = _plain()
    assert report.badge.startswith("USED")
    assert report.blurb.startswith("USED")
    for name, data in make(report, [Format.MARKDOWN, Format.HTML, Format.JSON, Format.BLURB]).items():
        assert b"USED" in data, name
    assert "16 CFR 20.1" in _law(report)


@pytest.mark.parametrize("word", load().table("disclosure")["refused"])
def test_refused_words_are_refused_in_the_sellers_own_text(word: str) -> None:
    for text in (f"Sold as {word}.", word.upper(), f"A {word} engine, cheap"):
        with pytest.raises(BenchvoiceError, match=r"20\.3"):
            build(demo(), engine(), None, options=Options(made_at=WHEN, terms=text))


@pytest.mark.parametrize(
    "text", ["Renewable deposit.", "Newark pickup only.", "Knewton and sons", "30 days to return it"]
)
def test_words_that_only_look_like_them_are_not(text: str) -> None:
    report = build(demo(), engine(), None, options=Options(made_at=WHEN, terms=text))
    assert text in _law(report)


@pytest.mark.parametrize("missing", [name for name in Rebuilt.__dataclass_fields__ if name != "in_a_factory"])
def test_rebuilt_needs_all_of_the_work(missing: str) -> None:
    work = replace(WORK, **{missing: "" if missing == "done_by" else False})
    with pytest.raises(BenchvoiceError):
        build(demo(), engine(), None, options=Options(made_at=WHEN, rebuilt=work, terms="Rebuilt engine."))
    report = build(demo(), engine(), None, options=Options(made_at=WHEN, rebuilt=work))
    assert "not called rebuilt" in _law(report)


def test_with_the_work_on_record_the_word_may_be_used_and_says_by_whom() -> None:
    report = build(demo(), engine(), None, options=Options(made_at=WHEN, rebuilt=WORK, terms="Rebuilt engine."))
    law = _law(report)
    assert "It is called rebuilt because" in law
    assert "Quillfork Salvage" in law
    assert "remanufactured" not in law
    factory = replace(WORK, in_a_factory=True)
    assert "remanufactured" in _law(build(demo(), engine(), None, options=Options(made_at=WHEN, rebuilt=factory)))


KEYS = "\n".join(f"{name} = true" for name in Rebuilt.__dataclass_fields__ if name != "done_by")


def test_the_work_is_read_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "work.toml"
    path.write_text(f'done_by = "Quillfork Salvage"\n{KEYS}')
    assert load_work(path) == replace(WORK, in_a_factory=True)
    path.write_text('done_by = "somebody"')
    assert not work_on_record(load_work(path))


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("polished = true", "polished"),
        ('made_rust_free = "yes"', "made_rust_free"),
        ("done_by = 1", "done_by"),
        ("=", "TOML"),
    ],
)
def test_a_wrong_list_of_work_is_refused_by_name(tmp_path: Path, text: str, named: str) -> None:
    path = tmp_path / "work.toml"
    path.write_text(text)
    with pytest.raises(BenchvoiceError, match=named):
        load_work(path)
    with pytest.raises(BenchvoiceError, match="can't be read"):
        load_work(tmp_path / "nothing.toml")


def test_a_claim_by_others_that_the_record_cant_carry_is_not_passed_on() -> None:
    of = engine(claimed=("rebuilt in the spring", "like new inside", "never been apart"))
    report = build(demo(), of, None, options=FIXED)
    hearsay = [sentence.text for sentence in report.sentences() if sentence.says is Says.HEARSAY]
    assert hearsay == ["Claimed by others, not verified here: never been apart."]
    assert any("2 claims by others" in item for item in report.left_out)


def test_no_sentence_outside_the_disclosure_uses_a_refused_word() -> None:
    report = _plain()
    words = "|".join(re.escape(word) for word in load().table("disclosure")["refused"])
    for sentence in report.sentences():
        if sentence.says is not Says.LAW:
            assert not re.search(rf"(?i)\b({words})\b", sentence.text), sentence.text


@pytest.mark.parametrize(
    ("choice", "days", "words"),
    [
        (Warranty.UNSTATED, None, "Nothing is said here about a warranty"),
        (Warranty.AS_IS, None, "as is"),
        (Warranty.LIMITED, 30, "limited warranty of 30 days"),
        (Warranty.FULL, None, "full warranty"),
    ],
)
def test_warranty_as_the_seller_sets_it(choice: Warranty, days: int | None, words: str) -> None:
    law = _law(build(demo(), engine(), None, options=Options(made_at=WHEN, warranty=choice, warranty_days=days)))
    assert words in law
    assert "no legal advice" in law


def test_hearsay_is_marked_as_hearsay_and_is_no_finding() -> None:
    report = _plain()
    hearsay = [sentence for sentence in report.sentences() if sentence.says is Says.HEARSAY]
    assert all("not verified here" in sentence.text and not sentence.evidence for sentence in hearsay)


@pytest.mark.parametrize(("drained", "words"), [(True, "were drained"), (False, "not drained"), (None, "not stated")])
def test_drained_or_not(drained: bool | None, words: str) -> None:
    assert words in _law(build(demo(), engine(), None, options=Options(made_at=WHEN, drained=drained)))
