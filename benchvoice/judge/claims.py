"""What may be said to a buyer of each lot: statements made from the coverage, and claims that it can't carry.

A supported statement names the members that it speaks of, and every one of them was looked at; members that were not
opened are named too, and never covered.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from benchvoice.domain.coverage import Coverage, CoverageCell, Looked, State
from benchvoice.domain.figures import Figure, Verdict
from benchvoice.domain.judgement import Claim, Overruling, Refused, Warranty
from benchvoice.judge.coverage import has_word
from benchvoice.judge.places import numbers
from benchvoice.lexicon.judging import JudgingTables
from benchvoice.lexicon.judging_types import ClaimRow, LotRow, Need, PartRow

_BAD = (State.IMPAIRED, State.SPOILED)


@dataclass(frozen=True, slots=True)
class Subject:
    """A lot as far as claims go: which cells it holds or hangs on."""

    id: str
    name: str
    row: LotRow
    cells: tuple[CoverageCell, ...]


@dataclass(frozen=True, slots=True)
class Grounds:
    """What claims stand on besides coverage. texts: utterances of the record, to find a named test in. within: keys of
    the cells whose figures all lie within a limit of the spec sheet.
    """

    texts: tuple[str, ...]
    within: frozenset[str]


def grounds(texts: Iterable[str], figures: Iterable[Figure]) -> Grounds:
    verdicts: dict[str, set[Verdict | None]] = {}
    for figure in figures:
        place = replace(figure.place, level=None, side=None, shell=None, end=None)
        verdicts.setdefault(CoverageCell(part=figure.part, place=place).key, set()).add(figure.verdict)
    bad = {Verdict.BEYOND, Verdict.CANT_TELL}
    within = frozenset(key for key, found in verdicts.items() if Verdict.WITHIN in found and not found & bad)
    return Grounds(tuple(texts), within)


def claims(
    subjects: Iterable[Subject], given: Grounds, tables: JudgingTables, overruled: Mapping[str, Overruling]
) -> tuple[Claim, ...]:
    """Statements and refused claims of every lot. A claim that the person withholds ("claim:<lot>:<id>") is not
    supported; none can be forced.
    """
    out: list[Claim] = []
    for subject in subjects:
        for claim in [*_statements(subject, tables), *_asked_for(subject, given, tables)]:
            ruling = overruled.get(f"claim:{subject.id}:{claim.id}")
            withheld = ruling is not None and claim.supported
            out.append(_withheld(claim, ruling) if withheld and ruling else claim)
    return tuple(out)


def _withheld(claim: Claim, ruling: Overruling) -> Claim:
    why = f"withheld: {ruling.reason or ruling.verdict}"
    return Claim(lot=claim.lot, id=claim.id, text=claim.text, supported=False, missing=(why,))


def _by_part(cells: Iterable[CoverageCell]) -> dict[str, list[CoverageCell]]:
    out: dict[str, list[CoverageCell]] = {}
    for cell in cells:
        out.setdefault(cell.part, []).append(cell)
    return out


def _statements(subject: Subject, tables: JudgingTables) -> list[Claim]:
    """One statement a part and way of looking; what was not opened is a statement of its own."""
    out = []
    for part, cells in _by_part(subject.cells).items():
        row = tables.parts[part]
        seen = [cell for cell in cells if cell.looked in (Looked.SEEN, Looked.MEASURED)]
        measured = [cell for cell in cells if cell.looked is Looked.MEASURED]
        out += _measured(subject, row, measured, len(cells), tables)
        out += _looked(subject, row, "looked", [cell for cell in seen if _described(cell)], len(cells), tables)
        out += _looked(subject, row, "felt", _of(cells, Looked.FELT), len(cells), tables)
        out += _partly(subject, row, cells, tables)
        out += _not_seen(subject, row, cells, tables)
    return out


def _of(cells: Iterable[CoverageCell], *looked: Looked) -> list[CoverageCell]:
    return [cell for cell in cells if cell.looked in looked]


def _described(cell: CoverageCell) -> bool:
    """False for a cell that was only measured: nobody said what it looks like."""
    return cell.looked is Looked.SEEN or bool(cell.conditions) or not cell.measured


def _fill(template: str, row: PartRow, cells: Sequence[CoverageCell], **words: str) -> str:
    places = [cell.place for cell in cells]
    one, many = row.say, row.plural
    return template.format(
        Part=f"{one[0].upper()}{one[1:]} {numbers(places)}".strip(),
        Parts=f"{many[0].upper()}{many[1:]}" if len(cells) != 1 else f"{one[0].upper()}{one[1:]}",
        parts=many if len(cells) != 1 else one,
        numbers=numbers(places),
        **words,
    )


def _statement(
    subject: Subject,
    row: PartRow,
    kind: str,
    cells: Sequence[CoverageCell],
    total: int,
    tables: JudgingTables,
    **words: str,
) -> Claim:
    covers = kind in ("measured", "looked", "felt")
    name = kind if total > 1 else f"{kind}_one"
    return Claim(
        lot=subject.id,
        id=f"{row.name}:{kind}",
        text=_fill(tables.wording.statements[name], row, cells, **words),
        supported=True,
        covers=tuple(cell.key for cell in cells) if covers else (),
        evidence=tuple(dict.fromkeys(i for cell in cells for i in cell.evidence)),
        source=tables.wording.disclosure_source,
    )


def _measured(
    subject: Subject, row: PartRow, cells: list[CoverageCell], total: int, tables: JudgingTables
) -> list[Claim]:
    groups: dict[tuple[str, ...], list[CoverageCell]] = {}
    for cell in cells:
        groups.setdefault(cell.measured, []).append(cell)
    return [
        _statement(
            subject, row, "measured", group, total, tables,
            quantities=_and([quantity.replace("_", " ") for quantity in quantities]),
        )
        for quantities, group in groups.items()
    ]  # fmt: skip


def _looked(
    subject: Subject, row: PartRow, kind: str, cells: list[CoverageCell], total: int, tables: JudgingTables
) -> list[Claim]:
    if not cells:
        return []
    states = "; ".join(_states(cells, total, tables))
    return [_statement(subject, row, kind, cells, total, tables, states=states)]


def _states(cells: Sequence[CoverageCell], total: int, tables: JudgingTables) -> list[str]:
    """What was found, worst first: "wiped at 3", "nothing bad was noted at 5 and 6"."""
    found: dict[str, list[CoverageCell]] = {}
    for cell in sorted(cells, key=lambda cell: _BAD.index(cell.state) if cell.state in _BAD else -1, reverse=True):
        found.setdefault(_found(cell, tables), []).append(cell)
    if total == 1 or len(found) == 1:
        return list(found)
    return [f"{text} at {numbers([cell.place for cell in group])}" for text, group in found.items()]


def _found(cell: CoverageCell, tables: JudgingTables) -> str:
    names = [name for name in cell.conditions if name not in tables.conditions.fine]
    text = " and ".join(name.replace("_", " ") for name in names)
    if not text:
        text = "outside its limit" if cell.state in _BAD else tables.wording.statements["nothing_found"]
    elif cell.state is State.SOUND and not tables.parts[cell.part].harmless.issuperset(names):
        text = f"light marks ({text})"
    return f"{text} ({tables.wording.statements['hedged']})" if "said with doubt" in cell.note and names else text


def _partly(subject: Subject, row: PartRow, cells: list[CoverageCell], tables: JudgingTables) -> list[Claim]:
    groups: dict[str, list[CoverageCell]] = {}
    for cell in _of(cells, Looked.SEEN_IN_PART):
        groups.setdefault(cell.note or "in part", []).append(cell)
    return [_statement(subject, row, "in_part", group, len(cells), tables, note=note) for note, group in groups.items()]


def _not_seen(subject: Subject, row: PartRow, cells: list[CoverageCell], tables: JudgingTables) -> list[Claim]:
    out = []
    closed = _of(cells, Looked.NOT_LOOKED_AT)
    if closed and len(closed) == len(cells) > 1:
        out.append(_statement(subject, row, "not_opened_all", closed, len(cells), tables))
    elif closed:
        out.append(_statement(subject, row, "not_opened", closed, len(cells), tables))
    for kind, looked in (("could_not", Looked.COULD_NOT_BE_SEEN), ("gone", Looked.GONE)):
        group = _of(cells, looked)
        if group:
            out.append(_statement(subject, row, kind, group, len(cells), tables))
    return out


def _and(texts: Sequence[str]) -> str:
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}" if texts else ""


def _asked_for(subject: Subject, given: Grounds, tables: JudgingTables) -> list[Claim]:
    return [_asked(subject, tables.claims[name], given, tables) for name in subject.row.claims]


def _asked(subject: Subject, row: ClaimRow, given: Grounds, tables: JudgingTables) -> Claim:
    """A claim that buyers ask for: supported only if every part that it speaks of was looked at and is sound."""
    words = tables.wording.statements
    cells: list[CoverageCell] = []
    missing = [words["missing_hearsay"]] if row.hearsay else []
    for need in row.needs:
        here = [cell for cell in subject.cells if cell.part == need.part]
        if not here and row.own_parts_only:
            continue
        cells += here
        missing += _missing(need, here, given, tables)
    named = [text for text in given.texts if has_word(text, row.words)]
    if row.words and not named:
        missing.append(words["missing_words"].format(words=", ".join(row.words[:3])))
    supported = not missing and bool(cells)
    if supported:
        say = row.say[0].upper() + row.say[1:]
        text = words["supported"].format(Claim=say, how=_how(row, cells, tables))
    else:
        listed = "; ".join(missing) or words["missing_looked"].format(parts=row.say, numbers="").strip()
        text = words["unsupported"].format(claim=row.say, missing=f"{listed[0].upper()}{listed[1:]}.")
    return Claim(
        lot=subject.id,
        id=row.id,
        text=text,
        supported=supported,
        covers=tuple(cell.key for cell in cells) if supported else (),
        evidence=tuple(dict.fromkeys(i for cell in cells for i in cell.evidence)),
        missing=tuple(missing),
        source=tables.wording.disclosure_source,
    )


def _missing(need: Need, cells: Sequence[CoverageCell], given: Grounds, tables: JudgingTables) -> list[str]:
    words, row = tables.wording.statements, tables.parts[need.part]
    closed = [cell for cell in cells if not cell.looked.backs_a_claim]
    if len(closed) == len(cells) != 1:
        return [_fill(words["missing_none"], row, cells)]
    out = []
    if closed:
        out.append(_fill(words["missing_looked"], row, closed))
    if need.how == "measured":
        unmeasured = [cell for cell in cells if cell.looked.backs_a_claim and cell.looked is not Looked.MEASURED]
        if unmeasured:
            out.append(_fill(words["missing_measured"], row, unmeasured))
    if need.how == "within":
        unsure = [cell for cell in cells if cell.looked.backs_a_claim and cell.key not in given.within]
        if unsure:
            out.append(_fill(words["missing_within"], row, unsure))
    bad = [cell for cell in cells if cell.state in _BAD]
    if bad:
        out.append(_fill(words["missing_bad"], row, bad, states=_and(_states(bad, 1, tables))))
    return [" ".join(text.split()) for text in out]


def _how(row: ClaimRow, cells: Sequence[CoverageCell], tables: JudgingTables) -> str:
    parts = []
    for need in row.needs:
        here = [cell for cell in cells if cell.part == need.part]
        if not here:
            continue
        say = tables.parts[need.part]
        parts.append(f"{say.plural if len(here) > 1 else say.say} {numbers([c.place for c in here])}".strip())
    verb = "looked at" if all(need.how == "seen" for need in row.needs) else "measured"
    return f"{_and(parts)} {verb}, nothing bad noted"


def warranties(coverage: Coverage, cells: Iterable[CoverageCell], tables: JudgingTables) -> tuple[Warranty, ...]:
    """Which warranty wordings the record can carry. cells: those of the planned lots."""
    here = tuple(cells) or coverage.cells
    looked = [cell for cell in here if cell.looked.backs_a_claim]
    fits = {
        "none": True,
        "some": bool(looked),
        "all": bool(here) and len(looked) == len(here) and all(cell.state is State.SOUND for cell in looked),
    }
    closed = len(here) - len(looked)
    against = {
        "none": "",
        "some": "nothing has been looked at yet",
        "all": f"{closed} of {len(here)} parts were not looked at" if closed else "parts were found bad",
    }
    return tuple(
        Warranty(
            id=row.id,
            text=row.text,
            fits=fits[row.needs],
            why=row.why if fits[row.needs] else against[row.needs],
            caution=row.caution,
            source=row.source,
        )
        for row in tables.warranties
    )


def refused_words(tables: JudgingTables) -> tuple[Refused, ...]:
    """Every word that a record can't carry, with its rule."""
    return tuple(
        Refused(word=word, why=row.why, source=row.source, instead=row.instead)
        for row in tables.refused
        for word in row.words
    )


def refused_in(text: str, refused: Iterable[Refused]) -> tuple[Refused, ...]:
    """The refused words that stand in a text, as whole words; for a report or a listing before it goes out."""
    return tuple(item for item in refused if has_word(text, [item.word]))
