"""How hot each region was, when something melted, burned or took colour."""

from __future__ import annotations

from collections.abc import Iterator

from benchvoice.domain.figures import Figure, Note
from benchvoice.domain.findings import Finding, Kind
from benchvoice.domain.record import Entry
from benchvoice.measure import heat
from benchvoice.measure.case import Case, note
from benchvoice.measure.heat import Bracket, Evidence
from benchvoice.measure.tables import HeatTable

GROUP = "heat"


def figures(case: Case) -> Iterator[Figure]:
    """An interval for each region that has evidence; nothing at all unless something speaks of heat."""
    table = case.tables.heat
    clues = [clue for entry in case.entries for clue in _evidence(entry, table)]
    if not any(clue.low is not None for clue in clues):
        return
    for bracket in heat.brackets(clues):
        yield Figure(
            name="temperature", part="engine", group=GROUP, quantity="temperature", unit="deg_C", digits=0,
            low=bracket.low, high=bracket.high, region=bracket.region, formula="melted_and_survived",
            inputs=tuple(dict.fromkeys(clue.entry for clue in bracket.evidence)),
            notes=tuple(_notes(bracket, table)),
        )  # fmt: skip


def region_of(finding: Finding, table: HeatTable) -> str:
    """Where on the engine a finding is: its own bank and end if said, else its part's usual region."""
    usual = table.parts[finding.part][1]
    said = " ".join(word for word in (finding.place.bank, finding.place.end) if word)
    return f"{said} {usual}" if said and usual not in said.split() else usual


def _evidence(entry: Entry, table: HeatTable) -> Iterator[Evidence]:
    finding = entry.finding
    if finding.kind is not Kind.CONDITION or finding.part not in table.parts or finding.hedged:
        return
    condition, present = finding.condition or "", finding.present
    names, _ = table.parts[finding.part]
    materials = [table.materials[name] for name in names]
    soft = set(names) <= table.soft_materials
    gone = condition in table.gone or (condition in table.charred and soft)
    kept = condition in table.kept and present
    if gone or kept:
        low, high = heat.from_melting(materials, gone=gone and present)
        yield Evidence(
            region=region_of(finding, table), part=finding.part, what=" or ".join(names), low=low, high=high,
            entry=entry.id,
        )  # fmt: skip
    if condition in table.coloured and present and set(names) & table.bright_materials:
        colour = heat.colour_in(finding.text, table.colours)
        if colour:
            yield Evidence(
                region=region_of(finding, table), part=finding.part, what=colour.name,
                low=colour.deg_c - colour.half, high=colour.deg_c + colour.half, entry=entry.id,
            )  # fmt: skip


def _notes(bracket: Bracket, table: HeatTable) -> Iterator[Note]:
    for clue in bracket.evidence:
        bound = "at_least" if clue.low is not None and clue.high is None else "at_most"
        code = "colour_means" if clue.low is not None and clue.high is not None else f"heat_{bound}"
        low, high = ("" if end is None else f"{end:.0f}" for end in (clue.low, clue.high))
        yield note(code, part=clue.part, what=clue.what, low=low, high=high)
    if bracket.conflict:
        yield note("heat_conflict")
    for part in sorted(table.tempered):
        lost = heat.spoiled(bracket, part, table) if _lies_in(part, bracket.region, table) else None
        if lost:
            surely, material = lost
            yield note(
                f"temper_lost_{surely}", part=part, above=material.spoils, material=material.name, check=material.check
            )


def _lies_in(part: str, region: str, table: HeatTable) -> bool:
    return table.parts[part][1] in region.split()
