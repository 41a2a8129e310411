"""What an utterance was read as: findings, what it takes back, and commands."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from benchvoice.domain.findings import Finding, finding_to_contract
from benchvoice.domain.words import Utterance


class Order(StrEnum):
    """What the person told the program to do, by voice."""

    STRIKE = "strike"
    """Take the utterance before back, findings and all."""
    REPLACE = "replace"
    """Take the utterance before back and read the rest of this one in its place."""
    READ_BACK = "read_back"
    MARK = "mark"
    """Mark this moment, to look at later."""
    HOLD = "hold"
    CARRY_ON = "carry_on"
    NEW_PART = "new_part"
    """Set the focus; nothing is claimed."""
    NOTE = "note"
    """Free text, kept as it is."""
    QUESTION = "question"
    """Something to check later: an open item."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    order: Order
    text: str = ""
    """The words after the command word (note, question, new part)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How one utterance was understood.

    withdraws lists the n of earlier utterances that this one takes back. `domain` may be False although the recogniser
    thought otherwise: nothing in the words has to do with the engine. `rest` are the words that no rule used.
    """

    utterance: Utterance
    findings: tuple[Finding, ...] = ()
    withdraws: tuple[int, ...] = ()
    command: Command | None = None
    domain: bool = True
    rest: tuple[str, ...] = ()


def reading_to_contract(reading: Reading) -> dict[str, Any]:
    """One line of `hear --json` and `read --json`."""
    utterance = reading.utterance
    out: dict[str, Any] = {
        "t0": utterance.t0,
        "t1": utterance.t1,
        "text": utterance.text,
        "confidence": round(utterance.confidence, 4),
        "n": utterance.n,
        "domain": reading.domain,
        "recogniser": utterance.recogniser,
        "withdraws": list(reading.withdraws),
        "findings": [finding_to_contract(finding) for finding in reading.findings],
    }
    if reading.command:
        out["command"] = {"order": reading.command.order.value, "text": reading.command.text}
    if utterance.raw is not None:
        out["raw"] = utterance.raw
    if utterance.alternatives:
        out["alternatives"] = list(utterance.alternatives)
    return out
