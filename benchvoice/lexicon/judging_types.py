"""The rows of the judging tables as frozen data."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    id: str
    name: str
    minutes: float
    after: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One kind of part; see the head of coverage.toml."""

    name: str
    say: str
    plural: str
    importance: float
    per: str
    stage: str
    one_by_one: bool
    minutes: float
    bad_rate: float
    prior_weight: float
    spoiled_share: float
    halves: bool
    opened_with: str
    shows: str
    only: str
    if_mentioned: bool
    instead_of: tuple[str, ...]
    measured_by: tuple[str, ...]
    harmless: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionSets:
    spoil: frozenset[str]
    impair: frozenset[str]
    fine: frozenset[str]
    neutral: frozenset[str]
    gone: frozenset[str]
    harmless_when_light: frozenset[str]

    @property
    def all(self) -> frozenset[str]:
        return self.spoil | self.impair | self.fine | self.neutral | self.gone

    @property
    def bad(self) -> frozenset[str]:
        return self.spoil | self.impair


@dataclass(frozen=True, slots=True, kw_only=True)
class LookWords:
    """Words and actions that say how a part was looked at."""

    felt: tuple[str, ...]
    seen_after_all: tuple[str, ...]
    could_not: tuple[str, ...]
    total: tuple[str, ...]
    measure: tuple[str, ...]
    denying: tuple[str, ...]
    gone_actions: frozenset[str]
    felt_actions: frozenset[str]
    damaged_actions: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    id: str
    look: tuple[str, ...]
    where: str
    odds: float
    say: str
    source: str
    after_parts: tuple[str, ...] = ()
    after_bad: bool = False
    after_good: bool = False
    after_conditions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """One thing that can be so, not so, or not decided; see the head of causes.toml."""

    id: str
    say: str
    parts: tuple[str, ...]
    conditions: frozenset[str]
    at_least: int
    parts_at_least: int
    places_at_least: int
    pattern: str
    shell: str
    side: str
    degree: str
    words: tuple[str, ...]
    without_words: tuple[str, ...]
    denied_by: tuple[str, ...]
    quantity: str
    beyond: bool
    term: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OneEvent:
    id: str
    scope: str
    members: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    observe: str
    see: str
    if_not: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseRow:
    id: str
    name: str
    prior: float
    source: str
    signs: tuple[Sign, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """Likelihood ratios of the weight classes, and where they come from."""

    classes: dict[str, float]
    hedged_exponent: float
    something_else_prior: float
    dependence_exponent: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HangsOn:
    part: str
    spoiled: float
    impaired: float
    doubt: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LotRow:
    id: str
    name: str
    per: str
    takes: tuple[str, ...]
    hangs_on: tuple[HangsOn, ...]
    claims: tuple[str, ...]
    if_mentioned: bool
    strip: tuple[str, ...] = ()
    returns: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    part: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimRow:
    id: str
    say: str
    needs: tuple[Need, ...]
    words: tuple[str, ...]
    hearsay: bool
    own_parts_only: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedRow:
    words: tuple[str, ...]
    why: str
    source: str
    instead: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WarrantyRow:
    id: str
    text: str
    needs: str
    why: str
    caution: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionRow:
    parts: tuple[str, ...]
    conditions: tuple[str, ...]
    text: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """Sentence templates by name, their placeholders checked."""

    statements: dict[str, str]
    samples: dict[str, str]
    lots: dict[str, str]
    causes: dict[str, str]
    sampling_source: str
    disclosure: str
    disclosure_source: str
