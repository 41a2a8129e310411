"""A label for each part worth shelving: what it is, where it sat, its condition, and a code that finds it again."""

from __future__ import annotations

from urllib.parse import quote

from benchvoice.domain.findings import Kind, Place
from benchvoice.domain.record import Entry
from benchvoice.report.clean import clean
from benchvoice.report.compose import Desk
from benchvoice.report.language import data
from benchvoice.report.model import Label
from benchvoice.report.phrases import capital, join, number_key, region_order, weight_of

SHELVED_UP_TO = 3
"""Parts with a finding that weighs more are lost, and get no label (weights: conditions.toml)."""
CODE_NAME = 64
"""Signs at most of a name in the code: what people stick on shelves is far shorter."""
CODE_HASH = 16
"""Hexadecimal digits of the filed hash in the code: 64 bits, enough to tell revisions apart."""


def labels(desk: Desk) -> tuple[Label, ...]:
    """Labels in teardown order. A part is known by its name and number; findings that name a side, a level or a shell
    belong to the same label.
    """
    groups: dict[tuple[str, Place], list[Entry]] = {}
    for entry in desk.entries:
        finding = entry.finding
        if finding.part in data("sheets")["never_shelved"] or finding.kind is Kind.UNSEEN:
            continue
        groups.setdefault((finding.part, _identity(finding.part, finding.place)), []).append(entry)
    _share_what_is_said_of_all(groups)
    order = {name: place for place, name in enumerate(region_order())}
    parts = {
        part: (order[item["name"]], place)
        for item in data("parts")["region"]
        for place, part in enumerate(item["parts"])
    }
    out = [
        _label(desk, part, place, entries)
        for (part, place), entries in sorted(
            groups.items(), key=lambda item: (parts.get(item[0][0], (99, 0)), item[0][0], _sort_key(item[0][1]))
        )
        if _worth_shelving(part, place, entries)
    ]
    return tuple(out)


def _share_what_is_said_of_all(groups: dict[tuple[str, Place], list[Entry]]) -> None:
    """ "No cracks in either head" belongs on the label of each head. Numbered parts are left out: what is said of "the
    rest" must not get onto the label of the one that is bad.
    """
    for part, place in list(groups):
        placed = [key for key in groups if key[0] == part and key[1]]
        if not place and placed and number_key(part) is None:
            for key in placed:
                groups[key] += groups[(part, place)]
            del groups[(part, place)]


def _identity(part: str, place: Place) -> Place:
    """What tells two such parts apart: number, bank, valve; never a level or a side."""
    return Place(cylinder=place.cylinder, journal=place.journal, bank=place.bank, valve=place.valve)


def _sort_key(place: Place) -> tuple[str, ...]:
    return tuple(f"{value:03}" if isinstance(value, int) else str(value) for value in place.as_dict().values())


def _worth_shelving(part: str, place: Place, entries: list[Entry]) -> bool:
    if number_key(part) is not None and not place:
        return False
    return max(weight_of(entry.finding) for entry in entries) <= SHELVED_UP_TO


def _label(desk: Desk, part: str, place: Place, entries: list[Entry]) -> Label:
    revision = desk.record.revisions[-1] if desk.record.revisions else None
    stock = desk.redactor.text(desk.engine.stock)
    number = str(revision.filed.revision) if revision else desk.words.heading("draft")
    sha = revision.filed.sha256 if revision else ""
    where = ",".join(f"{key}={value}" for key, value in place.as_dict().items())
    fields = [
        stock[:CODE_NAME],
        clean(part)[:CODE_NAME],
        clean(where),
        str(revision.filed.revision) if revision else "0",
        sha[:CODE_HASH],
    ]
    return Label(
        stock=stock,
        part=capital(desk.phrases.part(part)),
        position=desk.phrases.place(part, place),
        condition=_condition(desk, entries),
        size=_size(desk, entries),
        revision=number,
        code="benchvoice:1:" + ":".join(quote(field, safe="=,_-.") for field in fields),
    )


def _condition(desk: Desk, entries: list[Entry]) -> str:
    """The conditions in few words: worst first, guarded ones with a question mark, absences last."""
    language = desk.words.table("language")
    ranked = sorted(
        (entry.finding for entry in entries if entry.finding.kind is Kind.CONDITION),
        key=lambda finding: (not finding.present, -weight_of(finding)),
    )
    out: list[str] = []
    for finding in ranked:
        form = desk.phrases.condition(finding.condition or "", finding.part)
        text = form.get("noun") or form.get("be") or form.get("past", "")
        if finding.present:
            text = form.get("be") or form.get("noun") or form.get("past", "")
            if finding.degree:
                text = f"{text} ({language['degrees'][finding.degree.value]['adjective']})"
        else:
            text = desk.words.say("label", "absent", what=text)
        text += "?" if finding.hedged else ""
        if text not in out:
            out.append(text)
    return capital(", ".join(out)) if out else desk.words.say("label", "none")


def _size(desk: Desk, entries: list[Entry]) -> str:
    texts: list[str] = []
    for entry in entries:
        if entry.finding.kind is Kind.MEASUREMENT:
            name = desk.phrases.quantity(entry.finding.quantity or "")["name"]
            text = f"{name} {desk.phrases.value_as_spoken(entry.finding)}"
            if text not in texts:
                texts.append(text)
    return capital(join(texts[:3], desk.words)) + (" …" if len(texts) > 3 else "")
