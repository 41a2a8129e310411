"""Words for parts, places, conditions and values: what sentences are put together from."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Protocol

from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Degree, Finding, Place
from benchvoice.report.clean import clean
from benchvoice.report.language import Wording, data

NUMBER_KEYS = ("cylinder", "journal")
SUFFIX_KEYS = ("shell", "side", "level", "bank", "end")
MINUS = "\u2212"
UNNAMED = "?"
"""Stands for a name of which nothing printable is left."""
MAX_PLACES = 6
"""Decimal places at most of a converted value."""


class Names(Protocol):
    """What is asked of a lexicon: a word or two for a canonical name, for parts that the wording files lack."""

    def phrase(self, name: str) -> str: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A part with its numbers ("rod bearings 3, 6 and 8"); where is the rest of the place, with a leading space."""

    text: str
    plural: bool
    where: str = ""

    @property
    def start(self) -> str:
        return capital(self.text)


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def number_key(part: str) -> str | None:
    """What a number spoken with this part counts: "cylinder", "journal", or None for a part that has none."""
    parts = data("parts")
    return next((key for key in NUMBER_KEYS if part in parts[key]), None)


def region_of(part: str) -> str:
    return next((item["name"] for item in data("parts")["region"] if part in item["parts"]), "other")


def region_order() -> list[str]:
    return [item["name"] for item in data("parts")["region"]]


def is_fault(condition: str) -> bool:
    """False for what is good to hear: "good", "clean", "reusable"."""
    return bool(data("conditions").get(condition, {}).get("weight", 2))


def weight_of(finding: Finding) -> int:
    """How much a finding matters: 0 nothing wrong ... 5 the part is lost; an absence weighs nothing."""
    if finding.condition is None or not finding.present:
        return 0
    weight: int = data("conditions").get(finding.condition, {}).get("weight", 2)
    if finding.degree is Degree.LIGHT:
        return max(weight - 1, min(weight, 1))
    return weight


def fold_numbers(numbers: Iterable[int], words: Wording) -> str:
    """ "3, 6 and 8"; three or more in a row become "2 through 4"."""
    ordered = sorted(set(numbers))
    runs: list[list[int]] = []
    for number in ordered:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    language = words.table("language")
    items: list[str] = []
    for run in runs:
        if len(run) >= 3 and len(runs) == 1:
            items.append(f"{run[0]} {language['through']} {run[-1]}")
        else:
            items.extend(str(number) for number in run)
    return join(items, words)


def join(items: Sequence[str], words: Wording) -> str:
    """ "a, b and c"."""
    language = words.table("language")
    if len(items) < 2:
        return items[0] if items else ""
    separator: str = language["list_separator"]
    return f"{separator.join(items[:-1])} {language['and']} {items[-1]}"


def spread(places: Iterable[Place], part: str) -> list[tuple[Place, tuple[int, ...]]]:
    """Places that differ only in their number, gathered: (the place without the number, its numbers)."""
    gathered: dict[Place, list[int]] = {}
    for place in places:
        key = _numbered_by(part, place)
        number = getattr(place, key) if key else None
        bare = _with_number(place, key, None)
        numbers = gathered.setdefault(_tagged(bare, key), [])
        if number is not None and number not in numbers:
            numbers.append(number)
    return [(place, tuple(sorted(numbers))) for place, numbers in gathered.items()]


def _numbered_by(part: str, place: Place) -> str | None:
    own = number_key(part)
    if own and getattr(place, own) is not None:
        return own
    return next((key for key in NUMBER_KEYS if getattr(place, key) is not None), None)


def _tagged(bare: Place, key: str | None) -> Place:
    """Keeps "at cylinder 2" apart from "at journal 2": the number's kind stays as a zero."""
    return _with_number(bare, key, 0)


def _with_number(place: Place, key: str | None, number: int | None) -> Place:
    if key == "cylinder":
        return replace(place, cylinder=number)
    return replace(place, journal=number) if key == "journal" else place


