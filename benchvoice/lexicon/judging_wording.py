"""Sentence templates of the judging tables, their placeholders checked when they are read."""

from __future__ import annotations

import string

from benchvoice.lexicon.judging_types import Wording
from benchvoice.lexicon.tables import Row, Table

_STATEMENTS = {
    "measured": "Parts numbers quantities", "looked": "Parts numbers states", "felt": "Parts numbers states",
    "measured_one": "Part quantities", "looked_one": "Part states", "felt_one": "Part states",
    "in_part": "Parts numbers note", "in_part_one": "Part note", "not_opened": "Parts numbers",
    "not_opened_one": "Part", "not_opened_all": "Parts", "could_not": "Parts numbers", "could_not_one": "Part",
    "gone": "Parts numbers", "gone_one": "Part", "nothing_found": "", "hedged": "", "unsupported": "claim missing",
    "supported": "Claim how", "missing_looked": "parts numbers", "missing_none": "parts",
    "missing_measured": "parts numbers",
    "missing_within": "parts numbers", "missing_bad": "parts numbers states", "missing_words": "words",
    "missing_hearsay": "",
}  # fmt: skip
_SAMPLES = {
    "clean": "looked total parts prior weight chance others missed", "none": "total parts prior",
    "bad": "looked total parts bad was prior weight chance others", "all_clean": "All parts", "open": "", "both": "",
    "all_bad": "All parts bad was", "bound": "looked upper three", "others_one": "", "others_many": "rest",
}  # fmt: skip
_SENTENCES = {
    **dict.fromkeys(("within", "below", "above", "far_above"), "lot price currency low high instead"),
    "nothing": "", "known_bad": "parts", "unopened": "count total parts", "unopened_one": "part", "missing": "",
    "off": "what percent",
}  # fmt: skip
_CAUSE_WORDS = {
    **dict.fromkeys(("silent", "against_only", "more_against", "three", "two", "mixed", "one", "one_hedged"), ""),
    "not_so": "text",
}


def placeholders(row: Row, key: str, text: str, allowed: str) -> None:
    """Notes every {name} of a template that nothing fills. allowed: the names, with blanks between."""
    try:
        used = {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}
    except ValueError as error:
        row.problem(f"{key} is no template: {error}", key)
        return
    for name in sorted(used - set(allowed.split())):
        row.problem(f"{key} has {{{name}}}; it may have {allowed or 'none'}", key)


def _templates(tables: list[Table], key: str, allowed: dict[str, str]) -> dict[str, str]:
    out: dict[str, str] = {}
    for number, table in enumerate(tables):
        row = table.row(key)
        for name, names in allowed.items():
            text = row.text(name, required=number == 0)
            if text:
                placeholders(row, name, text, names)
                out[name] = text
        row.done()
    return out


def wording(claims: list[Table], lots: list[Table], causes: list[Table]) -> Wording:
    disclosure, sampling = claims[0].row("disclosure"), claims[0].row("sources")
    return Wording(
        statements=_templates(claims, "statements", _STATEMENTS),
        samples=_templates(claims, "samples", _SAMPLES),
        lots=_templates(lots, "sentences", _SENTENCES),
        causes=_templates(causes, "wording", _CAUSE_WORDS),
        sampling_source=sampling.text("sampling"),
        disclosure=disclosure.text("text"),
        disclosure_source=disclosure.text("source"),
    )
