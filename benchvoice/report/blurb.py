"""The listing blurb: at most 80 words, faults before virtues, and what was not inspected never left out for space."""

from __future__ import annotations

from benchvoice.report.compose import Desk
from benchvoice.report.found import Found
from benchvoice.report.frame import description
from benchvoice.report.phrases import join, number_key
from benchvoice.report.unseen import counted, unseen_places

LIMIT = 80
"""Words."""


def words_in(text: str) -> int:
    return len(text.split())


def blurb(desk: Desk, found: Found) -> str:
    """Head, worst findings, what was not inspected, tail; findings are added while there is room."""
    what = description(desk.engine, desk.words, lambda text: desk.redactor.claim(text) or "")
    stock = desk.redactor.text(desk.engine.stock)
    head = desk.words.say("blurb", "head", description=what, stock=stock)
    if words_in(head) > LIMIT // 3:
        head = desk.words.say("blurb", "short_head", stock=" ".join(stock.split()[:6]))
    tail = desk.words.say("blurb", "tail")
    missing = _missing(desk)
    more = desk.words.say("blurb", "more")
    fixed = [text for text in (missing, tail) if text]
    room = LIMIT - sum(words_in(text) for text in (head, more, *fixed))
    told: list[str] = []
    candidates = found.worst(0)
    for item in candidates:
        need = words_in(item.sentence.text)
        if need <= room:
            told.append(item.sentence.text)
            room -= need
        elif item.weight >= 3:
            break
    if not candidates:
        told = [desk.words.say("blurb", "nothing")]
    elif len(told) < len(candidates):
        told.append(more)
    return " ".join([head, *told, *fixed])


def _missing(desk: Desk) -> str:
    """What was not inspected, in few words: said so first, then sets that were only looked at in part."""
    names: list[str] = []
    for part, _, _ in unseen_places(desk):
        name = desk.phrases.part(part, many=number_key(part) is not None)
        if name not in names:
            names.append(name)
    for part, seen, every in counted(desk):
        name = desk.phrases.part(part, many=True)
        if desk.judgement is None and len(seen) < len(every) and seen and name not in names:
            some = desk.words.say("blurb", "some", n=len(every) - len(seen), m=len(every), many=name)
            names.append(some)
    if not names:
        return ""
    kept: list[str] = []
    for name in names:
        if words_in(" ".join([*kept, name])) > LIMIT // 4:
            break
        kept.append(name)
    if len(kept) < len(names):
        kept.append(desk.words.say("blurb", "others"))
    return desk.words.say("blurb", "unseen", items=join(kept, desk.words))
