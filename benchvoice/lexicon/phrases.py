"""Short wording of findings for people: one line on a screen or in a table."""

from __future__ import annotations

from decimal import Decimal

from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.lexicon.lexicon import Lexicon

UNITS = {
    "in": "in", "mm": "mm", "psi": "psi", "kPa": "kPa", "bar": "bar", "percent": "%", "ft_lbf": "lbf·ft",
    "in_lbf": "lbf·in", "N_m": "N·m", "deg_F": "°F", "deg_C": "°C", "mi": "mi", "km": "km", "each": "",
}  # fmt: skip
"""How canonical units are written (NIST SP 811 for the SI ones)."""

BOUNDS = {"at_least": "at least ", "at_most": "at most ", "about": "about "}


def place_phrase(place: Place) -> str:
    """ "3 left exhaust, top": the number first, then the words; empty for no place."""
    number = place.cylinder if place.cylinder is not None else place.journal
    words = [place.bank, place.end, place.valve, f"{place.side} side" if place.side else None]
    words += [f"{place.shell} shell" if place.shell else None, place.level]
    return " ".join(filter(None, [None if number is None else str(number), *words]))


def value_phrase(
    value: Decimal | None, unit: str | None, upper: Decimal | None = None, bound: str | None = None
) -> str:
    """ "about 0.010 to 0.011 in", with the digits that were spoken."""
    text = "?" if value is None else f"{value:f}"
    if upper is not None:
        text += f" to {upper:f}"
    return f"{BOUNDS.get(bound or '', '')}{text} {UNITS.get(unit or '', unit or '')}".rstrip()


def short_phrase(finding: Finding, lexicon: Lexicon) -> str:
    """One finding in a few words: "rod bearing 3: wiped", "cylinder bore 1 top: diameter 3.542 in"."""
    subject = f"{lexicon.phrase(finding.part)} {place_phrase(finding.place)}".rstrip()
    return f"{subject}: {_claim(finding, lexicon)}"


def _claim(finding: Finding, lexicon: Lexicon) -> str:
    hedge = "looks " if finding.hedged else ""
    if finding.kind is Kind.UNSEEN:
        return "not looked at"
    if finding.kind is Kind.MEASUREMENT:
        value = value_phrase(finding.value, finding.unit, finding.upper, finding.bound)
        return f"{'maybe ' if finding.hedged else ''}{lexicon.phrase(finding.quantity or '')} {value}"
    if finding.kind is Kind.EVENT:
        by = " before" if finding.done_by == "before" else ""
        return f"{'maybe ' if finding.hedged else ''}{lexicon.phrase(finding.action or '')}{by}"
    name = lexicon.phrase(finding.condition or "")
    if not finding.present:
        return f"{hedge}not {name}"
    return f"{hedge}{name}, {finding.degree.value}" if finding.degree else f"{hedge}{name}"
