"""Whether bores or journals were machined to a step before: wear is reckoned from the size that they went to."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from benchvoice.domain.findings import Place
from benchvoice.measure import machining, units
from benchvoice.measure.case import Case, exact
from benchvoice.measure.compute.spots import spots_of
from benchvoice.measure.roundness import Spot
from benchvoice.measure.uncertainty import Amount

STEPPED = {"cylinder_bore": "oversizes", "main_journal": "undersizes", "rod_journal": "undersizes"}
"""part -> the kind of step that it is machined to."""

Members = Mapping[Place, list[Spot]]


def banks(case: Case, bores: Members) -> dict[str | None, dict[Place, list[Spot]]]:
    """Bores by bank, by what is known of the engine, else by what was said."""
    out: dict[str | None, dict[Place, list[Spot]]] = {}
    for place, spots in bores.items():
        cylinder, bank = place.cylinder, place.bank
        if case.engine is not None and cylinder is not None and case.engine.has(cylinder=cylinder):
            bank = case.engine.bank_of(cylinder)
        out.setdefault(bank, {})[place] = spots
    return out


def step_before(case: Case, part: str, members: Members) -> Amount | None:
    """The step that all of `members` went to before, by the least worn of them; 0 for standard, None if the sheet has
    no standard size.
    """
    standard = case.sized(part, "diameter")
    if standard is None or not members:
        return None
    steps, basis = case.steps(part, STEPPED[part], standard.unit)
    read = [spot.amount.to(standard.unit).value for spots in members.values() for spot in spots]
    bored = STEPPED[part] == "oversizes"
    gap = min(read) - standard.value if bored else standard.value - max(read)
    usual = case.default("size_class_within")
    step = machining.step_before(gap, steps, units.convert(usual.value, usual.unit, standard.unit))
    return exact(step, standard.unit, basis if step else None)


def steps_before(case: Case, part: str) -> dict[Place, Amount]:
    """The step of each bore or journal that went to one before; those at standard size are left out."""
    places = spots_of(case, part)
    groups = banks(case, places).values() if part == "cylinder_bore" else [places]
    found = ((members, step_before(case, part, members)) for members in groups)
    return {place: step for members, step in found if step and step.value > Decimal(0) for place in members}
