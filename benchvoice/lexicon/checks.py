"""What holds between the entries of a lexicon and is looked at when it is loaded."""

from __future__ import annotations

from benchvoice.lexicon.entries import Phrase
from benchvoice.lexicon.files import Problems
from benchvoice.lexicon.lexicon import Lexicon


def check(lexicon: Lexicon, problems: Problems) -> None:
    """Notes what is wrong between entries: two names for one spoken form, quantities that don't exist."""
    _one_name_a_phrase(
        {name: (*part.singular, *part.plural) for name, part in lexicon.parts.items()}, "parts.toml", problems
    )
    _one_name_a_phrase(
        {
            name: tuple(form.words for form in item.forms if " ".join(form.words) not in item.for_parts)
            for name, item in lexicon.conditions.items()
        },
        "conditions.toml",
        problems,
    )
    _one_name_a_phrase({name: item.nouns for name, item in lexicon.quantities.items()}, "quantities.toml", problems)
    for name, part in lexicon.parts.items():
        if part.measure is not None and part.measure not in lexicon.quantities:
            problems.unknown("parts.toml", "quantity", part.measure, lexicon.quantities, table=name, key="measure")
    for name, condition in lexicon.conditions.items():
        measured = condition.measured_as
        if measured is not None and measured not in lexicon.quantities:
            problems.unknown("conditions.toml", "quantity", measured, lexicon.quantities, table=name, key="measured_as")


def _one_name_a_phrase(phrases: dict[str, tuple[Phrase, ...]], file: str, problems: Problems) -> None:
    owner: dict[Phrase, str] = {}
    for name, forms in phrases.items():
        for form in dict.fromkeys(forms):
            other = owner.setdefault(form, name)
            if other != name:
                text = " ".join(form)
                problems.add(file, f"{text!r} means both {other} and {name}", table=name, value=text)
