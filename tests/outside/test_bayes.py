"""Bayes' rule in the causes table against textbook examples."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchvoice.domain.judgement import Cause
from benchvoice.judge.causes import causes
from benchvoice.judge.coverage import cover
from benchvoice.judge.observing import material
from benchvoice.lexicon.judging import JudgingTables, judging_tables
from benchvoice.lexicon.judging_types import CauseRow, Sign
from tests.judge.casework import engine, shorthand


def tables_with(prior: float, ratio: float, signs: tuple[Sign, ...]) -> JudgingTables:
    """One cause at these prior odds against everything else, whose strong signs have this likelihood ratio."""
    built_in = judging_tables()
    classes = {**built_in.weights.classes, "strong": ratio}
    weights = replace(built_in.weights, classes=classes, something_else_prior=1.0, dependence_exponent=1.0)
    row = CauseRow(id="it", name="it", prior=prior, source="", signs=signs)
    return replace(built_in, weights=weights, causes=(row,), events=())


def only_cause(tables: JudgingTables, findings: list[str]) -> Cause:
    of = engine(layout="inline", cylinders=4)
    record = shorthand(of, findings)
    (found,) = causes(material(record, cover(record.standing(), of, tables), (), of, tables), {})
    return found


def sign(observe: str) -> Sign:
    return Sign(observe=observe, see="strong", if_not="", source="")


# D. M. Eddy, Probabilistic reasoning in clinical medicine, 1982, as told in textbooks: 1 in 100 has it, the test shows
# it in 80 of 100 who have it and in 9.6 of 100 who have not; a positive test leaves 7.8 in 100 (from memory).
def test_eddys_example() -> None:
    tables = tables_with(0.01 / 0.99, 0.80 / 0.096, (sign("pickup_blocked"),))
    found = only_cause(tables, ["oil_pickup plugged"])
    assert found.share == pytest.approx(0.0776, abs=0.0005)


# Two urns, one with 3 red of 4, the other with 1 red of 4, even odds: after one red ball 3 in 4, after two drawn with
# replacement 9 in 10 (any textbook of probability).
def test_two_urns() -> None:
    signs = (sign("pickup_blocked"), sign("thermostat_stuck"))
    one = only_cause(tables_with(1.0, 3.0, signs), ["oil_pickup plugged"])
    two = only_cause(tables_with(1.0, 3.0, signs), ["oil_pickup plugged", "thermostat stuck"])
    assert one.share == pytest.approx(0.75)
    assert two.share == pytest.approx(0.90)
