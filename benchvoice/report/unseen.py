"""What was not inspected, and how much of each set of parts was."""

from __future__ import annotations

from collections.abc import Sequence

from benchvoice.domain.coverage import CoverageCell, Looked
from benchvoice.domain.findings import Kind, Place
from benchvoice.domain.record import Entry
from benchvoice.report.compose import Desk
from benchvoice.report.language import data
from benchvoice.report.model import Block, Bullets, Column, Paragraph, Row, Says, Section, Sentence, Table
from benchvoice.report.phrases import capital, fold_numbers, join, number_key, region_of, spread

FEW = 14
"""So many parts at most are named on a single page as having nothing on record."""

Counted = tuple[str, tuple[int, ...], tuple[int, ...]]
"""A part, its numbers that were looked at, and all its numbers."""


def section(desk: Desk, *, full: bool) -> Section:
    """Said not to have been inspected; then how many of each set were; then what nothing is on record for."""
    blocks: list[Block] = []
    said = _said(desk, full=full)
    if said:
        blocks.append(Bullets(items=tuple(said)))
    table = _extent(desk) if full else None
    if table:
        blocks.append(table)
    nothing = _nothing_on_record(desk) if full else _few_with_nothing(desk)
    rest = [*(_spoken_as_group(desk) if full else nothing), *_gaps(desk)]
    rest.append(desk.say("coverage", "silence" if full else "silence_page", Says.COVERAGE))
    blocks.append(Paragraph(sentences=tuple(rest)))
    if full and nothing:
        blocks.append(Bullets.of(nothing))
    return Section(key="unseen", title=desk.words.heading("unseen"), blocks=tuple(blocks))


def counted(desk: Desk) -> list[Counted]:
    """Numbered parts that are on record, with the numbers that were looked at; a word about the whole group counts for
    no number.
    """
    if desk.judgement is not None:
        return _from_coverage(desk.judgement.coverage.cells)
    out: list[Counted] = []
    for part, entries in desk.by_part().items():
        key = number_key(part)
        if key is None:
            continue
        every = desk.engine.cylinder_numbers if key == "cylinder" else desk.engine.journal_numbers
        seen = _numbers(entries, key)
        out.append((part, tuple(sorted(seen & set(every))), every))
    return out


def _from_coverage(cells: Sequence[CoverageCell]) -> list[Counted]:
    seen: dict[str, set[int]] = {}
    every: dict[str, set[int]] = {}
    for cell in cells:
        key = number_key(cell.part)
        number = getattr(cell.place, key) if key else None
        if number is None:
            continue
        every.setdefault(cell.part, set()).add(number)
        if cell.looked.backs_a_claim or (cell.looked is Looked.SEEN_IN_PART and cell.place):
            seen.setdefault(cell.part, set()).add(number)
    return [(part, tuple(sorted(seen.get(part, ()))), tuple(sorted(numbers))) for part, numbers in every.items()]


def _numbers(entries: Sequence[Entry], key: str) -> set[int]:
    return {
        getattr(entry.finding.place, key)
        for entry in entries
        if entry.finding.kind is not Kind.UNSEEN and getattr(entry.finding.place, key) is not None
    }


def _said(desk: Desk, *, full: bool) -> list[Paragraph]:
    """The findings of kind unseen, each with the words that give the reason."""
    out: list[Paragraph] = []
    for part, entries in desk.by_part().items():
        unseen = [entry for entry in entries if entry.finding.kind is Kind.UNSEEN]
        for told in desk.narrator.unseen(part, unseen):
            lines = [told.sentence]
            words = _first_words(desk, told.sentence.evidence) if full else ""
            if words:
                lines.append(desk.say("coverage", "said", Says.METHOD, words=words))
            out.append(Paragraph(sentences=tuple(lines)))
    return out


def _first_words(desk: Desk, evidence: Sequence[str]) -> str:
    for entry in desk.entries:
        if entry.id in evidence:
            return desk.redactor.evidence_words(entry.finding.text) or ""
    return ""


