"""Computed figures and judgements as chapters; each is left out when there is nothing to say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal

from benchvoice.domain.figures import Figure, Limit, Mark, Verdict
from benchvoice.domain.findings import Place
from benchvoice.domain.judgement import Cause, Claim
from benchvoice.report.clean import clean
from benchvoice.report.compose import Desk
from benchvoice.report.found import without_empty
from benchvoice.report.language import data
from benchvoice.report.model import (
    Block,
    Bullets,
    Chart,
    Column,
    Paragraph,
    Point,
    Reading,
    Row,
    Says,
    Section,
    Sentence,
    Table,
)
from benchvoice.report.phrases import capital, spread

MIN_POINTS = 3
"""A chart needs at least this many values to show more than a sentence does."""
UNTOLD = frozenset({"no_cracks"})
"""Claims that are left to the findings themselves: "no cracks seen" must not become "there are no cracks"."""
CAUSES = 3
"""So many causes are told; the rest is in the data."""


def readings(desk: Desk) -> tuple[Reading, ...]:
    return tuple(_reading(desk, figure) for figure in desk.figures)


def numbers(desk: Desk, measurements: Table | None, *, full: bool) -> Section | None:
    """What was computed: the judged figures as sentences, all of them in a table, values side by side as charts."""
    blocks: list[Block] = []
    judged = [figure for figure in desk.figures if figure.verdict not in (None, Verdict.NO_LIMIT)]
    told = [figure for figure in judged if figure.verdict is not Verdict.WITHIN]
    told.sort(key=lambda figure: _VERDICT_ORDER[figure.verdict or Verdict.NO_LIMIT])
    if told:
        blocks.append(Bullets.of(_sentence(desk, figure) for figure in told))
    within = [figure for figure in judged if figure.verdict is Verdict.WITHIN]
    if within:
        ids = [item for figure in within for item in figure.inputs]
        line = desk.say("figure", "within_many", Says.FIGURE, ids, count=len(within))
        blocks.append(Paragraph(sentences=(line,)))
    if full:
        blocks.extend(charts(desk))
        table = _figure_table(desk)
        if table:
            blocks.append(table)
        if measurements:
            blocks.append(measurements)
    if not blocks:
        return None
    return Section(key="numbers", title=desk.words.heading("numbers"), blocks=tuple(blocks))


_VERDICT_ORDER = {Verdict.BEYOND: 0, Verdict.CANT_TELL: 1, Verdict.WITHIN: 2, Verdict.NO_LIMIT: 3}
_VERDICT_KEYS = {
    Verdict.WITHIN: "within", Verdict.BEYOND: "beyond", Verdict.CANT_TELL: "cant_tell", Verdict.NO_LIMIT: "no_limit",
}  # fmt: skip
_MARK_KEYS = {
    Mark.SHEET: "sheet", Mark.SOURCE: "source", Mark.COMMON_PRACTICE: "common_practice", Mark.MEMORY: "memory",
}  # fmt: skip


def _name(desk: Desk, figure: Figure) -> str:
    table = desk.words.table("figures")
    if figure.name == "reading" and figure.quantity:
        name: str = desk.phrases.quantity(figure.quantity)["name"]
        return name
    entry = table.get(figure.name, clean(figure.name.replace("_", " ")))
    return str(entry["name"] if isinstance(entry, dict) else entry)


def _of(desk: Desk, figure: Figure) -> str:
    """The word between the figure's name and its part."""
    if figure.name == "reading" and figure.quantity:
        return str(desk.phrases.quantity(figure.quantity)["of"])
    entry = desk.words.table("figures").get(figure.name)
    return str(entry["of"]) if isinstance(entry, dict) else str(desk.words.table("language")["of"])


