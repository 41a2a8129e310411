"""Record, figures and judgement become a report in no format yet. Pure: the same input gives the same report."""

from __future__ import annotations

from collections.abc import Sequence

from benchvoice.domain.engine import Engine
from benchvoice.domain.figures import Figure
from benchvoice.domain.judgement import Judgement
from benchvoice.domain.record import Entry, Record
from benchvoice.report import evidence, found, frame, judged, unseen
from benchvoice.report.blurb import blurb
from benchvoice.report.captions import tracks
from benchvoice.report.clean import clean
from benchvoice.report.compose import Desk
from benchvoice.report.labels import labels
from benchvoice.report.language import DEFAULT, load
from benchvoice.report.model import (
    SCHEMA_VERSION,
    Block,
    Bullets,
    Length,
    Options,
    Report,
    Says,
    Section,
    Units,
)
from benchvoice.report.narrate import Narrator
from benchvoice.report.phrases import Names, Phrases
from benchvoice.report.redact import Redactor, work_on_record

SERIOUS = 4
"""Findings from this weight on are told first (weights: conditions.toml)."""
SUMMARY = 6
"""So many sentences at most in the summary."""
ONE_PAGE = 12
"""So many finding sentences at most on the one-page report."""


def build(
    record: Record,
    engine: Engine,
    lexicon: Names | None = None,
    *,
    figures: tuple[Figure, ...] = (),
    judgement: Judgement | None = None,
    options: Options | None = None,
) -> Report:
    """The report on one engine, from its filed entries (accepted ones while nothing is filed).

    The lexicon only names parts and conditions that the wording files lack. Raises BenchvoiceError for an unknown
    language, and for a word in the seller's own text that the record can't carry.
    """
    options = options or Options()
    words = load(options.language)
    entries = evidence.in_order(record.filed_entries(), record)
    refs = {entry.id: number for number, entry in enumerate(entries, start=1)}
    phrases = Phrases(words, lexicon, engine, both_units=options.units is Units.BOTH)
    desk = Desk(
        record=record,
        engine=engine,
        entries=entries,
        figures=_standing(figures, refs),
        judgement=judgement,
        options=options,
        words=words,
        phrases=phrases,
        narrator=Narrator(phrases, refs, numbered=options.length is Length.FULL),
        redactor=Redactor(engine=engine, options=options, words=words),
    )
    return _assemble(desk, entries)


def _standing(figures: Sequence[Figure], refs: dict[str, int]) -> tuple[Figure, ...]:
    """Figures all of whose inputs are filed: a number computed from what was dropped says nothing."""
    return tuple(figure for figure in figures if all(item in refs for item in figure.inputs))


def _assemble(desk: Desk, entries: Sequence[Entry]) -> Report:
    words, options = desk.words, desk.options
    told = found.tell(desk)
    full = options.length is Length.FULL
    gathered = evidence.gather(entries, desk.record, desk.narrator, desk.redactor)
    identity = frame.identity(desk)
    short = blurb(desk, told)
    captions = tracks(desk)
    body = _full(desk, told) if full else _page(desk, told)
    revision = desk.record.revisions[-1] if desk.record.revisions else None
    stock = desk.redactor.text(desk.engine.stock) or "?"
    return Report(
        title=words.heading("title", stock=stock),
        subtitle=frame.description(desk.engine, words, lambda text: desk.redactor.claim(text) or ""),
        stock=stock,
        language=options.language,
        made_at=options.when(),
        version=SCHEMA_VERSION,
        revision=revision.filed.revision if revision else None,
        sealed=clean(revision.filed.sha256) if revision else "",
        badge=words.heading("badge_rebuilt" if work_on_record(options.rebuilt) else "badge"),
        blurb=short,
        sections=tuple(body),
        evidence=gathered,
        identity=identity,
        figures=judged.readings(desk),
        labels=labels(desk),
        tracks=captions,
        left_out=desk.redactor.left_out(desk.record),
        length=options.length,
        text_language=options.language if "sentences" in words.own else DEFAULT,
        words=_fixed_words(desk),
        paper=options.paper,
        label_sheet=options.label_sheet,
    )


def _full(desk: Desk, told: found.Found) -> list[Section]:
    sections: list[Section | None] = [
        _summary(desk, told),
        frame.intake(desk),
        *found.sections(desk, told),
        judged.numbers(desk, found.measurement_table(desk), full=True),
        unseen.section(desk, full=True),
        judged.cause(desk, full=True),
        judged.lots(desk),
        frame.disclosure(desk),
        frame.notes(desk),
        frame.safety(desk),
        frame.method(desk),
    ]
    return [section for section in sections if section is not None]


def _page(desk: Desk, told: found.Found) -> list[Section]:
    """What fits on one sheet: the weightiest findings, what was not inspected, cause, disclosure."""
    sections: list[Section | None] = [
        _brief(desk, told),
        unseen.section(desk, full=False),
        judged.cause(desk, full=False),
        frame.disclosure(desk, full=False),
    ]
    return [section for section in sections if section is not None]


def _summary(desk: Desk, told: found.Found) -> Section:
    worst = [item.sentence for item in told.worst(SERIOUS)[:SUMMARY]]
    if not worst:
        key = "nothing_bad" if desk.entries else "nothing"
        worst = [desk.say("summary", key, Says.METHOD)]
    missing = unseen.in_short(desk)
    if missing:
        worst.append(desk.say("blurb", "unseen", Says.COVERAGE, items=missing))
    blocks: tuple[Block, ...] = (Bullets.of(worst),)
    return Section(key="summary", title=desk.words.heading("summary"), blocks=blocks)


def _brief(desk: Desk, told: found.Found) -> Section:
    ranked = told.worst(0)
    sentences = [item.sentence for item in ranked[:ONE_PAGE]]
    if not sentences:
        sentences = [desk.say("summary", "nothing", Says.METHOD)]
    if len(ranked) > ONE_PAGE:
        sentences.append(desk.say("summary", "more", Says.METHOD, count=len(ranked) - ONE_PAGE))
    return Section(key="found", title=desk.words.heading("found"), blocks=(Bullets.of(sentences),))


def _fixed_words(desk: Desk) -> dict[str, str]:
    """What exporters print around the model."""
    table = desk.words.table("headings")
    fixed = {key: value for key, value in table.items() if isinstance(value, str)}
    fixed |= {f"column_{key}": value for key, value in table["columns"].items()}
    fixed["direction"] = desk.words.table("language")["direction"]
    fixed["decimal"] = desk.words.table("language")["decimal"]
    fixed["date"] = desk.words.date(desk.options.when())
    return fixed
