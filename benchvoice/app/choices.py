"""What a finding's fields could be instead, likeliest first, and the finding that a choice makes.

Likeliest are what the recogniser's other readings say, then terms that sound like the words that were heard, then the
rest of the grammar by name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation

from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Degree, Finding, Kind, Place
from benchvoice.errors import BenchvoiceError
from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.phrases import UNITS, value_phrase
from benchvoice.lexicon.sound import likeness

ALIKE = 0.7
"""From this likeness on a term is offered as sounding alike."""

SIDES: dict[str, tuple[str, ...]] = {
    "bank": ("left", "right"),
    "end": ("front", "rear"),
    "valve": ("intake", "exhaust"),
    "side": ("thrust", "minor"),
    "shell": ("upper", "lower"),
    "level": ("top", "middle", "bottom"),
}
"""Keys of a place that are words, with their values."""

NOTHING = ""
"""The choice that empties a field."""

KIND_TITLES = {
    Kind.CONDITION: "condition: what it is like",
    Kind.MEASUREMENT: "measurement: a size or a reading",
    Kind.UNSEEN: "not looked at",
    Kind.EVENT: "event: something that was done to it",
}
BOUND_TITLES = {"at_least": "at least", "at_most": "at most", "about": "about"}
DONE_BY_TITLES = {"teardown": "done now, at the teardown", "before": "done before it came in"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """label: what is read and typed. also: other words that find it. hint: why it is offered."""

    value: str
    label: str
    also: tuple[str, ...] = ()
    hint: str = ""


LONGEST = 60
"""Choices shown at once; typing narrows further."""


def narrowed(choices: Sequence[Choice], typed: str) -> list[Choice]:
    """Choices that fit what was typed: labels beginning so, then words beginning so, then words within; else the order
    as given.

    Every typed word must fit, so "ro be" finds the rod bearing.
    """
    words = typed.lower().split()
    if not words:
        return list(choices)[:LONGEST]
    fits = [(rank, i) for i, choice in enumerate(choices) if (rank := _rank(choice, words)) is not None]
    return [choices[i] for _, i in sorted(fits)][:LONGEST]


def _rank(choice: Choice, words: Sequence[str]) -> int | None:
    label = choice.label.lower()
    if label.startswith(" ".join(words)):
        return 0
    for rank, names in ((1, (label,)), (2, choice.also), (3, (label, *choice.also))):
        for name in names:
            parts = name.lower().split()
            if all(any(part.startswith(word) for part in parts) for word in words):
                return rank
            if rank == 3 and all(word in name.lower() for word in words):
                return rank
    return None


def fields_of(finding: Finding, lexicon: Lexicon) -> tuple[str, ...]:
    """The fields that a finding of its kind has, in the order in which they are shown."""
    numbered = number_key(finding.part, lexicon)
    place = (numbered,) if numbered else ()
    claim: tuple[str, ...] = ()
    if finding.kind is Kind.CONDITION:
        claim = ("condition", "present", "degree", "hedged")
    elif finding.kind is Kind.MEASUREMENT:
        claim = ("quantity", "value", "unit", "bound", "hedged")
    elif finding.kind is Kind.EVENT:
        claim = ("action", "done_by", "hedged")
    return ("kind", "part", *place, *claim, *SIDES)


def number_key(part: str, lexicon: Lexicon) -> str | None:
    """What a number on this part counts: "cylinder", "journal" or nothing."""
    return lexicon.parts[part].number if part in lexicon.parts else "cylinder"


def shown_value(field: str, finding: Finding, lexicon: Lexicon) -> str:
    """A field's value for people; empty if it isn't set."""
    if field in ("cylinder", "journal", *SIDES):
        value = getattr(finding.place, field)
        return "" if value is None else str(value)
    if field == "kind":
        return KIND_TITLES[finding.kind].split(":")[0]
    if field == "present":
        return "there" if finding.present else "not there"
    if field == "hedged":
        return "hedged" if finding.hedged else "sure"
    if field == "value":
        return value_phrase(finding.value, None, finding.upper)
    if field == "degree":
        return finding.degree.value if finding.degree else ""
    text = getattr(finding, field) or ""
    if field == "unit":
        return UNITS.get(text, text)
    return BOUND_TITLES.get(text) or DONE_BY_TITLES.get(text) or (lexicon.phrase(text) if text else "")


def choices_for(
    field: str, finding: Finding, lexicon: Lexicon, engine: Engine | None, others: Iterable[Finding] = ()
) -> list[Choice]:
    """What the field could be. `others` are findings of the utterance's other readings."""
    if field in ("part", "condition", "quantity", "action"):
        return _terms(field, finding, lexicon, others)
    if field in ("cylinder", "journal"):
        return _numbers(field, engine)
    if field in SIDES:
        return [*(Choice(value=word, label=word) for word in SIDES[field]), Choice(value=NOTHING, label="none")]
    if field == "value":
        return _values(finding, others)
    if field == "unit":
        return [Choice(value=name, label=sign or name, also=(name,)) for name, sign in UNITS.items()]
    fixed: dict[str, list[Choice]] = {
        "kind": [Choice(value=kind.value, label=title) for kind, title in KIND_TITLES.items()],
        "present": [Choice(value="yes", label="there"), Choice(value="no", label="not there")],
        "hedged": [Choice(value="no", label="sure"), Choice(value="yes", label="hedged")],
        "degree": [*(Choice(value=d.value, label=d.value) for d in Degree), Choice(value=NOTHING, label="none")],
        "bound": [*(Choice(value=k, label=v) for k, v in BOUND_TITLES.items()), Choice(value=NOTHING, label="as said")],
        "done_by": [Choice(value=k, label=v) for k, v in DONE_BY_TITLES.items()],
    }
    return fixed[field]


