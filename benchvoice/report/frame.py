"""The chapters around the findings: what came in, disclosure, safety, and how the report was made."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from benchvoice.domain.engine import BankOrder, Engine, Layout, NumberedFrom
from benchvoice.domain.findings import Finding
from benchvoice.report.clean import clean
from benchvoice.report.compose import Desk
from benchvoice.report.language import Wording, data
from benchvoice.report.model import Bullets, Paragraph, Says, Section, Sentence, Warranty
from benchvoice.report.phrases import capital, join
from benchvoice.report.redact import work_on_record


def layout_name(engine: Engine, words: Wording) -> str:
    """ "inline four", "vee eight"."""
    table = words.table("engine")
    count = table["count"].get(str(engine.cylinders), str(engine.cylinders))
    return f"{table['layout'][engine.layout.value]} {count}"


def description(engine: Engine, words: Wording, tidy: object = clean) -> str:
    """ "Maker Family 2.4 L petrol inline four"."""
    clean_text = tidy if callable(tidy) else clean
    table = words.table("engine")
    items = [clean_text(engine.maker), clean_text(engine.family), clean_text(engine.displacement)]
    items += [table["fuel"][engine.fuel.value], layout_name(engine, words)]
    return " ".join(item for item in items if item)


def identity(desk: Desk) -> tuple[tuple[str, str], ...]:
    """The identity as rows of (name, value)."""
    engine, words, tidy = desk.engine, desk.words, desk.redactor.text
    table = words.table("engine")
    rows = [
        ("stock", tidy(engine.stock)),
        ("made_by", " ".join(item for item in (tidy(engine.maker), tidy(engine.family)) if item)),
        ("displacement", tidy(engine.displacement)),
        ("layout", layout_name(engine, words)),
        ("valve_gear", table["valve_gear"][engine.valve_gear.value]),
        ("fuel", table["fuel"][engine.fuel.value]),
        ("vin", desk.redactor.vin()),
        ("seller", desk.redactor.own_words(desk.options.seller, "seller's name")),
    ]
    return tuple((words.heading(key), value) for key, value in rows if value)


def intake(desk: Desk) -> Section:
    """What came in, and what others said about it."""
    engine, words, redactor = desk.engine, desk.words, desk.redactor
    what = description(engine, words, lambda text: redactor.claim(text) or "")
    article = "an" if what[:1].lower() in "aeiou" else "a"
    lines = [
        desk.say("intake", "what", Says.INTAKE, stock=redactor.text(engine.stock), article=article, description=what)
    ]
    lines.append(desk.say("intake", "numbering", Says.INTAKE, scheme=scheme(engine, words)))
    if not engine.numbering.confirmed:
        lines.append(desk.say("intake", "numbering_unconfirmed", Says.INTAKE))
    if engine.vin:
        note = redactor.text(engine.vin_note)
        lines.append(desk.say("intake", "vin", Says.INTAKE, vin=redactor.vin() + (f" ({note})" if note else "")))
    if engine.source and desk.options.origin:
        lines.append(desk.say("intake", "source", Says.INTAKE, source=redactor.own_words(engine.source, "origin")))
    if engine.cost is not None and desk.options.price_paid:
        cost = f"{engine.cost:f} {clean(engine.currency)}".strip()
        lines.append(desk.say("intake", "cost", Says.INTAKE, cost=cost))
    claims = [text for text in (redactor.claim(raw) for raw in engine.claimed) if text]
    verified = [text for text in (redactor.claim(raw) for raw in engine.verified) if text]
    said = [desk.say("intake", "hearsay", Says.HEARSAY, claim=ended(text)) for text in claims]
    said += [desk.say("intake", "verified", Says.INTAKE, claim=ended(text)) for text in verified]
    if not engine.claimed:
        said.append(desk.say("intake", "no_claims", Says.HEARSAY))
    blocks = (Paragraph(sentences=tuple(lines)), Bullets.of(said))
    return Section(key="intake", title=words.heading("intake"), blocks=blocks)


def ended(text: str) -> str:
    """Without its own full stop: the template brings one."""
    return text.rstrip(". ")


def scheme(engine: Engine, words: Wording) -> str:
    table = words.table("engine")["scheme"]
    text: str = table["front" if engine.numbering.numbered_from is NumberedFrom.FRONT else "flywheel"]
    if engine.layout is Layout.INLINE:
        return text
    text += table["alternate" if engine.numbering.bank_order is BankOrder.ALTERNATE else "by_bank"]
    bank = table.get(engine.numbering.first_bank, clean(engine.numbering.first_bank))
    return text + str(table["first_bank"].format(bank=bank))


def disclosure(desk: Desk, *, full: bool = True) -> Section:
    """What the buyer must be told, and the words that are not used."""
    table = desk.words.table("disclosure")
    options = desk.options
    texts: list[str] = [table["used"]]
    rebuilt = options.rebuilt
    if work_on_record(rebuilt):
        work = join([table["work"][name] for name in table["work"] if getattr(rebuilt, name)], desk.words)
        form = table["remanufactured" if rebuilt.in_a_factory else "rebuilt"]
        texts.append(form.format(done_by=clean(rebuilt.done_by), work=work))
    else:
        texts.append(table["not_rebuilt"])
    texts += [table["extent"], table["method_cracks"]]
    if full:
        texts.append(table["mark"])
    if full and desk.engine.claimed:
        texts.append(table["hearsay"])
    texts.append(_warranty(desk))
    if options.terms:
        texts.append(table["terms"].format(terms=desk.redactor.own_words(options.terms, "seller's terms")))
    texts.append(table[{True: "drained_yes", False: "drained_no", None: "drained_unknown"}[options.drained]])
    texts.append(table["price_of_law"])
    items = tuple(desk.line(text, Says.LAW) for text in texts)
    return Section(key="disclosure", title=desk.words.heading("disclosure"), blocks=(Bullets.of(items),))


def _warranty(desk: Desk) -> str:
    table = desk.words.table("disclosure")["warranty"]
    choice = desk.options.warranty
    if choice in (Warranty.UNSTATED, Warranty.AS_IS):
        text: str = table[choice.value]
        return text
    count = desk.options.warranty_days
    days = table["days"].format(count=count) if count else ""
    return str(table[choice.value].format(days=days))


def cautions(findings: Iterable[Finding], model_year: int | None) -> list[str]:
    """Names of the cautions that the findings call for, each once, in the order of the data file."""
    present = [finding for finding in findings if finding.present]
    parts = {finding.part for finding in present}
    conditions = {finding.condition for finding in present if finding.condition}
    quantities = {finding.quantity for finding in present if finding.quantity}
    out: list[str] = []
    for rule in data("safety")["caution"]:
        year = rule.get("before_year")
        if year is not None and model_year is not None and model_year >= year:
            continue
        called = (
            parts & set(rule.get("parts", ()))
            or conditions & set(rule.get("conditions", ()))
            or quantities & set(rule.get("quantities", ()))
        )
        if called:
            out.append(rule["name"])
    return out


def safety(desk: Desk) -> Section | None:
    """Reminders that the findings call for, with who publishes the advice; None if there are none."""
    names = cautions((entry.finding for entry in desk.entries), desk.options.model_year)
    if not names:
        return None
    table = desk.words.table("safety")
    blocks = [Paragraph(sentences=(desk.line(table["intro"], Says.SAFETY),))]
    for name in names:
        entry = table[name]
        sentences = (desk.line(entry["text"], Says.SAFETY), desk.line(f"({entry['publisher']}.)", Says.SAFETY))
        blocks.append(Paragraph(lead=entry["title"], sentences=sentences))
    return Section(key="safety", title=desk.words.heading("safety"), blocks=tuple(blocks), new_page=True)


def notes(desk: Desk) -> Section | None:
    """The person's own notes and open questions, only when they are asked for."""
    if not desk.options.notes:
        return None
    texts = [
        desk.redactor.text(mark.text)
        for sitting in desk.record.sittings.values()
        for mark in sitting.marks
        if mark.what in ("note", "question")
    ]
    lines = [desk.line(capital(ended(text)) + ".", Says.METHOD) for text in texts if text]
    if not lines:
        return None
    return Section(key="notes", title=desk.words.heading("notes"), blocks=(Bullets.of(lines),))


