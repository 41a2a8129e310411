"""The tables that judgement runs on: what to look at, what it says, what can be sold and said.

Files: coverage, checks, causes, lots, claims of grammars/en/, each with the person's own file of the same name laid
over it (rows of the same name replace ours).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.abc import Traversable
from pathlib import Path

from benchvoice import paths, resources
from benchvoice.lexicon import judging_rows as rows
from benchvoice.lexicon.judging_types import (
    CauseRow,
    CautionRow,
    CheckRow,
    ClaimRow,
    ConditionSets,
    LookWords,
    LotRow,
    Observation,
    OneEvent,
    PartRow,
    RefusedRow,
    Stage,
    WarrantyRow,
    Weights,
    Wording,
)
from benchvoice.lexicon.judging_wording import wording
from benchvoice.lexicon.tables import Problems, Table, merged, read_text

FILES = ("coverage", "checks", "causes", "lots", "claims")


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgingTables:
    """All tables, cross-checked: every part, condition, observation and stage that is named exists."""

    parts: dict[str, PartRow]
    stages: dict[str, Stage]
    conditions: ConditionSets
    words: LookWords
    no_look: frozenset[str]
    checks: tuple[CheckRow, ...]
    observations: dict[str, Observation]
    events: tuple[OneEvent, ...]
    causes: tuple[CauseRow, ...]
    weights: Weights
    lots: tuple[LotRow, ...]
    returns_share: float
    claims: dict[str, ClaimRow]
    refused: tuple[RefusedRow, ...]
    warranties: tuple[WarrantyRow, ...]
    cautions: tuple[CautionRow, ...]
    wording: Wording

    def before(self, stage: str) -> tuple[str, ...]:
        """The stage and everything that must be opened before it, in order, each once."""
        out: list[str] = []
        for earlier in self.stages[stage].after:
            out += [name for name in self.before(earlier) if name not in out]
        return (*out, stage)


def load_judging(*folders: Traversable | Path) -> JudgingTables:
    """Reads the tables from `folders`, the first one complete, later ones laid over it.

    Raises GrammarError that lists every problem with its file and line.
    """
    problems = Problems()
    found: dict[str, list[Table]] = {name: [] for name in FILES}
    for number, folder in enumerate(folders):
        for name in FILES:
            path = folder / f"{name}.toml"
            if number == 0 or path.is_file():
                shown = f"{name}.toml" if number == 0 else str(path)
                found[name].append(Table(shown, read_text(path), problems))
    tables = _build(found)
    problems.raise_if_any("The tables for judging can't be used")
    return tables


@lru_cache(maxsize=1)
def judging_tables() -> JudgingTables:
    """The built-in tables under the person's own ones."""
    own = paths.config() / "grammars" / "en"
    folders: list[Traversable | Path] = [resources.folder("grammars") / "en"]
    return load_judging(*folders, *([own] if own.is_dir() else []))


def _build(found: dict[str, list[Table]]) -> JudgingTables:
    for name, keys in rows.TOP_KEYS.items():
        for table in found[name]:
            table.check_keys(keys)
    coverage, causes, claims = found["coverage"], found["causes"], found["claims"]
    stages = {row.data.get("id", ""): rows.stage(row) for row in merged(coverage, "stage", "id")}
    part_rows = merged(coverage, "part", "name")
    known = {str(row.data.get("name", "")) for row in part_rows}
    conditions = rows.conditions(coverage)
    named = conditions.all
    parts = {part.name: part for part in (rows.part(row, known, stages, named) for row in part_rows)}
    rows.check_stages(coverage, stages)
    observations = {o.id: o for o in (rows.observation(r, known, named) for r in merged(causes, "observation", "id"))}
    sources = rows.sources(causes)
    claim_rows = {c.id: c for c in (rows.claim(row, known) for row in merged(claims, "claim", "id"))}
    return JudgingTables(
        parts=parts,
        stages=stages,
        conditions=conditions,
        words=rows.look_words(coverage),
        no_look=rows.no_look(coverage),
        checks=tuple(rows.check(row, known, named) for row in merged(found["checks"], "check", "id")),
        observations=observations,
        events=tuple(rows.one_event(row, observations) for row in merged(causes, "one_event", "id")),
        causes=tuple(rows.cause(row, observations, sources) for row in merged(causes, "cause", "id")),
        weights=rows.weights(causes),
        lots=tuple(rows.lot(row, known, claim_rows, stages) for row in merged(found["lots"], "lot", "id")),
        returns_share=rows.returns_share(found["lots"]),
        claims=claim_rows,
        refused=rows.refused(claims),
        warranties=tuple(rows.warranty(row) for row in merged(claims, "warranty", "id")),
        cautions=rows.cautions(claims, known, named),
        wording=wording(claims, found["lots"], causes),
    )
