"""Type-ahead over the lexicon, by spelling and by sound."""

from __future__ import annotations

from benchvoice.lexicon.lexicon import Lexicon
from benchvoice.lexicon.sound import likeness

LEAST = 0.72
"""Below this likeness a form is no suggestion."""


def suggest(lexicon: Lexicon, text: str, *, limit: int) -> list[tuple[str, str]]:
    """(name, spoken form) pairs, one a name, best first: starts with, has a word that starts with, sounds like."""
    wanted = " ".join(text.lower().split())
    if not wanted:
        return []
    best: dict[str, tuple[float, str]] = {}
    for name in (*lexicon.parts, *lexicon.conditions, *lexicon.quantities):
        for form in (lexicon.phrase(name), *lexicon.spoken_forms(name)):
            score = _score(wanted, form)
            if score > best.get(name, (0.0, ""))[0]:
                best[name] = (score, form)
    ranked = sorted(best.items(), key=lambda item: (-item[1][0], len(item[1][1]), item[0]))
    return [(name, form) for name, (_, form) in ranked[:limit]]


def _score(wanted: str, form: str) -> float:
    if form.startswith(wanted):
        return 3.0 - (len(form) - len(wanted)) / 100
    if f" {wanted}" in form:
        return 2.0 - (len(form) - len(wanted)) / 100
    alike = likeness(wanted, form)
    return alike if alike >= LEAST else 0.0