def _extent(desk: Desk) -> Table | None:
    """N of M for every numbered part that is on record."""
    column = desk.words.column
    rows: list[Row] = []
    order = {
        part: place for place, part in enumerate(part for item in data("parts")["region"] for part in item["parts"])
    }
    known = desk.by_part()
    for part, seen, every in sorted(counted(desk), key=lambda row: order.get(row[0], len(order))):
        if part not in known:
            continue
        missing = tuple(number for number in every if number not in seen)
        cells = (
            capital(desk.phrases.part(part, many=True)), str(len(seen)), str(len(every)),
            fold_numbers(seen, desk.words), fold_numbers(missing, desk.words),
        )  # fmt: skip
        ids = tuple(entry.id for entry in known[part])
        rows.append(Row(cells=cells, evidence=ids))
    if not rows:
        return None
    columns = (
        Column(title=column("part"), weight=2.0), Column(title=column("looked"), numeric=True, weight=0.8),
        Column(title=column("total"), numeric=True, weight=0.5), Column(title=column("which"), weight=2.0),
        Column(title=column("not_looked"), weight=2.0),
    )  # fmt: skip
    return Table(title=desk.words.heading("extent"), columns=columns, rows=tuple(rows))


def _spoken_as_group(desk: Desk) -> list[Sentence]:
    """Numbered parts about which something was said without a number."""
    parts: list[str] = []
    ids: list[str] = []
    for part, entries in desk.by_part().items():
        key = number_key(part)
        loose = [
            entry.id
            for entry in entries
            if key and entry.finding.kind is not Kind.UNSEEN and getattr(entry.finding.place, key) is None
        ]
        if loose:
            parts.append(desk.phrases.part(part, many=True))
            ids += loose
    if not parts:
        return []
    return [desk.say("coverage", "group_only", Says.COVERAGE, ids, parts=join(parts, desk.words))]


def _nothing_on_record(desk: Desk) -> list[Sentence]:
    """By region, the parts that no finding names at all."""
    known = set(desk.by_part())
    fitting = _fitting(desk)
    names = desk.words.table("regions")
    out: list[Sentence] = []
    for item in data("parts")["region"]:
        if item["name"] == "whole":
            continue
        missing = [part for part in item["parts"] if part not in known and part in fitting]
        if missing:
            parts = join([desk.phrases.part(part, many=number_key(part) is not None) for part in missing], desk.words)
            out.append(desk.say("coverage", "nothing", Says.COVERAGE, region=names[item["name"]], parts=parts))
    return out


def _few_with_nothing(desk: Desk) -> list[Sentence]:
    """The same in one sentence, for a single page: the parts that any buyer asks about first, and how many others."""
    known = set(desk.by_part())
    missing = _fitting(desk) - known
    names = [part for part in data("parts")["asked_about"] if part in missing]
    if not missing:
        return []
    told = [desk.phrases.part(part, many=number_key(part) is not None) for part in names[:FEW]]
    others = len(missing) - len(told)
    if others:
        told.append(desk.words.say("coverage", "other_parts", count=others))
    return [desk.say("coverage", "nothing_at_all", Says.COVERAGE, parts=join(told, desk.words))]


def _fitting(desk: Desk) -> set[str]:
    """Parts that a buyer may ask about: of the judgement's checklist, else of the report's own."""
    if desk.judgement is not None:
        return {cell.part for cell in desk.judgement.coverage.cells}
    return set(data("parts")["asked_about"])


def in_short(desk: Desk) -> str:
    """The parts that were said not to have been inspected, as one list; "" if there are none."""
    items: list[str] = []
    for part, bare, numbers in unseen_places(desk):
        subject = desk.phrases.subject(part, bare, numbers, said=_texts(desk, part))
        items.append(subject.text + subject.where)
    return join(items, desk.words)


def _texts(desk: Desk, part: str) -> list[str]:
    entries = desk.by_part()[part]
    return [entry.finding.text for entry in entries if entry.finding.kind is Kind.UNSEEN]


def unseen_places(desk: Desk) -> list[tuple[str, Place, tuple[int, ...]]]:
    """Parts and places that were said not to have been inspected."""
    out: list[tuple[str, Place, tuple[int, ...]]] = []
    for part, entries in desk.by_part().items():
        places = [entry.finding.place for entry in entries if entry.finding.kind is Kind.UNSEEN]
        out.extend((part, bare, numbers) for bare, numbers in spread(places, part))
    return sorted(out, key=lambda item: region_of(item[0]))


def _gaps(desk: Desk) -> list[Sentence]:
    gaps = [gap for sitting in desk.record.sittings.values() for gap in sitting.gaps]
    if not gaps:
        return []
    lost = sum(gap.t1 - gap.t0 for gap in gaps if gap.t1 is not None)
    seconds = f" ({lost:.0f} s)" if lost >= 1 else ""
    return [desk.say("coverage", "gaps", Says.COVERAGE, count=len(gaps), seconds=seconds)]
