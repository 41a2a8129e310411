"""Measurements: which quantity a spoken value is of, and what the value is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from benchvoice.domain.engine import Fuel
from benchvoice.domain.findings import Finding, Flag, Kind, Place
from benchvoice.interpret import values
from benchvoice.interpret.frames import Claim, Frame
from benchvoice.interpret.making import Making


class Measuring(Making):
    """Makes measurements of spoken values."""

    def _measure_conditions(self, frame: Frame) -> None:
        """Says what a length beside a condition measures: "bent five thou" is a runout, "a two inch crack" a length."""
        for index, claim in enumerate(list(frame.claims)):
            unit = claim.value.unit if claim.kind == "value" and claim.value else None
            if unit is None or claim.quantity is not None:
                continue
            dimension = self.lexicon.units[unit].dimension
            if dimension == "pressure":
                first = next((other.start for other in frame.claims if _says_how(other, frame.claims)), None)
                if first is not None:
                    frame.claims[:] = [other for other in frame.claims if other.form != "adj" or other.start < first]
            claim.quantity = {"distance": "distance_run", "ratio": "leakage"}.get(dimension)
            if dimension != "length":
                continue
            beside = [item for item in frame.claims[max(0, index - 1) : index + 2] if item.kind == "condition"]
            for other in beside:
                condition = self.lexicon.conditions[other.name]
                claim.quantity = condition.measured_as or condition.sized_as
                if condition.measured_as is not None and other in frame.claims:
                    frame.claims.remove(other)
                if claim.quantity is not None:
                    break

    def _measurement(self, claim: Claim, base: Finding) -> Finding | None:
        if claim.value is None:
            return None
        for quantity in self._quantities(claim, base.part):
            entry = self.lexicon.quantities[quantity]
            base = replace(base, part=entry.moved.get(base.part, base.part))
            if entry.always and entry.about is not None and base.part != entry.about and claim.quantity != quantity:
                base = replace(base, part=entry.about, place=Place())
            found = self._resolved(claim.value, quantity, base.part)
            if found is not None and (found.plausible or claim.quantity == quantity):
                return self._measured(base, quantity, found)
        return None

    def _quantities(self, claim: Claim, part: str) -> Iterator[str]:
        """Quantities that a value may be of, likeliest first: named, measured before on this part, the part's own."""
        spoken = claim.value
        if claim.quantity is not None:
            entry = self.lexicon.quantities[claim.quantity]
            if entry.only and part not in entry.only and entry.elsewhere:
                yield entry.elsewhere
            elif self._has_unit(claim.quantity, spoken):
                if claim.by_verb and claim.quantity == "diameter":
                    yield from self._usual(part, spoken)
                yield claim.quantity
            elif spoken is not None and spoken.unit is not None:
                yield from self._by_unit(spoken.unit, part)
            if claim.quantity != "diameter":
                return
        before = None if claim.attributive else self.context.quantity
        if before is not None and before[1] == part and self._has_unit(before[0], spoken):
            yield before[0]
        own = self.lexicon.parts[part].measure
        if own is not None and self._has_unit(own, spoken):
            yield own
        unit = spoken.unit if spoken is not None else None
        kin = (
            before is not None and before[1] != part and self.lexicon.parts[before[1]].related(self.lexicon.parts[part])
        )
        if before is not None and kin and unit is not None and self._has_unit(before[0], spoken):
            yield before[0]
        if spoken is not None and spoken.unit is not None:
            yield from self._by_unit(spoken.unit, part)

    def _usual(self, part: str, spoken: values.Spoken | None) -> Iterator[str]:
        """What "measures" may be about: what was measured on this part just before, and the part's own quantity."""
        before, own = self.context.quantity, self.lexicon.parts[part].measure
        last = before[0] if before is not None and before[1] == part else None
        if last is not None and "in" in self.lexicon.quantities[last].units and self._has_unit(last, spoken):
            yield last
        if own is not None and self._has_unit(own, spoken):
            yield own

    def _by_unit(self, unit: str, part: str) -> Iterator[str]:
        dimension = self.lexicon.units[unit].dimension
        by_dimension = {
            "torque": ("torque",),
            "pressure": ("compression",) if part == "cylinder_bore" else ("pressure",),
            "temperature": ("temperature",),
            "distance": ("distance_run",),
            "ratio": ("leakage",) if part == "cylinder_bore" else (),
        }
        yield from by_dimension.get(dimension, ())

    def _has_unit(self, quantity: str, spoken: values.Spoken | None) -> bool:
        if spoken is None or spoken.unit is None:
            return True
        entry = self.lexicon.units[spoken.unit]
        units = self.lexicon.quantities[quantity].units
        return entry.unit in units or any(unit in units for unit, _ in entry.also)

    def _resolved(self, spoken: values.Spoken, quantity: str, part: str) -> values.Value | None:
        units = self.lexicon.quantities[quantity].units
        diesel = None if self.engine is None else self.engine.fuel is Fuel.DIESEL
        return values.resolve(spoken, quantity, part, self.lexicon, diesel=diesel, habit=self.context.habit(units))

    def _measured(self, base: Finding, quantity: str, found: values.Value) -> Finding:
        flags = list(base.flags)
        if not found.plausible:
            flags.append(Flag.IMPLAUSIBLE)
        elif found.others:
            flags.append(Flag.TWO_READINGS)
        self.context = replace(self.context, quantity=(quantity, base.part))
        self.context = self.context.with_habit(_kind_of(found.unit), found.unit)
        return replace(
            base,
            kind=Kind.MEASUREMENT,
            quantity=quantity,
            value=found.value,
            unit=found.unit,
            resolution=found.resolution,
            upper=found.upper,
            bound=found.bound,
            readings=found.others,
            flags=tuple(flags),
        )

    def _suits(self, part: str, quantity: str) -> bool:
        """True if a quantity is likelier one of this part than of the part that it is usually about."""
        entry = self.lexicon.quantities[quantity]
        if part == entry.about or part in entry.on or part in entry.only:
            return True
        usual = self.lexicon.parts[entry.about] if entry.about else None
        return usual is None or (self.lexicon.parts[part].related(usual) and not entry.only)


def _says_how(claim: Claim, claims: Sequence[Claim]) -> bool:
    """True for how a pressure was taken: "a hundred and ten psi dry, one forty wet"."""
    return claim.form == "adj" and any(other.kind == "value" and other.end == claim.start for other in claims)


def _kind_of(unit: str) -> str:
    for name, units in (
        ("length", ("in", "mm")),
        ("pressure", ("psi", "kPa", "bar")),
        ("torque", ("ft_lbf", "in_lbf", "N_m")),
        ("temperature", ("deg_F", "deg_C")),
        ("distance", ("mi", "km")),
    ):
        if unit in units:
            return name
    return unit
