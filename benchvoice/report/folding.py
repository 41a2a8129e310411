"""Entries that say the same, gathered: over their places first, then over all that holds at the same places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from benchvoice.domain.findings import Degree, Place
from benchvoice.domain.record import Entry
from benchvoice.report.phrases import SUFFIX_KEYS, is_fault, spread, weight_of


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """One condition with its degree, and the entries that say so."""

    condition: str
    degree: Degree | None
    entries: tuple[Entry, ...]

    @property
    def weight(self) -> int:
        return max(weight_of(entry.finding) for entry in self.entries)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """States that hold alike, or are absent alike, at the same places of one part, weightiest first."""

    bare: Place
    numbers: tuple[int, ...]
    present: bool
    hedged: bool
    states: tuple[State, ...]

    @property
    def weight(self) -> int:
        return max(state.weight for state in self.states)

    @property
    def said(self) -> list[str]:
        """The words that it stands on."""
        return [entry.finding.text for state in self.states for entry in state.entries]


def gather(part: str, entries: Sequence[Entry]) -> list[Seen]:
    """What was seen of one part, present things first, weightiest first."""
    claims: dict[tuple[str, bool, Degree | None, bool], list[Entry]] = {}
    for entry in entries:
        finding = entry.finding
        key = (finding.condition or "", finding.present, finding.degree, finding.hedged)
        claims.setdefault(key, []).append(entry)
    rows: dict[tuple[Place, tuple[int, ...], bool, bool], list[State]] = {}
    for (condition, present, degree, hedged), group in claims.items():
        for bare, numbers in spread([entry.finding.place for entry in group], part):
            state = State(condition=condition, degree=degree, entries=at(part, group, bare, numbers))
            rows.setdefault((bare, numbers, present, hedged), []).append(state)
    out = [
        Seen(bare=bare, numbers=numbers, present=present, hedged=hedged, states=batch)
        for (bare, numbers, present, hedged), states in rows.items()
        for batch in _sharing(states, strict=hedged or _has_suffix(bare))
    ]
    return sorted(out, key=lambda row: (not row.present, -row.weight))


def at(part: str, entries: Sequence[Entry], bare: Place, numbers: Sequence[int]) -> tuple[Entry, ...]:
    """The entries that lie at one row of `spread`."""
    wanted = set(numbers)
    out: list[Entry] = []
    for entry in entries:
        row_bare, row_numbers = spread([entry.finding.place], part)[0]
        if row_bare == bare and set(row_numbers) <= wanted:
            out.append(entry)
    return tuple(out)


def _sharing(states: list[State], *, strict: bool) -> list[tuple[State, ...]]:
    """States that may share a sentence. One condition with two degrees can't; with `strict`, where a guard or a place
    must hold for all that is said, nor can anything that has a degree: "looked worn and lightly melted" leaves a doubt
    what was guarded.
    """
    batches: list[list[State]] = []
    for state in sorted(states, key=lambda item: -item.weight):
        alone = strict and state.degree is not None
        home = next((batch for batch in batches if not alone and _fits(state, batch, strict=strict)), None)
        if home is None:
            batches.append([state])
        else:
            home.append(state)
    return [tuple(batch) for batch in batches]


def _fits(state: State, batch: list[State], *, strict: bool) -> bool:
    """Praise and fault don't share a sentence, either: "good and worn" is taken for "very worn"."""
    return all(
        state.condition != other.condition
        and is_fault(state.condition) == is_fault(other.condition)
        and not (strict and other.degree is not None)
        for other in batch
    )


def _has_suffix(place: Place) -> bool:
    return any(getattr(place, key) is not None for key in SUFFIX_KEYS)