def with_choice(finding: Finding, field: str, value: str, lexicon: Lexicon) -> Finding:
    """The finding with one field changed; what no longer belongs to it is emptied, and a person's word is certain.

    BenchvoiceError if the value can't be what the field holds.
    """
    sure = replace(finding, flags=(), readings=(), confidence=1.0)
    if field in ("cylinder", "journal"):
        return replace(sure, place=_placed(sure.place, field, _number(value)))
    if field in SIDES:
        return replace(sure, place=_placed(sure.place, field, value or None))
    if field == "part":
        return replace(sure, part=value, place=_place_on(value, sure.place, lexicon))
    if field in _CHANGES:
        return _CHANGES[field](sure, value, lexicon)
    return replace(sure, **{field: value or None})  # type: ignore[arg-type]


def moved(finding: Finding, to: Place) -> Finding:
    """The finding at another place: keys that are set in `to` replace its own."""
    place = Place.from_dict(finding.place.as_dict() | to.as_dict())
    return replace(finding, place=place, flags=(), confidence=1.0)


def complete(finding: Finding) -> bool:
    """True if nothing is missing that its kind needs."""
    needed = {
        Kind.CONDITION: (finding.condition,),
        Kind.MEASUREMENT: (finding.quantity, finding.value, finding.unit),
        Kind.EVENT: (finding.action,),
        Kind.UNSEEN: (),
    }[finding.kind]
    return bool(finding.part) and all(item is not None for item in needed)


def _placed(place: Place, key: str, value: int | str | None) -> Place:
    changed = place.as_dict() | ({} if value is None else {key: value})
    return Place.from_dict({name: item for name, item in changed.items() if name != key or value is not None})


def _with_quantity(finding: Finding, value: str, lexicon: Lexicon) -> Finding:
    units = lexicon.quantities[value].units if value in lexicon.quantities else ()
    unit = finding.unit if finding.unit in units or not units else units[0]
    return replace(_of_kind(finding, Kind.MEASUREMENT), quantity=value, unit=unit)


def _of_kind(finding: Finding, kind: Kind) -> Finding:
    if finding.kind is kind:
        return finding
    return Finding(
        kind=kind, part=finding.part, place=finding.place, hedged=finding.hedged, t0=finding.t0, t1=finding.t1,
        text=finding.text, done_by="teardown" if kind is Kind.EVENT else None,
    )  # fmt: skip


def _place_on(part: str, place: Place, lexicon: Lexicon) -> Place:
    """A place kept on another part: a number goes where that part counts, or away if it isn't counted."""
    number = place.cylinder if place.cylinder is not None else place.journal
    bare = replace(place, cylinder=None, journal=None)
    key = number_key(part, lexicon)
    return bare if key is None or number is None else _placed(bare, key, number)


def _number(value: str) -> int | None:
    if not value:
        return None
    if not value.isascii() or not value.isdigit() or not 1 <= int(value) <= 99:
        raise BenchvoiceError(f"{value!r} is no number of a cylinder or journal.", hint="Type 1 to 99.")
    return int(value)


