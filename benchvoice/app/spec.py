"""Use case: what is wrong with a spec sheet, and what it says."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from benchvoice.domain.sheet import Sheet, SheetProblem, SheetRow
from benchvoice.lexicon import load as load_lexicon
from benchvoice.measure import units
from benchvoice.measure.misprints import doubts, standing_in
from benchvoice.measure.sheets import parse, read_text
from benchvoice.measure.tables import load


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A sheet with its problems: serious ones (it can't be used so) and doubts (look it up again).

    stand_ins: rules of thumb that will hint where the sheet has no limit, "part.name" -> where the rule is from.
    """

    sheet: Sheet | None
    problems: tuple[SheetProblem, ...]
    stand_ins: dict[str, str]

    @property
    def usable(self) -> bool:
        return self.sheet is not None and not any(problem.serious for problem in self.problems)


def check(path: Path) -> Checked:
    """Read and check a sheet. Raises BenchvoiceError only if the file can't be read at all."""
    tables = load()
    sheet, problems = parse(read_text(path), tables, parts=frozenset(load_lexicon().parts), path=str(path))
    if sheet is None:
        return Checked(sheet=None, problems=problems, stand_ins={})
    found = sorted((*problems, *doubts(sheet, tables)), key=lambda problem: problem.line)
    return Checked(sheet=sheet, problems=tuple(found), stand_ins=dict(standing_in(sheet, tables)))


def explained(row: SheetRow) -> str:
    """A row in words, in both systems of units: what it says and what it will be used for."""
    sizes = []
    if row.nominal is not None:
        sizes.append(f"nominal {_both(row.nominal, row.unit)}")
    if row.new_low is not None and row.new_high is not None:
        sizes.append(f"new {_both(row.new_low, row.unit)} to {_both(row.new_high, row.unit)}")
    if row.minimum is not None:
        sizes.append(f"never under {_both(row.minimum, row.unit)}")
    if row.maximum is not None:
        sizes.append(f"never over {_both(row.maximum, row.unit)}")
    if row.steps:
        sizes.append("steps " + ", ".join(f"{step:f}" for step in row.steps) + f" {units.symbol(row.unit)}")
    if row.at:
        sizes.append(f"at {row.at}")
    return "; ".join(sizes)


def _both(value: Decimal, unit: str) -> str:
    other = units.counterpart(unit)
    own = f"{value:f} {units.symbol(unit)}".strip()
    return f"{own} ({units.convert_honestly(value, None, unit, other):f} {units.symbol(other)})" if other else own
