"""Why it failed: every cause as a hypothesis, with what speaks for it, what against, and what would decide.

Each observation multiplies a cause's odds by the likelihood ratio of its weight class. Observations that are one event
seen several times speak once, with the strongest of them. The result never says more than "consistent with".
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from benchvoice.domain.coverage import Coverage
from benchvoice.domain.judgement import Cause, Evidence, Overruling, WouldDecide
from benchvoice.judge.observing import Holds, Material, Seen, observe
from benchvoice.lexicon.judging import JudgingTables
from benchvoice.lexicon.judging_types import CauseRow, OneEvent, Sign


@dataclass(frozen=True, slots=True)
class _Weighed:
    evidence: Evidence
    seen: Seen


def causes(given: Material, overruled: Mapping[str, Overruling]) -> tuple[Cause, ...]:
    """All causes of the table, likeliest first; the shares leave room for a cause that the table doesn't hold."""
    tables = given.tables
    seen = {name: observe(observation, given) for name, observation in tables.observations.items()}
    found = [_cause(row, seen, given) for row in tables.causes]
    odds = [cause.prior * cause.ratio**tables.weights.dependence_exponent for cause in found]
    whole = tables.weights.something_else_prior + sum(odds)
    shared = [
        replace(cause, share=weight / whole, overruled=overruled.get(f"cause:{cause.id}"))
        for cause, weight in zip(found, odds, strict=True)
    ]
    return tuple(sorted(shared, key=lambda cause: -cause.share))


def _cause(row: CauseRow, seen: Mapping[str, Seen], given: Material) -> Cause:
    tables = given.tables
    weighed = [item for sign in row.signs if (item := _weigh(sign, seen[sign.observe], tables)) is not None]
    counted = _once_an_event(weighed, tables.events)
    speaks_for = tuple(item for item in counted if item.ratio > 1)
    speaks_against = tuple(item for item in counted if item.ratio < 1)
    ratio = math.prod(item.ratio for item in counted if item.counted)
    undecided = [sign for sign in row.signs if seen[sign.observe].holds is Holds.UNDECIDED]
    return Cause(
        id=row.id,
        name=row.name,
        prior=row.prior,
        ratio=ratio,
        share=0.0,
        wording=tables.wording.causes[_wording(speaks_for, speaks_against, ratio)],
        speaks_for=speaks_for,
        speaks_against=speaks_against,
        would_decide=tuple(_would_decide(undecided, given.coverage, tables)),
        source=row.source,
    )


def _weigh(sign: Sign, seen: Seen, tables: JudgingTables) -> _Weighed | None:
    """The observation's weight for this cause; None where it is not decided or says nothing."""
    weight = {Holds.YES: sign.see, Holds.NO: sign.if_not, Holds.UNDECIDED: ""}[seen.holds]
    if not weight:
        return None
    ratio = tables.weights.classes[weight]
    if seen.hedged:
        ratio **= tables.weights.hedged_exponent
    observation = tables.observations[sign.observe]
    held = seen.holds is Holds.YES
    evidence = Evidence(
        observation=observation.id,
        text=observation.say if held else tables.wording.causes["not_so"].format(text=observation.say),
        ratio=ratio,
        weight=weight,
        source=sign.source,
        entries=seen.entries,
        held=held,
        hedged=seen.hedged,
    )
    return _Weighed(evidence, seen)


def _once_an_event(weighed: list[_Weighed], events: Iterable[OneEvent]) -> list[Evidence]:
    """Marks all but the strongest of those that are one event, strongest first.

    Only what holds and points the same way is tied together: a part that was found sound is a look of its own.
    """
    order = sorted(weighed, key=lambda item: -abs(math.log(item.evidence.ratio)))
    groups = list(events)
    speaking: list[_Weighed] = []
    out = []
    for item in order:
        event = next((e.id for other in speaking for e in groups if _same_event(item, other, e)), "")
        if not event:
            speaking.append(item)
        out.append(replace(item.evidence, counted=not event, event=event))
    return out


def _same_event(first: _Weighed, second: _Weighed, event: OneEvent) -> bool:
    a, b = first.evidence, second.evidence
    if not (a.held and b.held) or (a.ratio > 1) != (b.ratio > 1):
        return False
    if a.observation not in event.members or b.observation not in event.members:
        return False
    here, there = first.seen.cylinders, second.seen.cylinders
    return event.scope == "engine" or not here or not there or bool(here & there)


def _would_decide(signs: Iterable[Sign], coverage: Coverage, tables: JudgingTables) -> list[WouldDecide]:
    """Looks that weren't taken and bear on the cause, the most telling first."""
    out = []
    classes = tables.weights.classes
    for sign in signs:
        observation = tables.observations[sign.observe]
        part = next((p for p in observation.parts if any(cell.looked.open for cell in coverage.of(p))), None)
        if part is None:
            continue
        so, not_so = (classes[weight] if weight else 1.0 for weight in (sign.see, sign.if_not))
        out.append(WouldDecide(observation=observation.id, text=observation.say, part=part, if_so=so, if_not=not_so))
    return sorted(out, key=lambda item: -abs(math.log(item.if_so / item.if_not)))


def _wording(speaks_for: tuple[Evidence, ...], speaks_against: tuple[Evidence, ...], ratio: float) -> str:
    """How far the evidence goes: a name of the wording table."""
    pros = [item for item in speaks_for if item.counted]
    cons = [item for item in speaks_against if item.counted]
    firm = [item for item in pros if not item.hedged]
    if not pros:
        return "against_only" if cons else "silent"
    if ratio < 1:
        return "more_against"
    if cons:
        return "mixed"
    if len(firm) >= 2:
        return "three" if len(firm) >= 3 else "two"
    return "one" if firm else "one_hedged"
