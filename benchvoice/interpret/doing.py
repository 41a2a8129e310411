"""Tells what was done at the bench from what a part is like: "cut the bolts" from "the harness is cut"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchvoice.interpret.item import Item
from benchvoice.interpret.nouns import GLUE
from benchvoice.interpret.senses import Sense

if TYPE_CHECKING:
    from benchvoice.interpret.frames import Walk

DAMAGE = "damaged_removing"


def action_of(clauses: Walk, item: Item) -> Sense | None:
    """The action that an item names, None if it says what a part is like.

    Said of oneself it needs "I" or "we" before it, or to open the clause with its object after it. Said of the part
    it needs "had to be" or a verb that no condition shares. Damage also needs words that say who did it.
    """
    senses = [sense for sense in item.senses if sense.kind == "action"]
    if not senses or _done_to_tool(clauses):
        return None
    agent = _agent_before(clauses)
    shares = item.get("condition") is not None
    for sense in senses:
        if sense.form == "past" and _said_of_oneself(clauses, item, sense, agent, shares):
            return sense
        if sense.form == "by_hand" and _by_hand(clauses, item):
            return sense
        if sense.form == "passive" and _said_of_part(clauses, sense, shares):
            return sense
    return None


def _done_to_tool(clauses: Walk) -> bool:
    """True for "wiped off the mike": what follows "the" is no part."""
    after = clauses.items[clauses.index + 1 : clauses.index + 3]
    return len(after) > 1 and after[0].text == "the" and after[1].kind in ("bench", "quantity")


def _agent_before(clauses: Walk) -> bool:
    """True if "I", "we" or "had to" stands just before, with nothing but filling between."""
    tellers, had = clauses.sets.tellers, clauses.sets.had_to
    index = clauses.index - 1
    steps = 0
    while index >= 0 and steps < 4:
        item = clauses.items[index]
        if item.kind == "not" or item.text in clauses.sets.articles:
            return False
        words = item.text.split()
        if item.kind not in GLUE | {"have", "preposition", "pronoun", "degree", "be", "there", "and"}:
            return False
        if words and (words[0] in tellers or words[-1] in tellers):
            return True
        if not had.isdisjoint(words):
            following = clauses.items[index + 1].text if index + 1 < len(clauses.items) else ""
            if following == "to" and clauses.items[index + 2].kind != "be":
                return True
        index -= 1
        steps += 1
    return False


def _opens_clause(clauses: Walk) -> bool:
    frame = clauses.frame
    return frame.subject is None and not frame.claims and clauses.verb is None and clauses.negative is None


def _object_after(clauses: Walk) -> bool:
    index = clauses.index + 1
    while index < len(clauses.items) and clauses.items[index].kind in GLUE | {
        "preposition",
        "pronoun",
        "count",
        "action",
    }:
        index += 1
    found = clauses.noun_at(index) if index < len(clauses.items) else None
    if found is not None and found[0].parts:
        return True
    following = clauses.items[clauses.index + 1 : clauses.index + 2]
    return bool(following) and following[0].text in clauses.sets.done_to


def _said_of_oneself(clauses: Walk, item: Item, sense: Sense, agent: bool, shares: bool) -> bool:
    if sense.value == DAMAGE:
        return agent or (_ours_ahead(clauses) and (_opens_clause(clauses) and _object_after(clauses)))
    if agent:
        return True
    if not _opens_clause(clauses) or not _object_after(clauses):
        return False
    if not shares:
        return True
    following = clauses.items[clauses.index + 1] if clauses.index + 1 < len(clauses.items) else None
    return following is not None and following.text in clauses.sets.done_before


def _by_hand(clauses: Walk, item: Item) -> bool:
    texts = " ".join(other.text for other in clauses.items[clauses.index :])
    return "by hand" in texts and (_agent_before(clauses) or (_opens_clause(clauses) and _object_after(clauses)))


def _said_of_part(clauses: Walk, sense: Sense, shares: bool) -> bool:
    before = [item.text for item in clauses.items[max(0, clauses.index - 4) : clauses.index]]
    had_to_be = not clauses.sets.had_to_be.isdisjoint(before) and "to" in before and "be" in before
    if sense.value == DAMAGE:
        return had_to_be
    return had_to_be or (
        not shares and clauses.verb_text in clauses.sets.was_done and clauses.frame.subject is not None
    )


def _ours_ahead(clauses: Walk) -> bool:
    return any(item.get("ours") or item.get("while_taking") for item in clauses.items)
