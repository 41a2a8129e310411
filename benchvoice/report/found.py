"""What was found, by region; and the few findings that matter most."""

from __future__ import annotations

from dataclasses import dataclass, replace

from benchvoice.domain.findings import Finding, Kind
from benchvoice.report.compose import Desk
from benchvoice.report.language import data
from benchvoice.report.model import Arrangement, Block, Bullets, Column, Paragraph, Row, Says, Section, Sentence, Table
from benchvoice.report.narrate import Told
from benchvoice.report.phrases import capital, region_of, region_order

PARAGRAPH = 5
"""Sentences in a paragraph, about: a part's sentences are kept together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Told sentences by region, in the order asked for."""

    regions: tuple[tuple[str, tuple[Told, ...]], ...]

    def all(self) -> list[Told]:
        return [told for _, tolds in self.regions for told in tolds]

    def worst(self, least: int) -> list[Told]:
        """The weightiest sentences, heaviest first; of equal ones those about the parts that decide a sale."""
        base = {item["name"]: item["weight"] for item in data("parts")["region"]}
        told = [item for item in self.all() if item.weight >= least]
        return sorted(told, key=lambda item: (-item.weight, -base.get(region_of(item.part), 0)))


def tell(desk: Desk) -> Found:
    """All findings but the unseen ones, as sentences."""
    order = {part: place for place, part in enumerate(_part_order())}
    parts = sorted(desk.by_part().items(), key=lambda item: (order.get(item[0], len(order)), item[0]))
    regions: dict[str, list[Told]] = {name: [] for name in region_order()}
    for part, entries in parts:
        seen = [entry for entry in entries if entry.finding.kind is not Kind.UNSEEN]
        regions[region_of(part)].extend(desk.narrator.part(part, seen))
    filled = [(name, tuple(tolds)) for name, tolds in regions.items() if tolds]
    if desk.options.arrangement is Arrangement.IMPORTANCE:
        base = {item["name"]: item["weight"] for item in data("parts")["region"]}
        filled.sort(key=lambda item: (-max(told.weight for told in item[1]), -base.get(item[0], 0)))
    return Found(regions=tuple(filled))


def sections(desk: Desk, found: Found) -> list[Section]:
    """The chapter, then one section a region."""
    if not found.regions:
        nothing = desk.say("summary", "nothing", Says.METHOD)
        return [Section(key="found", title=desk.words.heading("found"), blocks=(Paragraph(sentences=(nothing,)),))]
    out = [Section(key="found", title=desk.words.heading("found"), blocks=())]
    names = desk.words.table("regions")
    for region, tolds in found.regions:
        out.append(
            Section(key=f"found-{region}", title=names[region], level=2, blocks=tuple(_paragraphs(tolds)))
        )  # fmt: skip
    return out + _kept_side_by_side(desk)


def _kept_side_by_side(desk: Desk) -> list[Section]:
    """Findings that contradict each other and were kept on purpose, with the reason."""
    entries = {entry.id: entry for entry in desk.entries}
    items: list[Paragraph] = []
    for settled in desk.record.settled:
        if settled.decision != "both" or settled.first not in entries or settled.second not in entries:
            continue
        ids = (settled.first, settled.second)
        first, second = (desk.narrator.one(entries[item]) for item in ids)
        lines = [desk.say("summary", "both", Says.METHOD, ids, first=first, second=second)]
        reason = desk.redactor.evidence_words(settled.reason)
        if reason:
            lines.append(desk.say("summary", "because", Says.METHOD, reason=reason.rstrip(". ")))
        items.append(Paragraph(sentences=tuple(lines)))
    title = desk.words.heading("side_by_side")
    return [Section(key="found-both", title=title, level=2, blocks=(Bullets(items=tuple(items)),))] if items else []


def measurement_table(desk: Desk) -> Table | None:
    """Every accepted measurement, one a row."""
    column = desk.words.column
    rows: list[Row] = []
    measured = [entry for entry in desk.entries if entry.finding.kind is Kind.MEASUREMENT]
    order = {part: place for place, part in enumerate(_part_order())}
    measured.sort(key=lambda entry: (order.get(entry.finding.part, len(order)), *_by_place(entry.finding)))
    for entry in measured:
        finding = entry.finding
        other = desk.phrases.other_units(finding)
        quantity = desk.phrases.quantity(finding.quantity or "")["name"]
        step = "" if finding.resolution is None else desk.phrases.with_unit(finding.resolution, finding.unit)
        guarded = " (?)" if finding.hedged else ""
        cells = (
            capital(desk.phrases.part(finding.part)), desk.phrases.place(finding.part, finding.place),
            capital(quantity), desk.phrases.value_as_spoken(finding) + guarded, other, step,
        )  # fmt: skip
        ref = desk.narrator.refs[entry.id]
        rows.append(
            Row(
                cells=cells,
                evidence=(entry.id,),
                refs=(ref,) if desk.narrator.numbered else (),
                claim=desk.narrator.one(entry),
            )
        )
    if not rows:
        return None
    columns = (
        Column(title=column("part"), weight=1.5), Column(title=column("place"), weight=1.5),
        Column(title=column("quantity"), weight=1.2), Column(title=column("value"), numeric=True),
        Column(title=column("other_value"), numeric=True), Column(title=column("step"), numeric=True, weight=0.8),
    )  # fmt: skip
    return without_empty(Table(title=desk.words.heading("measurements"), columns=columns, rows=tuple(rows)))


def without_empty(table: Table) -> Table:
    """The table without columns that hold nothing."""
    kept = [place for place in range(len(table.columns)) if any(row.cells[place] for row in table.rows)]
    rows = tuple(replace(row, cells=tuple(row.cells[place] for place in kept)) for row in table.rows)
    return replace(table, columns=tuple(table.columns[place] for place in kept), rows=rows)


def _by_place(finding: Finding) -> tuple[str, int, int]:
    place = finding.place
    levels = {"top": 0, "middle": 1, "bottom": 2}
    return finding.quantity or "", place.cylinder or place.journal or 0, levels.get(place.level or "", 0)


def _part_order() -> list[str]:
    return [part for item in data("parts")["region"] for part in item["parts"]]


def _paragraphs(tolds: tuple[Told, ...]) -> list[Block]:
    """Sentences in paragraphs of about PARAGRAPH, never cutting a part in two unless it is long by itself."""
    out: list[Block] = []
    current: list[Sentence] = []
    last = ""
    for told in tolds:
        if current and ((len(current) >= PARAGRAPH and told.part != last) or len(current) >= 2 * PARAGRAPH):
            out.append(Paragraph(sentences=tuple(current)))
            current = []
        current.append(told.sentence)
        last = told.part
    if current:
        out.append(Paragraph(sentences=tuple(current)))
    return out
