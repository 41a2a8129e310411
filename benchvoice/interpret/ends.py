"""Where a run of number words ends before the place of the next clause, and where a word for a place ends before it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from benchvoice.interpret.item import Item
from benchvoice.interpret.numbers import readings
from benchvoice.interpret.runs import Run, is_number, place_number
from benchvoice.interpret.senses import PLACE_KEYS, Sense, Span
from benchvoice.interpret.tokens import Token
from benchvoice.lexicon import Lexicon


def up_to_next_clause(
    run: Run, items: Sequence[Item], following: Span | None, after_verb: bool, texts: Sequence[str], lexicon: Lexicon
) -> Run:
    """The run without the place that starts the next clause, "made one forty and seven made one ten", "is one fifty two
    is one forty"; and without the value that starts it, "nine percent on two and nine on three".
    """
    table = lexicon.numbers
    if following is None or len(run.words) < 2 or place_number(run.words[-1], table) is None:
        return run
    linked = run.words[-2] == "and"
    rest = run.words[: -2 if linked else -1]
    shorter = replace(run, end=run.end - len(run.words) + len(rest), words=rest)
    ahead = texts[run.end : run.end + 2]
    whole_value = ahead[:1] == ["at"] and len(rest) > 2 and "point" in rest and bool(readings(rest, table))
    if linked and (whole_value or _value_and_place(items, ahead, lexicon)):
        return shorter
    verb = following.get("quantity")
    claims = following.has("be", "likewise") or (verb is not None and verb.form == "verb" and linked)
    whole = len(rest) > 1 or any(item.kind in ("quantity", "be") for item in items[-2:])
    return shorter if claims and after_verb and whole and readings(rest, table) else run


def _value_and_place(items: Sequence[Item], ahead: Sequence[str], lexicon: Lexicon) -> bool:
    """True where a value stood before the place at hand and another place follows."""
    valued = any(item.kind == "value" for item in items[-4:])
    if not valued or len(ahead) < 2 or ahead[0] not in lexicon.word_sets.placing:
        return False
    return place_number(ahead[1], lexicon.numbers) is not None or ahead[1] in lexicon.word_sets.place_markers


SIDE = "right"
"""The side whose name also strengthens a preposition: "right by"."""


def with_ends(spans: Sequence[Span], tokens: Sequence[Token], lexicon: Lexicon) -> list[Span]:
    """The phrases, without the "one" that belongs to the number after them, "at the bottom one thirty point six"; and
    with the side apart from the preposition in "the left by four and the right by six".
    """
    out = []
    at_place = lexicon.word_sets.at_place
    for span in spans:
        before = [token.text for token in tokens[max(0, span.start - 2) : span.start]]
        led = len(before) == 2 and before[0] in at_place and before[1] == "the"
        more = span.end < len(tokens) and is_number(tokens[span.end].text, lexicon.numbers)
        if before[-1:] == ["the"] and span.has("preposition") and tokens[span.start].text == SIDE:
            out.append(Span(span.start, span.start + 1, (Sense("bank", SIDE),)))
            out.append(Span(span.start + 1, span.end, (Sense("preposition", "preposition"),)))
        elif (
            led and more and tokens[span.end - 1].text == "one" and span.has(*PLACE_KEYS) and span.end > span.start + 1
        ):
            out.append(replace(span, end=span.end - 1))
        else:
            out.append(span)
    return out
