"""The tables that computations need besides the sheet: rules of thumb, gauges, fits, materials, colours.

They are TOML files in grammars/<language>/measure, each number with its mark. Loaded once; a table that can't be used
raises GrammarError naming the file and the entry.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any, TypeVar

from benchvoice.domain.figures import Basis, Limit, Mark
from benchvoice.errors import GrammarError
from benchvoice.measure.bolts import Proof
from benchvoice.resources import folder

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule of thumb: the usual range, or with `per` the usual ratio to a size of the same place."""

    part: str
    name: str
    low: Decimal | None
    high: Decimal | None
    unit: str
    per: str
    basis: Basis

    def limit(self, size: Decimal | None, unit: str) -> Limit | None:
        """The limit for a place whose size (in `unit`) is known; None when the rule needs a size that isn't."""
        if not self.per:
            return Limit(low=self.low, high=self.high, unit=self.unit, basis=self.basis, rule_of_thumb=True)
        if size is None:
            return None
        low, high = (None if end is None else end * size for end in (self.low, self.high))
        return Limit(low=low, high=high, unit=unit, basis=self.basis, rule_of_thumb=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Default:
    """A number, or several, that stands in where the sheet is silent."""

    values: tuple[Decimal, ...]
    unit: str
    basis: Basis

    @property
    def value(self) -> Decimal:
        return self.values[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A kind of gauge: expanded uncertainty in `unit` or as a share of the reading."""

    name: str
    words: tuple[str, ...]
    uncertainty: Decimal | None
    unit: str
    relative: Decimal | None
    serves: frozenset[str]
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A hole and the shaft that runs in it."""

    name: str
    part: str
    holes: tuple[str, ...]
    shafts: tuple[str, ...]
    by: tuple[str, ...]
    apart: Decimal
    unit: str
    group: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Colour:
    """A temper colour and its temperature in deg_C; half is the half-width of what it may mean."""

    name: str
    words: tuple[str, ...]
    deg_c: Decimal
    half: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """deg_C: keeps its shape below `soft`, is gone above `melts`, loses its temper above `spoils`."""

    name: str
    soft: Decimal
    melts: Decimal
    spoils: Decimal | None
    check: str
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatTable:
    materials: Mapping[str, Material]
    parts: Mapping[str, tuple[tuple[str, ...], str]]
    """part -> its possible materials and its region."""
    tempered: frozenset[str]
    gone: frozenset[str]
    kept: frozenset[str]
    charred: frozenset[str]
    soft_materials: frozenset[str]
    coloured: frozenset[str]
    bright_materials: frozenset[str]
    colours: tuple[Colour, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tables:
    rules: Mapping[tuple[str, str], Rule]
    size_of: Mapping[str, str]
    """part -> the part whose diameter a rule per diameter means."""
    defaults: Mapping[str, Default]
    gauges: tuple[Gauge, ...]
    fits: tuple[Fit, ...]
    proof: tuple[Proof, ...]
    heat: HeatTable
    wet_words: tuple[str, ...]
    air_paths: tuple[tuple[str, tuple[str, ...]], ...]
    air_denials: frozenset[str]
    groups: Mapping[str, str]
    """part -> the group of figures that its readings are shown in."""
    measured: Mapping[str, tuple[str, ...]]
    """quantity -> a unit of each kind that it may have."""
    sheet_only: Mapping[str, tuple[str, ...]]
    """Further quantities that a spec sheet may hold."""
    meant: Mapping[str, str]
    """part.quantity.unit -> the unit that is meant by it."""
    windows: Mapping[str, tuple[Decimal, Decimal, str]]
    """part.quantity or *.quantity -> what a printed figure can be at all."""


def _read(language: str, name: str) -> dict[str, Any]:
    file = folder("grammars") / language / "measure" / f"{name}.toml"
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"), parse_float=Decimal)
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise GrammarError(f"measure/{name}.toml can't be read: {error}.", hint="Mend the file.") from error


def _each(name: str, items: Any, build: Callable[[dict[str, Any]], T]) -> tuple[T, ...]:
    out = []
    for index, item in enumerate(items, start=1):
        try:
            out.append(build(item))
        except (KeyError, ValueError, TypeError, ArithmeticError) as error:
            label = item.get("name", index) if isinstance(item, dict) else index
            message = f"measure/{name}.toml, entry {label}: {type(error).__name__} {error}."
            raise GrammarError(message, hint="Mend the entry.") from error
    return tuple(out)


def _decimal(value: Any) -> Decimal | None:
    return None if value is None else Decimal(value)


def _basis(item: Mapping[str, Any], mark: str = Mark.COMMON_PRACTICE.value) -> Basis:
    return Basis(mark=Mark(item.get("mark", mark)), source=item.get("source", ""))


def _rule(item: dict[str, Any]) -> Rule:
    return Rule(
        part=item["part"],
        name=item["name"],
        low=_decimal(item.get("low")),
        high=_decimal(item.get("high")),
        unit=item.get("unit", ""),
        per=item.get("per", ""),
        basis=Basis(mark=Mark(item["mark"]), source=item["source"]),
    )


def _default(item: Mapping[str, Any]) -> Default:
    raw = item["value"]
    values = tuple(Decimal(v) for v in raw) if isinstance(raw, list) else (Decimal(raw),)
    return Default(values=values, unit=item["unit"], basis=_basis(item))


def _gauge(item: dict[str, Any]) -> Gauge:
    name = item["name"]
    source = item.get("source") or f"{name}, uncertainty assumed"
    return Gauge(
        name=name,
        words=tuple(item["words"]),
        uncertainty=_decimal(item.get("uncertainty")),
        unit=item.get("unit", ""),
        relative=_decimal(item.get("relative")),
        serves=frozenset(item["serves"]),
        basis=Basis(mark=Mark.MEMORY if "source" in item else Mark.COMMON_PRACTICE, source=source),
    )


def _fit(item: dict[str, Any]) -> Fit:
    lists = {key: tuple(item[key]) for key in ("holes", "shafts", "by")}
    return Fit(
        name=item["name"],
        part=item["part"],
        apart=Decimal(item["apart"]),
        unit=item["unit"],
        group=item["group"],
        **lists,
    )


def _proof(item: dict[str, Any]) -> Proof:
    mpa, above, up_to = (float(item[key]) for key in ("mpa", "above", "up_to"))
    return Proof(property_class=item["name"], mpa=mpa, above=above, up_to=up_to, basis=_basis(item))


def _colour(spread: Decimal) -> Callable[[dict[str, Any]], Colour]:
    degree = Decimal(5) / Decimal(9)

    def build(item: dict[str, Any]) -> Colour:
        return Colour(
            name=item["name"],
            words=tuple(item["words"]),
            deg_c=(Decimal(item["deg_F"]) - 32) * degree,
            half=(abs(Decimal(item["other"]) - Decimal(item["deg_F"])) + spread) * degree,
        )

    return build


def _material(item: dict[str, Any]) -> Material:
    return Material(
        name=item["name"],
        soft=Decimal(item["soft"]),
        melts=Decimal(item["melts"]),
        spoils=_decimal(item.get("spoils")),
        check=item.get("check", ""),
        basis=_basis(item),
    )


def _heat(language: str) -> HeatTable:
    data, colours = _read(language, "heat"), _read(language, "temper_colours")
    materials = _each("heat", [{"name": key, **item} for key, item in data["material"].items()], _material)
    known = {material.name for material in materials}
    for part, item in data["part"].items():
        unknown = set(item["materials"]) - known
        if unknown:
            raise GrammarError(
                f"measure/heat.toml, part {part}: no material {', '.join(sorted(unknown))}.", hint="Mend the entry."
            )
    return HeatTable(
        materials={material.name: material for material in materials},
        parts={part: (tuple(item["materials"]), item["region"]) for part, item in data["part"].items()},
        tempered=frozenset(data["tempered"]["parts"]),
        **{key: frozenset(values) for key, values in data["evidence"].items()},
        colours=_each("temper_colours", colours["colour"], _colour(Decimal(colours["spread"]))),
    )


def _groups(language: str) -> dict[str, str]:
    return {part: group for group, parts in _read(language, "groups")["group"].items() for part in parts}


def _quantities(language: str) -> dict[str, Any]:
    data = _read(language, "quantities")
    return {
        "measured": {name: tuple(kinds) for name, kinds in data["measured"].items()},
        "sheet_only": {name: tuple(kinds) for name, kinds in data["sheet_only"].items()},
        "meant": dict(data["meant"]),
        "windows": {name: (Decimal(low), Decimal(high), unit) for name, (low, high, unit) in data["window"].items()},
    }


@cache
def load(language: str = "en") -> Tables:
    """All tables of a language. Raises GrammarError when one can't be used."""
    rules = _read(language, "rules_of_thumb")
    sealing = _read(language, "sealing")
    listed = _each("rules_of_thumb", rules["rule"], _rule)
    named = [{"name": key, **item} for key, item in rules["default"].items()]
    defaults = _each("rules_of_thumb", named, lambda item: (item["name"], _default(item)))
    return Tables(
        rules={(rule.part, rule.name): rule for rule in listed},
        size_of=dict(rules["size_of"]),
        defaults=dict(defaults),
        groups=_groups(language),
        **_quantities(language),
        gauges=_each("gauges", _read(language, "gauges")["gauge"], _gauge),
        fits=_each("fits", _read(language, "fits")["fit"], _fit),
        proof=_each("bolts", _read(language, "bolts")["proof"], _proof),
        heat=_heat(language),
        wet_words=tuple(sealing["wet"]),
        air_paths=tuple((path["name"], tuple(path["words"])) for path in sealing["path"]),
        air_denials=frozenset(sealing["denials"]),
    )
