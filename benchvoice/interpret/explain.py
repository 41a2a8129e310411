"""Says which rule made which field of a finding from which words."""

from __future__ import annotations

from collections.abc import Iterator

from benchvoice.domain.findings import Because, Finding
from benchvoice.domain.readings import Reading
from benchvoice.domain.words import Utterance


def explain(reading: Reading) -> list[str]:
    """Lines for a person: each finding, its fields, and for each the rule and the words or the earlier utterance."""
    return list(_lines(reading))


def _lines(reading: Reading) -> Iterator[str]:
    utterance = reading.utterance
    yield f"{utterance.n}: {utterance.text}"
    if reading.command is not None:
        rest = f" ({reading.command.text})" if reading.command.text else ""
        yield f"  command {reading.command.order.value}{rest}"
    if reading.withdraws:
        yield f"  takes back {', '.join(str(n) for n in reading.withdraws)}"
    if not reading.domain:
        yield "  nothing about the engine"
    elif not reading.findings and reading.command is None:
        yield "  no finding"
    for number, finding in enumerate(reading.findings, 1):
        yield f"  finding {number}: {finding.kind.value} of {finding.part}"
        for because in finding.why:
            yield f"    {because.field} = {because.value}: {_source(because, utterance)}"
        if finding.flags:
            yield f"    flags: {', '.join(flag.value for flag in finding.flags)}"
    if reading.rest:
        yield f"  words that no rule used: {' '.join(reading.rest)}"


def _source(because: Because, utterance: Utterance) -> str:
    if because.rule == "focus":
        return "carried over" if because.utterance is None else f"carried over from utterance {because.utterance}"
    if because.words is None:
        return because.rule
    start, end = because.words
    spoken = " ".join(word.text for word in utterance.words[start:end])
    return f"“{spoken}”, rule {because.rule}"


__all__ = ["Finding", "explain"]