def _with_value(finding: Finding, value: str) -> Finding:
    try:
        number = Decimal(value.strip())
    except InvalidOperation:
        raise BenchvoiceError(f"{value!r} is no number.", hint="Type it in digits, like 0.0025.") from None
    if not number.is_finite() or abs(number) >= Decimal(10) ** 9 or number.adjusted() < -9:
        raise BenchvoiceError(f"{value!r} can't be a reading.", hint="Type it in digits, like 0.0025.")
    exponent = number.as_tuple().exponent
    step = Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)
    return replace(_of_kind(finding, Kind.MEASUREMENT), value=number, resolution=step, upper=None)


def _values(finding: Finding, others: Iterable[Finding]) -> list[Choice]:
    readings = [(reading, "the other reading") for reading in finding.readings]
    readings += [
        (other.value, "the recogniser's other words")
        for other in others
        if other.kind is Kind.MEASUREMENT and other.value is not None and other.quantity == finding.quantity
    ]
    seen = {finding.value}
    out = []
    for value, hint in readings:
        if value not in seen:
            seen.add(value)
            out.append(Choice(value=f"{value:f}", label=value_phrase(value, finding.unit), hint=hint))
    return out


def _numbers(field: str, engine: Engine | None) -> list[Choice]:
    if engine is None:
        numbers: Sequence[int] = range(1, 17)
    else:
        numbers = engine.cylinder_numbers if field == "cylinder" else engine.journal_numbers
    return [*(Choice(value=str(n), label=str(n)) for n in numbers), Choice(value=NOTHING, label="none")]


def _terms(field: str, finding: Finding, lexicon: Lexicon, others: Iterable[Finding]) -> list[Choice]:
    tables = {
        "part": lexicon.parts, "condition": lexicon.conditions, "quantity": lexicon.quantities,
        "action": lexicon.actions,
    }  # fmt: skip
    names = tables[field]
    current = getattr(finding, field)
    hints: dict[str, str] = {}
    for other in others:
        name = getattr(other, field)
        if name and name in names:
            hints.setdefault(name, "the recogniser's other words")
    possible = [name for name in names if name != current and _has_unit(field, name, finding, lexicon)]
    for name in _alike(field, finding, lexicon, possible):
        hints.setdefault(name, "sounds alike")
    hints.pop(current, None)
    rest = sorted((name for name in names if name not in hints and name != current), key=lexicon.phrase)
    if field == "quantity":
        rest.sort(key=lambda name: not _has_unit(field, name, finding, lexicon))
    return [
        Choice(value=name, label=lexicon.phrase(name), also=lexicon.spoken_forms(name), hint=hints.get(name, ""))
        for name in (*hints, *rest)
    ]


def _has_unit(field: str, name: str, finding: Finding, lexicon: Lexicon) -> bool:
    """False for a quantity that can't be measured in the unit that was said."""
    return field != "quantity" or finding.unit is None or finding.unit in lexicon.quantities[name].units


def _alike(field: str, finding: Finding, lexicon: Lexicon, names: Iterable[str]) -> list[str]:
    """Terms that sound like the words which this field was read from, likest first."""
    words = finding.text.split()
    heard = [" ".join(words[b.words[0] : b.words[1]]) for b in finding.why if b.field == field and b.words]
    if not heard:
        forms = lexicon.spoken_forms(getattr(finding, field) or "")
        heard = [form for form in forms if f" {form} " in f" {finding.text} "]
    scored = [
        (max((likeness(text, form) for text in heard[:2] for form in lexicon.spoken_forms(name)), default=0.0), name)
        for name in names
    ]
    return [name for score, name in sorted(scored, reverse=True)[:5] if score >= ALIKE]


_CHANGES: dict[str, Callable[[Finding, str, Lexicon], Finding]] = {
    "kind": lambda finding, value, _: _of_kind(finding, Kind(value)),
    "condition": lambda finding, value, _: replace(_of_kind(finding, Kind.CONDITION), condition=value),
    "quantity": _with_quantity,
    "value": lambda finding, value, _: _with_value(finding, value),
    "present": lambda finding, value, _: replace(finding, present=value == "yes"),
    "hedged": lambda finding, value, _: replace(finding, hedged=value == "yes"),
    "degree": lambda finding, value, _: replace(finding, degree=Degree(value) if value else None),
}
