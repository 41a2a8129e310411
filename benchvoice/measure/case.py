"""One engine's measurements laid out for computing, and how a computed amount becomes a figure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, NotRequired, TypedDict, Unpack

from benchvoice.domain.engine import Engine
from benchvoice.domain.figures import Basis, Figure, Limit, Mark, Note, Verdict
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Entry
from benchvoice.domain.sheet import Sheet
from benchvoice.measure import conformity, units
from benchvoice.measure.bench import Bench, gauge_u
from benchvoice.measure.tables import Default, Tables
from benchvoice.measure.uncertainty import Amount, combined, of_resolution, repeated

NOT_GAUGED = frozenset({"count", "distance_run"})
"""Counted or claimed, not measured: no figure comes of them."""

HEDGE_WIDTH = 10
"""A reading said with "about" may be off by five of its last digit either way (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A measurement of the record. bound: "at_least" or "at_most" when only that was said."""

    part: str
    place: Place
    quantity: str
    amount: Amount
    text: str
    bound: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Everything that figures are computed from. `readings` by part and quantity, in the order of the record."""

    engine: Engine | None
    sheet: Sheet | None
    bench: Bench
    tables: Tables
    readings: Mapping[tuple[str, str], tuple[Reading, ...]]
    entries: tuple[Entry, ...]
    unsettled: frozenset[str] = frozenset()
    """Entries whose number can be read in two ways, or is implausible, and that nobody has accepted yet."""
    doubted: frozenset[tuple[str, str]] = frozenset()
    """Part and quantity of the sheet's rows that contradict themselves."""

    def of(self, part: str, quantity: str) -> dict[Place, list[Reading]]:
        """Readings with a value (no bounds), by place."""
        out: dict[Place, list[Reading]] = {}
        for reading in self.readings.get((part, quantity), ()):
            if reading.bound is None:
                out.setdefault(reading.place, []).append(reading)
        return out

    def amount(self, part: str, quantity: str, place: Place) -> Amount | None:
        """The reading at exactly that place, the mean of repeats."""
        found = self.of(part, quantity).get(place)
        return repeated([reading.amount for reading in found]) if found else None

    def sized(self, part: str, quantity: str, place: Place | None = None) -> Amount | None:
        """A new part's size by the sheet: nominal, or the middle of its range with the range as its uncertainty."""
        row = self.sheet.row(part, quantity, place) if self.sheet else None
        size = row.size() if row else None
        if row is None or size is None:
            return None
        u = 0.0
        if row.nominal is None and row.new_low is not None and row.new_high is not None:
            u = float(row.new_high - row.new_low) / math.sqrt(12)
        basis = Basis(mark=Mark.SHEET, source=row.source)
        return Amount(value=size, unit=row.unit, u=u, digits=units.digits_of(units.step_of(size)), assumed=(basis,))

    def steps(self, part: str, default: str, unit: str) -> tuple[tuple[Decimal, ...], Basis]:
        """Available over- or undersizes in `unit`, from the sheet or by common practice."""
        row = self.sheet.row(part, "diameter") if self.sheet else None
        if row and row.steps:
            found, given, basis = row.steps, row.unit, Basis(mark=Mark.SHEET, source=row.source)
        else:
            usual = self.tables.defaults[default]
            found, given, basis = usual.values, usual.unit, usual.basis
        return tuple(units.convert(step, given, unit) for step in found), basis

    def default(self, name: str) -> Default:
        return self.tables.defaults[name]


def reading_amount(entry_id: str, finding: Finding, bench: Bench, tables: Tables) -> Amount | None:
    """A finding's value with its uncertainty: resolution and gauge. None if it is no measurement that can be used.

    Worked by hand: 2.5 thou in steps of half a thou, by strip gauge (U = 0.5 thou): u = hypot(0.144, 0.25) = 0.289.

    >>> from benchvoice.measure.tables import load
    >>> said = Finding(kind=Kind.MEASUREMENT, part="rod_bearing", quantity="clearance", value=Decimal("0.0025"),
    ...                unit="in", resolution=Decimal("0.0005"))
    >>> round(reading_amount("s.0.0", said, Bench(), load()).u, 6)
    0.000289
    """
    if finding.value is None or finding.unit not in units.known() or finding.quantity in NOT_GAUGED:
        return None
    step = finding.resolution or units.step_of(finding.value)
    vague = finding.hedged or finding.bound == "about"
    value, width = finding.value, float(step) * (HEDGE_WIDTH if vague else 1)
    if finding.upper is not None:
        value = (finding.value + finding.upper) / 2
        width = float(abs(finding.upper - finding.value)) + width
    gauge, assumed = gauge_u(finding, bench, tables)
    return Amount(
        value=value,
        unit=_meant(finding, tables),
        u=math.hypot(of_resolution(width), gauge),
        digits=units.digits_of(step),
        inputs=(entry_id,),
        assumed=(assumed,) if assumed else (),
        hedged=vague,
    )


def _meant(finding: Finding, tables: Tables) -> str:
    """The unit that is meant by the one on record: of the very part, else of any."""
    unit = finding.unit or "each"
    names = (f"{part}.{finding.quantity}.{unit}" for part in (finding.part, "*"))
    return next((tables.meant[name] for name in names if name in tables.meant), unit)


def readings_of(entries: Iterable[Entry], bench: Bench, tables: Tables) -> dict[tuple[str, str], tuple[Reading, ...]]:
    """Measurements by part and quantity. The same thing said twice is one reading that stands on both entries."""
    out: dict[tuple[str, str], dict[tuple[object, ...], Reading]] = {}
    for entry in entries:
        finding = entry.finding
        if finding.kind is not Kind.MEASUREMENT or finding.quantity is None:
            continue
        amount = reading_amount(entry.id, finding, bench, tables)
        if amount is None or not _fits(amount.unit, out.get((finding.part, finding.quantity)), finding, tables):
            continue
        same = out.setdefault((finding.part, finding.quantity), {})
        claim = (*finding.claim(), _wet(finding.text, tables))
        before = same.get(claim)
        if before:
            merged = replace(before.amount, inputs=(*before.amount.inputs, entry.id))
            same[claim] = replace(before, amount=merged)
            continue
        same[claim] = Reading(
            part=finding.part,
            place=finding.place,
            quantity=finding.quantity,
            amount=amount,
            text=finding.text,
            bound=finding.bound if finding.bound in ("at_least", "at_most") else None,
        )
    return {key: tuple(claims.values()) for key, claims in out.items()}


def _fits(unit: str, before: Mapping[tuple[object, ...], Reading] | None, finding: Finding, tables: Tables) -> bool:
    """False for a unit that the quantity can't have, or that isn't of the kind that came first."""
    if before:
        return units.same_kind(unit, next(iter(before.values())).amount.unit)
    kinds = tables.measured.get(finding.quantity or "")
    return kinds is None or any(units.same_kind(unit, kind) for kind in kinds)


def _wet(text: str, tables: Tables) -> bool:
    padded = f" {text.lower()} "
    return any(f" {word} " in padded for word in tables.wet_words)


def is_wet(reading: Reading, tables: Tables) -> bool:
    """A compression reading whose own words say that oil was put in."""
    return _wet(reading.text, tables)


def limit_for(case: Case, part: str, quantity: str, place: Place, unit: str) -> Limit | None:
    """The sheet's limit, None if the sheet has none of that kind of unit."""
    row = case.sheet.row(part, quantity, place) if case.sheet else None
    limit = row.limit() if row else None
    return limit if limit and units.same_kind(limit.unit, unit) else None


def thumb_for(case: Case, part: str, name: str, unit: str, sizes: Mapping[str, Amount | None]) -> Limit | None:
    """The rule of thumb for a figure, in `unit` if it is a ratio; None if there is none or its size is not known."""
    rule = case.tables.rules.get((part, name))
    if rule is None:
        return None
    size = sizes.get(rule.per) if rule.per else None
    limit = rule.limit(size.to(unit).value if size and units.same_kind(size.unit, unit) else None, unit)
    return limit if limit and units.same_kind(limit.unit, unit) else None


class About(TypedDict):
    """What a figure is of: see the fields of `Figure`."""

    name: str
    part: str
    place: Place
    group: str
    formula: str
    quantity: NotRequired[str]
    notes: NotRequired[Sequence[Note]]


def judged(
    case: Case,
    amount: Amount,
    *,
    judge_as: str | None = None,
    bound: str | None = None,
    sizes: Mapping[str, Amount | None] | None = None,
    doubts: Sequence[Note] = (),
    **about: Unpack[About],
) -> Figure:
    """A figure held against the sheet's limit, or hinted at by a rule of thumb where the sheet is silent.

    judge_as: the quantity whose limit counts, if not the figure's name. doubts: why it can't be told whether the figure
    is what its name says; with any of them neither limit nor rule of thumb gives more than "can't tell".
    """
    part, quantity = about["part"], judge_as or about["name"]
    figure = plain(amount, **about)
    limit = limit_for(case, part, quantity, about["place"], amount.unit)
    if limit is None:
        thumb = thumb_for(case, part, quantity, amount.unit, sizes or {})
        hint = _verdict(amount, thumb, bound)[0] if thumb else None
        hint = Verdict.CANT_TELL if hint and doubts else hint
        figure = replace(figure, verdict=Verdict.NO_LIMIT, thumb=thumb, hint=hint, notes=(*figure.notes, *doubts))
        return _bounded(figure, bound)
    verdict, probability = _verdict(amount, limit, bound)
    reasons = (*doubts, *_reasons_to_wait(case, amount, part, quantity))
    if reasons:
        verdict, probability = Verdict.CANT_TELL, None
    figure = replace(figure, limit=limit, verdict=verdict, probability=probability, notes=(*figure.notes, *reasons))
    return _bounded(figure, bound)


def _reasons_to_wait(case: Case, amount: Amount, part: str, quantity: str) -> tuple[Note, ...]:
    """Why no verdict may be given although there is a limit: a number in doubt, or a sheet that contradicts itself."""
    out = []
    if case.unsettled.intersection(amount.inputs):
        out.append(note("number_unsettled"))
    if (part, quantity) in case.doubted:
        out.append(note("sheet_doubted"))
    return tuple(out)


def _verdict(amount: Amount, limit: Limit, bound: str | None) -> tuple[Verdict, float | None]:
    """By the decision rule; a mere bound decides only if everything on its open side falls on one side of the limit."""
    if bound is None:
        found = conformity.judge(amount, limit)
        return found.verdict, found.probability
    low, high = conformity.limits_in(limit, amount.unit)
    margin = Decimal(repr(amount.expanded))
    least, most = amount.value - margin, amount.value + margin
    if bound == "at_least":
        beyond = high is not None and least > high
        within = high is None and low is not None and least >= low
    else:
        beyond = low is not None and most < low
        within = low is None and high is not None and most <= high
    return (Verdict.BEYOND if beyond else Verdict.WITHIN if within else Verdict.CANT_TELL), None


def _bounded(figure: Figure, bound: str | None) -> Figure:
    if bound == "at_least":
        return replace(figure, low=figure.value, value=None, notes=(*figure.notes, note("only_at_least")))
    if bound == "at_most":
        return replace(figure, high=figure.value, value=None, notes=(*figure.notes, note("only_at_most")))
    return figure


def plain(amount: Amount, **about: Unpack[About]) -> Figure:
    """A figure that nothing is held against."""
    return Figure(
        name=about["name"],
        part=about["part"],
        place=about["place"],
        group=about["group"],
        quantity=about.get("quantity") or about["name"],
        value=amount.value,
        unit=amount.unit,
        digits=amount.digits,
        uncertainty=amount.expanded,
        hedged=amount.hedged,
        inputs=amount.inputs,
        formula=about["formula"],
        assumed=amount.assumed,
        notes=tuple(about.get("notes", ())),
    )


def note(code: str, **values: Any) -> Note:
    """A note with its values as text."""
    return Note(code=code, values=tuple((key, str(value)) for key, value in values.items()))


def exact(value: Decimal, unit: str, basis: Basis | None = None, digits: int | None = None) -> Amount:
    """A number without uncertainty of its own."""
    places = units.digits_of(units.step_of(value)) if digits is None else digits
    return Amount(value=value, unit=unit, digits=places, assumed=(basis,) if basis else ())


def joined(amount: Amount, *others: Amount) -> Amount:
    """The amount, standing on the entries and assumptions of the others too; value and uncertainty unchanged."""
    everything = combined(amount.value, amount.unit, [(1.0, amount), *((0.0, other) for other in others)])
    return replace(amount, inputs=everything.inputs, assumed=everything.assumed, hedged=everything.hedged)
