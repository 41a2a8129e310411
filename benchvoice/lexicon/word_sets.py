"""The small sets of words that single rules of reading ask for."""

from __future__ import annotations

from dataclasses import dataclass, fields

from benchvoice.lexicon.fields import Table
from benchvoice.lexicon.files import Files, Problems

FILE, TABLE = "word_sets.toml", "word_sets"


@dataclass(frozen=True, slots=True, kw_only=True)
class WordSets:
    """One set an attribute, as grammars/en/word_sets.toml names them and tells what each does. A member is a token, or
    the tokens of a phrase with spaces between.
    """

    tellers: frozenset[str]
    persons: frozenset[str]
    lookers: frozenset[str]
    looks: frozenset[str]
    felt: frozenset[str]
    seeking: frozenset[str]
    when: frozenset[str]
    handled: frozenset[str]
    was_done: frozenset[str]
    had_to: frozenset[str]
    had_to_be: frozenset[str]
    done_to: frozenset[str]
    done_before: frozenset[str]
    articles: frozenset[str]
    objects: frozenset[str]
    freed: frozenset[str]
    freeing: frozenset[str]
    moved: frozenset[str]
    away: frozenset[str]
    moving: frozenset[str]
    plain_verbs: frozenset[str]
    may: frozenset[str]
    before_done: frozenset[str]
    wanting: frozenset[str]
    dangling: frozenset[str]
    filled: frozenset[str]
    within: frozenset[str]
    told_already: frozenset[str]
    pointing: frozenset[str]
    likened: frozenset[str]
    intensifying: frozenset[str]
    indefinite: frozenset[str]
    foreign: frozenset[str]
    before_strange: frozenset[str]
    before_object: frozenset[str]
    pointing_back: frozenset[str]
    whole: frozenset[str]
    asking: frozenset[str]
    would: frozenset[str]
    guessing: frozenset[str]
    denying: frozenset[str]
    denying_verb: frozenset[str]
    taking_back: frozenset[str]
    found_none: frozenset[str]
    none_of_them: frozenset[str]
    does: frozenset[str]
    bare_places: frozenset[str]
    leading_levels: frozenset[str]
    ones: frozenset[str]
    side_verbs: frozenset[str]
    number_verbs: frozenset[str]
    singular: frozenset[str]
    within_noun: frozenset[str]
    placing: frozenset[str]
    numbering: frozenset[str]
    numbered: frozenset[str]
    place_markers: frozenset[str]
    at_place: frozenset[str]
    after_number: frozenset[str]
    leading_one: frozenset[str]
    before_described_one: frozenset[str]
    after_count: frozenset[str]
    before_count: frozenset[str]
    leading_it: frozenset[str]
    for_some: frozenset[str]
    of_unit: frozenset[str]
    one_unit: frozenset[str]
    no_unit: frozenset[str]
    counting_units: frozenset[str]
    before_value: frozenset[str]
    about_after: frozenset[str]
    ought: frozenset[str]
    machined: frozenset[str]
    comparing: frozenset[str]
    standards: frozenset[str]
    striking: frozenset[str]
    telling_why: frozenset[str]
    before_command: frozenset[str]
    after_command: frozenset[str]


NAMES = tuple(field.name for field in fields(WordSets))


def word_sets(files: Files, problems: Problems) -> WordSets:
    """All sets; one that is missing, empty or unknown is a problem."""
    for name in files.tables.get(FILE, {}):
        if name != TABLE:
            problems.unknown(FILE, "table", name, (TABLE,), table=name)
    table = Table(FILE, TABLE, files.tables.get(FILE, {}).get(TABLE, {}), problems)
    table.allow(*NAMES)
    return WordSets(**{name: table.words(name) for name in NAMES})