def method(desk: Desk) -> Section:
    """How the report came about: sittings, corrections, revision, and what was left out."""
    record = desk.record
    lines: list[Sentence] = [desk.say("method", "made", Says.METHOD)]
    used = {entry.sitting for entry in desk.entries}
    corrected = sum(1 for entry in desk.entries if entry.corrections)
    lines.append(
        desk.say(
            "method", "counts", Says.METHOD, findings=len(desk.entries), sittings=len(used), corrected=corrected
        )
    )  # fmt: skip
    if record.revisions:
        last = record.revisions[-1]
        by = desk.redactor.text(last.filed.by)
        key = "filed" if by else "filed_nameless"
        date = desk.words.date(datetime.fromtimestamp(last.at, UTC))
        lines.append(desk.say("method", key, Says.METHOD, revision=last.filed.revision, date=date, by=by))
        lines.append(desk.say("method", "sealed", Says.METHOD, sha=clean(last.filed.sha256)))
    else:
        lines.append(desk.say("method", "draft", Says.METHOD))
    lines.append(desk.say("method", "refs", Says.METHOD))
    left = desk.redactor.left_out(record)
    if left:
        lines.append(desk.say("method", "left_out", Says.METHOD, items=join(left, desk.words)))
    else:
        lines.append(desk.say("method", "not_left_out", Says.METHOD))
    return Section(key="method", title=desk.words.heading("method"), blocks=(Paragraph(sentences=tuple(lines)),))