def _value(desk: Desk, figure: Figure, *, both: bool = True) -> str:
    """The value, or the interval where the result is only bounded."""
    if figure.value is not None:
        text = desk.phrases.with_unit(Decimal(figure.shown()), figure.unit)
        if desk.phrases.both_units and both:
            other = desk.phrases.converted(Decimal(figure.shown()), figure.unit, Decimal(1).scaleb(-figure.digits))
            text += f" ({other})" if other else ""
        return text
    step = Decimal(1).scaleb(-figure.digits)
    low, high = (None if end is None else end.quantize(step) for end in (figure.low, figure.high))
    return _limits(desk, low, high, figure.unit)


def _limits(desk: Desk, low: Decimal | None, high: Decimal | None, unit: str) -> str:
    bounds = desk.words.table("language")["bounds"]
    if low is not None and high is not None:
        if low == high:
            return desk.phrases.with_unit(low, unit)
        text: str = bounds["range"].format(low=desk.phrases.number(low), high=desk.phrases.with_unit(high, unit))
        return text
    if low is not None:
        return str(bounds["at_least"].format(value=desk.phrases.with_unit(low, unit)))
    if high is not None:
        return str(bounds["at_most"].format(value=desk.phrases.with_unit(high, unit)))
    return ""


def _signed(desk: Desk, low: Decimal | None, high: Decimal | None, unit: str) -> str:
    """A limit in few signs, for a table: "≤ 0.0020 in"."""
    if low is not None and high is not None:
        return _limits(desk, low, high, unit)
    end = low if low is not None else high
    return "" if end is None else f"{'≥' if low is not None else '≤'} {desk.phrases.with_unit(end, unit)}"


def _limit(desk: Desk, limit: Limit | None) -> str:
    return _limits(desk, limit.low, limit.high, limit.unit) if limit else ""


def _uncertainty(desk: Desk, figure: Figure) -> str:
    if figure.uncertainty is None:
        return ""
    amount = Decimal(f"{figure.uncertainty:.2g}")
    return f"± {desk.phrases.with_unit(Decimal(f'{amount:f}'), figure.unit)}"


def _mark(desk: Desk, mark: Mark) -> str:
    return str(desk.words.table("figures")["marks"][_MARK_KEYS[mark]])


def _source(desk: Desk, limit: Limit | None) -> str:
    if limit is None:
        return ""
    mark = _mark(desk, limit.basis.mark)
    source = desk.redactor.text(limit.basis.source)
    return f"{mark}: {source}" if source else mark


def _where(desk: Desk, figure: Figure) -> tuple[str, str]:
    bare, numbers = spread([figure.place], figure.part)[0]
    quantity = desk.phrases.quantity(figure.quantity)
    if quantity.get("cylinder") and figure.part == "cylinder_bore" and numbers:
        subject = desk.phrases.cylinders(bare, numbers)
    else:
        subject = desk.phrases.subject(figure.part, bare, numbers, said=())
    return subject.text, subject.where


def _sentence(desk: Desk, figure: Figure) -> Sentence:
    subject, where = _where(desk, figure)
    verdict = figure.verdict or Verdict.NO_LIMIT
    pm = f" {_uncertainty(desk, figure)}" if figure.uncertainty is not None else ""
    source = _source(desk, figure.limit)
    text = desk.words.say(
        "figure", f"verdict_{_VERDICT_KEYS[verdict]}", Name=capital(_name(desk, figure)), of=_of(desk, figure),
        subject=subject, where=where, value=_value(desk, figure), pm=pm, limit=_limit(desk, figure.limit),
        source=f" ({source})" if source else "",
        guard=f" {desk.words.say('figure', 'guarded')}" if figure.hedged else "",
    )  # fmt: skip
    return desk.line(text, Says.FIGURE, figure.inputs)