class Phrases:
    """Everything that is named, in one language, for one engine."""

    def __init__(self, words: Wording, names: Names | None, engine: Engine, *, both_units: bool = False) -> None:
        self.words = words
        self.engine = engine
        self.both_units = both_units
        self._names = names

    def part(self, name: str, *, many: bool = False) -> str:
        entry = self.words.table("parts").get(name)
        if entry is None:
            plain = self._names.phrase(name) if self._names is not None else name.replace("_", " ")
            plain = clean(plain) or UNNAMED
            return plain + "s" if many and not plain.endswith("s") else plain
        text: str = entry["many" if many else "one"]
        return text

    def subject(self, part: str, bare: Place, numbers: Sequence[int] = (), *, said: Iterable[str] = ()) -> Subject:
        """The part as a noun phrase. `bare` and `numbers` are a row of `spread`; said: the texts of the findings, which
        tell whether one or several were meant when no number was spoken.
        """
        language = self.words.table("language")
        own = number_key(part)
        tag = next((key for key in NUMBER_KEYS if getattr(bare, key) == 0), None)
        before = f"{language['places']['valve'][bare.valve]} " if bare.valve in language["places"]["valve"] else ""
        if numbers and tag == own:
            many = len(numbers) > 1
            text = f"{before}{self.part(part, many=many)} {fold_numbers(numbers, self.words)}"
            return Subject(text=text, plural=many, where=self._where(bare))
        many = self._meant_many(part, said)
        form: str = "{article} {before}{name}"
        if many and self._meant_rest(said):
            form = "{before}" + language["group"]["rest_form"].format(many="{name}")
        text = form.format(article=language["article"], before=before, name=self.part(part, many=many))
        where = self._where(bare)
        if numbers and tag:
            where = f" {language['places'][tag][len(numbers) > 1]} {fold_numbers(numbers, self.words)}" + where
        return Subject(text=text, plural=many, where=where)

    def cylinders(self, bare: Place, numbers: Sequence[int]) -> Subject:
        """ "cylinder 5", for what is measured in a cylinder and not on a part."""
        forms = self.words.table("language")["cylinder"]
        name = forms["many" if len(numbers) > 1 else "one"]
        return Subject(
            text=f"{name} {fold_numbers(numbers, self.words)}", plural=len(numbers) > 1, where=self._where(bare)
        )

    def place(self, part: str, place: Place) -> str:
        """The place alone, for a table cell or a label: "cylinder 3, exhaust, at the top"."""
        language = self.words.table("language")
        items: list[str] = []
        for key in NUMBER_KEYS:
            number = getattr(place, key)
            if number is not None:
                items.append(f"{self.words.column('cylinder') if key == 'cylinder' else _bare(language, key)} {number}")
        if place.valve:
            items.append(language["places"]["valve"].get(place.valve, clean(place.valve)))
        items.extend(text.strip() for text in self._suffixes(place))
        return capital(", ".join(items).lower()) if items else ""

    def condition(self, name: str, part: str = "") -> dict[str, Any]:
        """The forms in which a condition is written; some parts have their own."""
        entry = self.words.table("conditions").get(name)
        if entry is not None:
            return {**entry, **entry.get("of", {}).get(part, {})}
        plain = self._names.phrase(name) if self._names is not None else name.replace("_", " ")
        return {"be": clean(plain) or UNNAMED}

    def quantity(self, name: str) -> dict[str, Any]:
        entry = self.words.table("quantities").get(name)
        return dict(entry) if entry is not None else {"name": clean(name.replace("_", " ")) or UNNAMED, "of": "of"}

    def verb(self, *, plural: bool) -> str:
        forms: list[str] = self.words.table("language")["verbs"]["was"]
        return forms[plural]

    def number(self, value: Decimal) -> str:
        """The number with the digits that it has, grouped from 10,000 on."""
        language = self.words.table("language")
        text = (f"{value:,f}" if abs(value) >= 10000 else f"{value:f}").replace("-", MINUS)
        return text.replace(",", "\0").replace(".", language["decimal"]).replace("\0", language["thousands"])

    def with_unit(self, value: Decimal, unit: str | None) -> str:
        entry = self.words.table("units").get(unit or "", {"sign": clean(unit or "")})
        space = " " if entry.get("space", True) and entry["sign"] else ""
        return f"{self.number(value)}{space}{entry['sign']}"

    def value(self, finding: Finding) -> str:
        """The measured value as spoken, with its bound or range, and in the other units when those are asked for."""
        if finding.value is None:
            return ""
        text = self.value_as_spoken(finding)
        other = self.other_units(finding) if self.both_units else ""
        return f"{text} ({other})" if other else text

    def value_as_spoken(self, finding: Finding) -> str:
        """The measured value in the unit that was spoken, with its bound or range."""
        if finding.value is None:
            return ""
        return self._bounded(finding, finding.value, finding.upper, finding.unit)

    def other_units(self, finding: Finding) -> str:
        """The value in the other system, rounded to the last digit that the spoken one carries; "" if there is none."""
        if finding.value is None or finding.unit not in data("units"):
            return ""
        step = finding.resolution or Decimal(1).scaleb(int(finding.value.as_tuple().exponent))
        return self.converted(finding.value, finding.unit, step, upper=finding.upper)

    def converted(self, value: Decimal, unit: str, step: Decimal, *, upper: Decimal | None = None) -> str:
        rule = data("units").get(unit)
        if rule is None:
            return ""
        size = abs(_convert(step, rule) - _convert(Decimal(0), rule))
        places = max(0, min(MAX_PLACES, -math.floor(math.log10(size)))) if size else 0
        digits = Decimal(1).scaleb(-places)
        low = self.with_unit(_convert(value, rule).quantize(digits), rule["to"])
        if upper is None:
            return low
        form: str = self.words.table("language")["bounds"]["range"]
        high = self.with_unit(_convert(upper, rule).quantize(digits), rule["to"])
        return form.format(low=self.number(_convert(value, rule).quantize(digits)), high=high)

    def _bounded(self, finding: Finding, value: Decimal, upper: Decimal | None, unit: str | None) -> str:
        bounds = self.words.table("language")["bounds"]
        text = self.with_unit(value, unit)
        if upper is not None:
            text = bounds["range"].format(low=self.number(value), high=self.with_unit(upper, unit))
        form: str = bounds.get(finding.bound or "", "{value}")
        return form.format(value=text)

    def _where(self, place: Place) -> str:
        return "".join(f" {text}" for text in self._suffixes(place))

    def _suffixes(self, place: Place) -> list[str]:
        places = self.words.table("language")["places"]
        out: list[str] = []
        for key in SUFFIX_KEYS:
            name = getattr(place, key)
            if name is not None:
                out.append(places[key].get(name, clean(name)))
        return out

    def _meant_many(self, part: str, said: Iterable[str]) -> bool:
        entry = self.words.table("parts").get(part, {})
        if entry.get("mass"):
            return False
        tokens = {token for text in said for token in text.lower().split()}
        many = self.part(part, many=True).split()[-1]
        one = self.part(part).split()[-1]
        if many in tokens:
            return True
        return number_key(part) is not None and one not in tokens

    def _meant_rest(self, said: Iterable[str]) -> bool:
        rest = set(self.words.table("language")["group"]["rest"])
        return any(rest & set(text.lower().split()) for text in said)


def _bare(language: dict[str, Any], key: str) -> str:
    return str(language["places"][key][0]).split()[-1]


def _convert(value: Decimal, rule: dict[str, str]) -> Decimal:
    out = value + Decimal(rule.get("before", "0"))
    if "divide" in rule:
        out /= Decimal(rule["divide"])
    return out * Decimal(rule.get("factor", "1")) + Decimal(rule.get("after", "0"))
