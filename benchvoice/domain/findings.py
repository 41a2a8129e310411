"""Findings: what an utterance says about the engine, in the words of the contract."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Any


class Kind(StrEnum):
    CONDITION = "condition"
    MEASUREMENT = "measurement"
    UNSEEN = "unseen"
    """Said not to have been looked at, or could not be seen."""
    EVENT = "event"
    """Something that was done to the part and matters to the record."""


class Degree(StrEnum):
    LIGHT = "light"
    MODERATE = "moderate"
    HEAVY = "heavy"


class Flag(StrEnum):
    """Why a finding deserves a second look."""

    LOW_CONFIDENCE = "low_confidence"
    TWO_READINGS = "two_readings"
    """The number can be read in two ways that are both plausible; `Finding.readings` holds the other ones."""
    IMPLAUSIBLE = "implausible"
    """The value lies outside what this quantity can be on this part."""
    NOT_ON_ENGINE = "not_on_engine"
    """The engine has no such place (cylinder nine of eight)."""
    FOCUS_FAR = "focus_far"
    """The part or place was carried over from many utterances ago."""
    REPAIRED = "repaired"
    """A sounding-alike word was put in the place of the one that was heard."""
    CONTRADICTION = "contradiction"
    """An earlier finding says the opposite about the same part and place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where on the part. Only what was spoken or carried over is set.

    cylinder counts as the engine's numbering scheme says, journal from the front; bank is left or right seen from the
    driver's seat (the flywheel end); end front or rear of the engine; valve intake or exhaust; side thrust or minor;
    shell upper or lower; level top, middle or bottom.
    """

    cylinder: int | None = None
    journal: int | None = None
    bank: str | None = None
    end: str | None = None
    valve: str | None = None
    side: str | None = None
    shell: str | None = None
    level: str | None = None

    def as_dict(self) -> dict[str, int | str]:
        return {name: value for name in self.__slots__ if (value := getattr(self, name)) is not None}

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> Place:
        return cls(**data)

    def covers(self, other: Place) -> bool:
        """True if every key that is set here is set to the same value in `other`."""
        return all(getattr(other, key) == value for key, value in self.as_dict().items())

    def __bool__(self) -> bool:
        return bool(self.as_dict())


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """Which rule made which field from which words; `words` is a half-open range of word indices of the utterance."""

    field: str
    value: str
    rule: str
    words: tuple[int, int] | None = None
    utterance: int | None = None
    """The n of the utterance that the words belong to, when it is an earlier one (carried over)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One finding. Which fields are set depends on `kind`.

    value is exact, in `unit`, with the digits that were spoken; `resolution` is one step of its last spoken digit in
    the same unit ("two and a half thou": value 0.0025, resolution 0.0005). `upper` is the other end of a spoken
    range. `bound` is "at_least", "at_most" or "about". `done_by` names who did an event: "teardown" (us) or "before"
    (found so).
    """

    kind: Kind
    part: str
    place: Place = field(default_factory=Place)
    condition: str | None = None
    present: bool = True
    degree: Degree | None = None
    hedged: bool = False
    quantity: str | None = None
    value: Decimal | None = None
    unit: str | None = None
    resolution: Decimal | None = None
    upper: Decimal | None = None
    bound: str | None = None
    readings: tuple[Decimal, ...] = ()
    action: str | None = None
    done_by: str | None = None
    t0: float | None = None
    t1: float | None = None
    text: str = ""
    confidence: float = 1.0
    flags: tuple[Flag, ...] = ()
    why: tuple[Because, ...] = field(default=(), compare=False, repr=False)

    def same_claim(self, other: Finding) -> bool:
        """Equal in everything that is claimed, whatever the words, times and confidences."""
        return self.claim() == other.claim()

    def claim(self) -> tuple[object, ...]:
        """What is claimed, hashable."""
        return (
            self.kind, self.part, self.place, self.condition, self.present, self.degree, self.hedged, self.quantity,
            self.value, self.unit, self.upper, self.bound, self.action, self.done_by,
        )  # fmt: skip


def finding_to_contract(finding: Finding) -> dict[str, Any]:
    """The contract's JSON form; only the keys that belong to the finding's kind."""
    out: dict[str, Any] = {"kind": finding.kind.value, "part": finding.part, "place": finding.place.as_dict()}
    if finding.kind is Kind.CONDITION:
        degree = finding.degree.value if finding.degree else None
        out |= {"condition": finding.condition, "present": finding.present, "degree": degree, "hedged": finding.hedged}
    elif finding.kind is Kind.MEASUREMENT:
        out |= {
            "quantity": finding.quantity,
            "value": None if finding.value is None else float(finding.value),
            "unit": finding.unit,
            "hedged": finding.hedged,
        }
        out |= {
            name: float(number)
            for name, number in (("resolution", finding.resolution), ("upper", finding.upper))
            if number is not None
        }
        if finding.bound:
            out["bound"] = finding.bound
        if finding.readings:
            out["readings"] = [float(number) for number in finding.readings]
    elif finding.kind is Kind.EVENT:
        out |= {"action": finding.action, "done_by": finding.done_by, "hedged": finding.hedged}
    out |= {"t0": finding.t0, "t1": finding.t1, "text": finding.text, "confidence": round(finding.confidence, 4)}
    if finding.flags:
        out["flags"] = [flag.value for flag in finding.flags]
    return out