def _reading(desk: Desk, figure: Figure) -> Reading:
    subject, where = _where(desk, figure)
    verdicts = desk.words.table("figures")["verdicts"]
    return Reading(
        name=_name(desk, figure),
        subject=capital(subject + where),
        value=_value(desk, figure),
        limit=_limit(desk, figure.limit or figure.thumb),
        verdict=verdicts[_VERDICT_KEYS[figure.verdict]] + (" (?)" if figure.hedged else "") if figure.verdict else "",
        uncertainty=_uncertainty(desk, figure),
        source=_source(desk, figure.limit or figure.thumb),
        number=figure.value,
        unit=figure.unit,
        evidence=tuple(item for item in figure.inputs if item in desk.narrator.refs),
    )


def _figure_table(desk: Desk) -> Table | None:
    """Every figure but the bare readings, which are in the table of measurements."""
    column = desk.words.column
    rows: list[Row] = []
    for figure in desk.figures:
        if figure.name == "reading" and figure.verdict in (None, Verdict.NO_LIMIT):
            continue
        if figure.name in data("figures")["data_only"]:
            continue
        item = _reading(desk, figure)
        limit = figure.limit or figure.thumb
        signs = _signed(desk, limit.low, limit.high, limit.unit) if limit else ""
        cells = (
            item.subject, capital(item.name), _value(desk, figure, both=False), item.uncertainty, signs, item.verdict,
            item.source.removeprefix(_mark(desk, Mark.SHEET) + ": "),
        )  # fmt: skip
        line = desk.line("", Says.FIGURE, figure.inputs)
        rows.append(Row(cells=cells, evidence=line.evidence, refs=line.refs))
    if not rows:
        return None
    columns = (
        Column(title=column("part"), weight=1.6), Column(title=column("figure"), weight=1.4),
        Column(title=column("value"), numeric=True, weight=1.05),
        Column(title=column("uncertainty"), numeric=True, weight=1.3),
        Column(title=column("limit"), numeric=True, weight=1.25), Column(title=column("verdict"), weight=0.85),
        Column(title=column("source"), weight=1.4),
    )  # fmt: skip
    return without_empty(Table(title=desk.words.heading("figures"), columns=columns, rows=tuple(rows)))


def charts(desk: Desk) -> list[Chart]:
    """One chart for every quantity that was measured at several numbered places of one part in one unit."""
    groups: dict[tuple[str, str, str], list[Point]] = defaultdict(list)
    for entry in desk.entries:
        finding = entry.finding
        number = finding.place.cylinder if finding.place.cylinder is not None else finding.place.journal
        if finding.value is None or number is None or finding.quantity is None or finding.unit is None:
            continue
        text = desk.phrases.value_as_spoken(finding)
        label = desk.phrases.place(finding.part, finding.place)
        level = _level(desk, finding.place)
        point = Point(label=str(number), value=float(finding.value), group=level, text=f"{label}: {text}")
        groups[(finding.part, finding.quantity, finding.unit)].append(point)
    out: list[Chart] = []
    for (part, quantity, unit), points in groups.items():
        if len({point.label for point in points}) < MIN_POINTS:
            continue
        names = desk.phrases.quantity(quantity)
        whose = desk.words.table("language")["cylinder"]["many"] if names.get("cylinder") else ""
        title = f"{capital(names['name'])} {names['of']} {whose or desk.phrases.part(part, many=True)}"
        ordered = tuple(sorted(points, key=lambda point: (int(point.label), point.group)))
        sign = desk.words.table("units").get(unit, {"sign": clean(unit)})["sign"]
        alt = f"{title}. " + "; ".join(point.text for point in ordered) + "."
        out.append(
            Chart(title=title, unit=sign, points=ordered, limits=_limit_lines(desk, part, quantity, unit), alt=alt)
        )  # fmt: skip
    return out


def _level(desk: Desk, place: Place) -> str:
    """The series that a point belongs to: "top", "bottom"."""
    levels = desk.words.table("language")["places"]["level"]
    return str(levels.get(place.level, clean(place.level))) if place.level else ""


