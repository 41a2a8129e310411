"""A judgement as readable pages: lists of lines, one page a heading. Wording comes from grammars/."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from benchvoice.domain.coverage import Coverage, CoverageCell, Looked
from benchvoice.domain.judgement import Cause, Evidence, Judgement, NextLook, Overruling, Surprise, Worth
from benchvoice.judge.looks import described
from benchvoice.judge.places import numbers
from benchvoice.lexicon.judge_wording import PageWording
from benchvoice.lexicon.judging import JudgingTables

SHORT = 8
"""How many of a long list are shown unless all are asked for."""


@dataclass(frozen=True, slots=True)
class Page:
    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Writer:
    judgement: Judgement
    tables: JudgingTables
    words: PageWording
    everything: bool

    def page(self, name: str, lines: Iterable[str]) -> Page | None:
        found = tuple(lines)
        return Page(self.words.headings[name], found) if found else None

    def short(self, lines: Sequence[str], most: int = SHORT) -> list[str]:
        if self.everything or len(lines) <= most:
            return list(lines)
        return [*lines[:most], self.words.say("more", count=len(lines) - most)]


def pages(
    judgement: Judgement, tables: JudgingTables, words: PageWording, *, everything: bool = False
) -> tuple[Page, ...]:
    """Every page that has something to say."""
    writer = _Writer(judgement, tables, words, everything)
    made = (
        writer.page("notes", judgement.notes),
        writer.page("causes", _causes(writer)),
        writer.page("next", _looks(writer)),
        writer.page("samples", (sample.sentence for sample in judgement.samples if sample.looked or everything)),
        writer.page("worth", _worth(writer, judgement.worth) if judgement.worth else ()),
        writer.page("claims", _claims(writer)),
        writer.page("unseen", unseen_lines(judgement.coverage, tables, words, everything=everything)),
        writer.page("warranties", _warranties(writer)),
        writer.page("refused", _refused(writer) if everything else ()),
        writer.page("cautions", judgement.cautions),
    )
    return tuple(page for page in made if page is not None)


def text(made: Iterable[Page]) -> str:
    """Pages one after the other, headings underlined."""
    blocks = ["\n".join((page.heading, "-" * len(page.heading), *page.lines)) for page in made]
    return "\n\n".join(blocks)


def unseen_lines(
    coverage: Coverage, tables: JudgingTables, words: PageWording, *, everything: bool = False
) -> list[str]:
    """What was not looked at, most important first, members of a part in one line."""
    total = len(coverage.cells)
    looked = sum(1 for cell in coverage.cells if cell.looked.backs_a_claim)
    lines = []
    groups: dict[tuple[str, Looked, str, bool], list[CoverageCell]] = {}
    for cell in coverage.unseen():
        groups.setdefault((cell.part, cell.looked, cell.note, cell.left_on_purpose), []).append(cell)
    for (part, state, note, left), cells in groups.items():
        row = tables.parts[part]
        whole = len(cells) == len(coverage.of(part))
        where = "" if whole and len(cells) > 1 else numbers([cell.place for cell in cells])
        what = f"{row.plural if len(cells) > 1 else row.say} {where}".strip()
        told = [words.looked[state.value], *([words.lines["left"]] if left else []), *([note] if note else [])]
        lines.append(f"{row.importance:4.0f}  {what}: {'; '.join(told)}")
    shown = lines if everything or len(lines) <= 25 else [*lines[:25], words.say("more", count=len(lines) - 25)]
    if not lines:
        shown = [words.lines["all_seen"]]
    return [words.say("covered", looked=looked, total=total), *shown]


def _ruling(words: PageWording, ruling: Overruling | None) -> list[str]:
    if ruling is None:
        return []
    reason = f", {ruling.reason}" if ruling.reason else ""
    return ["   " + words.say("ruled", verdict=ruling.verdict, reason=reason)]


def _percent(share: float) -> str:
    return f"{100 * share:.0f}" if 0.005 <= share <= 0.995 or share in (0.0, 1.0) else "<1" if share < 0.5 else ">99"


def _looks(writer: _Writer) -> Iterator[str]:
    words, looks = writer.words, writer.judgement.next_looks
    paying = [look for look in looks if look.net > 0 or look.overruled]
    if not paying and looks:
        yield words.lines["no_pay"]
    shown = looks if writer.everything else (paying or list(looks[:3]))[: 2 * SHORT]
    for rank, look in enumerate(shown, start=1):
        yield from _look(writer, rank, look)


def _look(writer: _Writer, rank: int, look: NextLook) -> Iterator[str]:
    words, worth = writer.words, writer.judgement.worth
    facts = {"rank": rank, "what": described(look, writer.tables), "chance": _percent(look.chance_bad)}
    facts |= {"minutes": f"{look.minutes:.0f}"}
    if worth is None:
        yield words.say("look_points", **facts)
    else:
        yield words.say("look", **facts, net=f"{look.net:+.0f}", currency=worth.currency)
    if look.opens:
        yield "   " + words.say("opens", stages=", ".join(look.opens))
    for reason in look.reasons:
        name = "reason_plain" if reason.odds == 1 else "reason"
        yield "   " + words.say(name, text=reason.text, odds=f"{reason.odds:g}", source=reason.source)
    if look.decides:
        yield "   " + words.say("decides", causes=", ".join(look.decides[:4]))
    yield from _ruling(words, look.overruled)


def _causes(writer: _Writer) -> Iterator[str]:
    words, causes = writer.words, writer.judgement.causes
    told = [cause for cause in causes if cause.speaks_for or cause.speaks_against or cause.overruled]
    if not told:
        yield words.lines["none"]
        return
    for rank, cause in enumerate(told):
        if writer.everything or rank < 4 or cause.overruled:
            yield from _cause(writer, cause)
    yield words.say("other", share=_percent(max(0.0, 1 - sum(cause.share for cause in causes))))
    yield words.say("weights", source=writer.tables.weights.source)


def _cause(writer: _Writer, cause: Cause) -> Iterator[str]:
    words = writer.words
    yield words.say(
        "cause", name=cause.name[0].upper() + cause.name[1:], wording=cause.wording, share=_percent(cause.share),
        ratio=f"{cause.ratio:.3g}", prior=f"{cause.prior:g}",
    )  # fmt: skip
    for item in cause.speaks_for:
        yield "   " + _evidence(words, "for", item)
    for item in cause.speaks_against:
        yield "   " + _evidence(words, "against", item)
    for look in cause.would_decide[:3]:
        yield "   " + words.say("decide", text=look.text, if_so=f"{look.if_so:.3g}", if_not=f"{look.if_not:.3g}")
    yield from _ruling(words, cause.overruled)


def _evidence(words: PageWording, name: str, item: Evidence) -> str:
    mark = (words.lines["hedged"] if item.hedged else "") + (
        "" if item.counted else words.say("same_event", event=item.event)
    )
    entries = f"[{', '.join(item.entries)}]" if item.entries else ""
    return words.say(name, text=item.text, ratio=f"{item.ratio:.3g}", mark=mark, entries=entries)


def _worth(writer: _Writer, worth: Worth) -> Iterator[str]:
    words, plan = writer.words, worth.plan
    names = {lot.id: lot.name for lot in worth.lots}

    def named(ids: Iterable[str]) -> str:
        return "; ".join(names[i] for i in ids) or words.lines["nothing"]

    yield worth.note
    yield words.say("plan", lots=named(plan.lots))
    money = {key: f"{getattr(plan, key):.0f}" for key in ("net", "labour", "purchase", "low", "high")}
    yield words.say("net", currency=worth.currency, **money)
    lots = []
    for lot in sorted(worth.lots, key=lambda lot: -lot.net):
        line = words.say(
            "lot", name=lot.name, factor=_percent(lot.factor), net=f"{lot.net:.0f}", currency=worth.currency
        )
        lots.append(f"  {line}" + (f": {'; '.join(lot.why[:3])}" if lot.why else ""))
        lots += _ruling(words, lot.overruled)
    yield from writer.short(lots)
    chosen = set(plan.lots)
    likely = sorted(worth.break_even, key=lambda item: (item.lot in chosen, item.price))
    yield from writer.short([f"  {item.sentence}" for item in likely if writer.everything or _near(item.lot, worth)])
    yield from writer.short([line for item in worth.surprises for line in _surprise(writer, item, worth)], 6)
    for value in worth.by_claims:
        yield words.say("by_claims", name=value.name, net=f"{value.net:.0f}", currency=worth.currency)


def _near(lot: str, worth: Worth) -> bool:
    """True for lots of more than one part, whose break-even decides between keeping whole and stripping."""
    return any(item.id == lot and len({key.partition(":")[0] for key in item.takes}) > 2 for item in worth.lots)


def _surprise(writer: _Writer, item: Surprise, worth: Worth) -> Iterator[str]:
    words, row = writer.words, writer.tables.parts[item.part]
    names = {lot.id: lot.name for lot in worth.lots}
    parts = f"{row.plural if len(item.places) > 1 else row.say} {numbers(item.places)}".strip()
    kept, anew = f"{item.change_if_kept:+.0f}", f"{item.change_if_replanned:+.0f}"
    line = words.say("surprise", parts=parts, chance=_percent(item.chance), kept=kept, anew=anew,
                     currency=worth.currency)  # fmt: skip
    if item.drops or item.adds:
        drops, adds = ("; ".join(names[i] for i in ids) or words.lines["nothing"] for ids in (item.drops, item.adds))
        line += "; " + words.say("changes", drops=drops, adds=adds)
    yield f"  {line}"


def _claims(writer: _Writer) -> Iterator[str]:
    worth = writer.judgement.worth
    names = {lot.id: lot.name for lot in worth.lots} if worth else {}
    lot = ""
    for claim in writer.judgement.claims:
        if claim.lot != lot:
            lot = claim.lot
            yield f"{names.get(lot, lot.replace('_', ' '))}:"
        yield "   " + writer.words.say("may" if claim.supported else "may_not", text=claim.text)


def _warranties(writer: _Writer) -> Iterator[str]:
    for item in writer.judgement.warranties:
        name = "warranty_fits" if item.fits else "warranty_not"
        yield writer.words.say(name, text=item.text, why=item.why, caution=item.caution, source=item.source)


def _refused(writer: _Writer) -> Iterator[str]:
    for item in writer.judgement.refused:
        yield writer.words.say(
            "refused", word=item.word, why=item.why, source=item.source, instead=", ".join(item.instead)
        )
