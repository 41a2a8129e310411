"""Judgement: next looks, what a sample says, causes, lots, the plan, claims. Each shows its reasons.

Chances are 0..1. Money is a float in the currency of the person's price file; these are estimates, never accounts.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, is_dataclass
from enum import Enum
from typing import Any, Final

from benchvoice.domain.coverage import Coverage
from benchvoice.domain.findings import Place

AS_JUDGED: Final = "as_judged"
"""The verdict that takes an overruling back."""

RULINGS: Final[dict[str, tuple[str, ...]]] = {
    "cause": ("rejected", "settled", AS_JUDGED),
    "next": ("first", "skip", AS_JUDGED),
    "lot": ("in", "out", AS_JUDGED),
    "claim": ("withheld", AS_JUDGED),
}
"""What a person may rule about which kind of subject ("cause:dirt", "next:rod_bearing:cylinder=3", "lot:crank",
"claim:crank:crank_standard"). A claim can be withheld, never forced.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Overruling:
    """The person's word against the program's; the program's result stays beside it."""

    verdict: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One reason for a next look: the rule in words, its source, what it does to the odds, the entries behind it."""

    text: str
    source: str
    odds: float = 1.0
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NextLook:
    """A look that could still be taken. `key` names it in an overruling ("next:rod_bearing:cylinder=3").

    minutes: hands-on time, opening included. chance_bad: of at least one bad member among `places`. gain: expected
    change of the best plan's net value by knowing (value of information), in money, or in points when no prices were
    given; net: gain less what the minutes cost. opens: what must be taken off first.
    """

    key: str
    part: str
    places: tuple[Place, ...]
    minutes: float
    chance_bad: float
    gain: float
    net: float
    opens: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = ()
    decides: tuple[str, ...] = ()
    """Causes that this look would help to tell apart."""
    importance: float = 0.0
    overruled: Overruling | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """What n of N alike parts say about the rest.

    prior: mean share of bad ones believed beforehand, `prior_weight` in parts' worth of evidence (a beta prior).
    rest_bad: chance that exactly 0, 1, 2, ... of those not looked at are bad. missed_if_one: chance that a look of this
    size shows nothing although exactly one of all N is bad. upper_95: highest share of bad ones that is still
    reasonable after n good ones (exact binomial); rule_of_three: 3/n. Both None when a bad one was found.
    """

    part: str
    total: int
    looked: int
    bad: int
    prior: float
    prior_weight: float
    rest_bad: tuple[float, ...]
    missed_if_one: float
    upper_95: float | None
    rule_of_three: float | None
    sentence: str

    @property
    def chance_any_bad(self) -> float:
        return 1.0 - self.rest_bad[0] if self.rest_bad else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """An observation that speaks for or against a cause. ratio: the likelihood ratio of the table, halved in its
    logarithm when hedged. counted is False when the same event already speaks through a stronger observation.
    """

    observation: str
    text: str
    ratio: float
    weight: str
    source: str
    entries: tuple[str, ...] = ()
    held: bool = True
    """False: it was looked for and is not so."""
    counted: bool = True
    event: str = ""
    hedged: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WouldDecide:
    """A look that was not taken and that bears on a cause; ratios if it turned out so and if not."""

    observation: str
    text: str
    part: str
    if_so: float
    if_not: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A cause as a hypothesis. ratio: product of the counted likelihood ratios; share: of the belief over all causes of
    the table and "something else", prior odds included. wording never says more than "consistent with".
    """

    id: str
    name: str
    prior: float
    ratio: float
    share: float
    wording: str
    speaks_for: tuple[Evidence, ...] = ()
    speaks_against: tuple[Evidence, ...] = ()
    would_decide: tuple[WouldDecide, ...] = ()
    source: str = ""
    overruled: Overruling | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """Something that could be sold as one thing.

    takes: keys of the coverage cells that it uses up. price_low and price_high as the person gave them; factor: what
    condition, doubt and returns leave of the price; net: expected price times the chance to sell, less labour.
    """

    id: str
    name: str
    takes: tuple[str, ...]
    price_low: float
    price_high: float
    minutes: float
    chance: float
    days: int
    factor: float
    net: float
    possible: bool = True
    why: tuple[str, ...] = ()
    place: Place = field(default_factory=Place)
    overruled: Overruling | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The best set of lots that share no part. net is after labour and purchase; low and high move all prices to the
    ends of their ranges.
    """

    lots: tuple[str, ...]
    income: float
    labour: float
    purchase: float
    net: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """price: what the lot must bring at least, asked and sold, for it to be in the best plan."""

    lot: str
    price: float
    sentence: str
    instead: tuple[str, ...] = ()
    """The lots that are sold in its place below that price."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surprise:
    """What a bad find in an unopened part would do: change of the plan's net if the plan is kept, and if the best plan
    is made anew.
    """

    part: str
    places: tuple[Place, ...]
    chance: float
    change_if_kept: float
    change_if_replanned: float
    drops: tuple[str, ...] = ()
    adds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimValue:
    """The best plan's net when sold with one set of claims."""

    name: str
    net: float
    lots: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    currency: str
    note: str
    """Where the prices come from; demo prices say that they are invented."""
    lots: tuple[Lot, ...]
    plan: Plan
    break_even: tuple[BreakEven, ...] = ()
    surprises: tuple[Surprise, ...] = ()
    by_claims: tuple[ClaimValue, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """A statement about a lot. Supported ones say what the record holds, of the cells in `covers` and no others;
    unsupported ones name in `missing` what would have to be done first.
    """

    lot: str
    id: str
    text: str
    supported: bool
    covers: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Warranty:
    """A wording that the person may choose. fits is False when the record can't carry it; why says so."""

    id: str
    text: str
    fits: bool
    why: str
    caution: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A word that the record can't carry, with the rule; `instead` are words that it can."""

    word: str
    why: str
    source: str
    instead: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """All that is judged of one engine, from the record as it stands."""

    stock: str
    coverage: Coverage
    samples: tuple[Sample, ...] = ()
    next_looks: tuple[NextLook, ...] = ()
    causes: tuple[Cause, ...] = ()
    worth: Worth | None = None
    claims: tuple[Claim, ...] = ()
    warranties: tuple[Warranty, ...] = ()
    refused: tuple[Refused, ...] = ()
    cautions: tuple[str, ...] = ()
    overruled: tuple[str, ...] = ()
    """Subjects that were overruled, in order, also those that no longer occur."""
    notes: tuple[str, ...] = ()
    unreviewed: int = 0
    """How many entries behind this nobody has reviewed yet."""


def plain(value: Any) -> Any:
    """Frozen domain data as dicts, lists and scalars for JSON; a place gives only the keys that are set."""
    if isinstance(value, Place):
        return value.as_dict()
    if isinstance(value, Enum):
        return value.value
    if is_dataclass(value) and not isinstance(value, type):
        return {item.name: plain(getattr(value, item.name)) for item in fields(value)}
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    return value if value is None or isinstance(value, (str, int, float, bool)) else str(value)