def _limit_lines(desk: Desk, part: str, quantity: str, unit: str) -> tuple[tuple[str, float], ...]:
    lines: dict[float, str] = {}
    for figure in desk.figures:
        limit = figure.limit
        if figure.part != part or figure.quantity != quantity or limit is None or limit.unit != unit:
            continue
        for end in (limit.low, limit.high):
            if end is not None:
                lines[float(end)] = f"{desk.words.column('limit')} {desk.phrases.with_unit(end, unit)}"
    return tuple((label, value) for value, label in sorted(lines.items()))


def cause(desk: Desk, *, full: bool) -> Section | None:
    """The likeliest causes in guarded words, with what speaks for and against each."""
    if desk.judgement is None or not desk.judgement.causes:
        return None
    blocks: list[Block] = [Paragraph(sentences=(desk.say("cause", "intro", Says.CAUSE),))]
    told = [item for item in desk.judgement.causes if any(e.entries for e in item.speaks_for)]
    for item in told[: CAUSES if full else 1]:
        blocks.append(Paragraph(lead=capital(clean(item.name)), sentences=tuple(_cause(desk, item, full=full))))
    if len(blocks) == 1:
        blocks = [Paragraph(sentences=(desk.say("cause", "none", Says.CAUSE),))]
    return Section(key="cause", title=desk.words.heading("cause"), blocks=tuple(blocks))


def _cause(desk: Desk, item: Cause, *, full: bool) -> list[Sentence]:
    ids = [entry for evidence in (*item.speaks_for, *item.speaks_against) for entry in evidence.entries]
    out = [desk.line(capital(sentence_end(clean(item.wording))), Says.CAUSE, ids)]
    for key, group in (("speaks_for", item.speaks_for), ("speaks_against", item.speaks_against)):
        if group:
            texts = [clean(evidence.text) for evidence in group]
            used = [entry for evidence in group for entry in evidence.entries]
            out.append(desk.say("cause", key, Says.CAUSE, used, items="; ".join(texts)))
    if item.would_decide and full:
        texts = [clean(look.text) for look in item.would_decide[:3]]
        out.append(desk.say("cause", "would_decide", Says.CAUSE, items="; ".join(texts)))
    if item.overruled:
        reason = clean(item.overruled.reason)
        out.append(
            desk.say(
                "cause", "overruled", Says.CAUSE, verdict=clean(item.overruled.verdict),
                reason=f" ({reason})" if reason else "",
            )
        )  # fmt: skip
    return out


def sentence_end(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else text + "."


def lots(desk: Desk) -> Section | None:
    """What may be said of each lot, and no price: what it is worth is the seller's own."""
    if desk.judgement is None or not desk.judgement.claims:
        return None
    by_lot: dict[str, list[Claim]] = {}
    for claim in desk.judgement.claims:
        by_lot.setdefault(claim.lot, []).append(claim)
    names = {lot.id: lot.name for lot in desk.judgement.worth.lots} if desk.judgement.worth else {}
    blocks: list[Block] = [Paragraph(sentences=(desk.say("lots", "intro", Says.WORTH),))]
    for lot, claims in by_lot.items():
        sentences = _lot(desk, claims)
        if sentences:
            name = clean(names.get(lot, lot.replace("_", " ")))
            blocks.append(Paragraph(lead=capital(name), sentences=tuple(sentences)))
    if len(blocks) == 1:
        return None
    return Section(key="lots", title=desk.words.heading("lots"), blocks=tuple(blocks))


def _lot(desk: Desk, claims: Sequence[Claim]) -> list[Sentence]:
    out: list[Sentence] = []
    for claim in claims:
        text = clean(claim.text)
        if claim.supported and text and claim.id not in UNTOLD and desk.redactor.refused_word(text) is None:
            out.append(desk.line(sentence_end(text), Says.WORTH, claim.evidence))
    out.sort(key=lambda line: not line.evidence)
    return out if any(line.evidence for line in out) else []
