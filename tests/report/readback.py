"""The produced text, read back through the real grammar: what would somebody who heard this sentence write down?"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from functools import cache

from num2words import num2words

from benchvoice import lexicon
from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Finding, Kind
from benchvoice.domain.words import typed
from benchvoice.interpret import Reader
from benchvoice.report import Report
from benchvoice.report.model import Says

Claim = tuple[object, ...]
UNITS = (
    ("ft-lb", "foot pounds"), ("in-lb", "inch pounds"), ("N·m", "newton meters"), ("%", " percent"),
    ("°F", "degrees fahrenheit"), ("°C", "degrees celsius"), ("kPa", "kilopascals"), ("mm", "millimeters"),
    ("psi", "psi"), ("in", "inches"), ("mi", "miles"), ("km", "kilometers"),
)  # fmt: skip
DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def number_in_words(written: str) -> str:
    """ "3.542" is said "three point five four two"; whole numbers are said as numbers."""
    whole, _, decimals = written.partition(".")
    said = num2words(int(whole)).replace("-", " ").replace(" and ", " ").replace(",", "")
    return f"{said} point {' '.join(DIGITS[int(digit)] for digit in decimals)}" if decimals else said


def spoken(sentence: str) -> str:
    """A written sentence as it would be said: no brackets, numbers and units as words."""
    text = re.sub(r"\s*\([^)]*\)", "", sentence.replace("eak-down", "eak down")).strip().rstrip(".")
    for sign, name in UNITS:
        text = re.sub(rf"(?<=\d)\s*{re.escape(sign)}(?!\w| the | removal)", f" {name}", text)
    text = re.sub(r"(?<=\d),(?=\d{3})", "", text)
    text = re.sub(r"\d+(?:\.\d+)?", lambda found: f" {number_in_words(found.group())} ", text)
    return " ".join(re.sub(r"[,“”]", " ", text).lower().split())


@cache
def _lexicon() -> lexicon.Lexicon:
    return lexicon.load()


@cache
def _reader(of: Engine) -> Reader:
    """Readers are costly to make and hold nothing that changes: one for each shape of engine."""
    return Reader(_lexicon(), of)


def claim(finding: Finding) -> Claim:
    """What is compared: kind, part, place, and condition, presence, degree and hedge, or quantity, value and unit."""
    place = tuple(sorted(finding.place.as_dict().items()))
    if finding.kind is Kind.CONDITION:
        said = (finding.condition, finding.present, finding.degree, finding.hedged)
        return (finding.kind.value, finding.part, place, *said)
    if finding.kind is Kind.MEASUREMENT:
        value = finding.value if finding.value is not None else Decimal(0)
        said_value = (finding.quantity, value.normalize(), finding.unit, finding.hedged)
        return (finding.kind.value, finding.part, place, *said_value)
    if finding.kind is Kind.EVENT:
        return (finding.kind.value, finding.part, place, finding.action)
    return (finding.kind.value, finding.part, place)


def read_sentences(sentences: Iterable[str], of: Engine) -> dict[str, list[Claim]]:
    """The claims that the grammar finds in each sentence by itself, nothing carried over."""
    reader = _reader(replace(of, stock="any"))
    out: dict[str, list[Claim]] = {}
    for sentence in sentences:
        reading, _ = reader.read(typed(0, spoken(sentence)), reader.start())
        out[sentence] = [claim(finding) for finding in reading.findings]
    return out


def stated(report: Report) -> list[str]:
    """Every sentence that states findings, and every table row that does."""
    out = [sentence.text for sentence in report.sentences() if sentence.says is Says.FINDING]
    out += [row.claim for table in report.tables() for row in table.rows if row.claim]
    return list(dict.fromkeys(out))
