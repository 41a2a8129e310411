"""Makes lexicon entries from the tables of the grammar files, checking each against the others."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from benchvoice.domain.findings import Degree
from benchvoice.lexicon.entries import (
    Action,
    CommandWords,
    Condition,
    Confusion,
    Form,
    NumberWords,
    Part,
    Quantity,
    SpokenUnit,
)
from benchvoice.lexicon.fields import Table
from benchvoice.lexicon.files import Files, Problems
from benchvoice.lexicon.templates import plural

NUMBERED = ("cylinder", "journal")
PER = ("engine", "cylinder", "valve", "journal", "bank", "position")
UNITS = (
    "in", "mm", "psi", "kPa", "bar", "percent", "ft_lbf", "in_lbf", "N_m", "deg_F", "deg_C", "mi", "km", "each",
)  # fmt: skip
DIMENSIONS = ("length", "pressure", "torque", "temperature", "distance", "ratio", "count", "hardness")


def tables(files: Files, file: str, problems: Problems) -> Iterator[Table]:
    """The tables of a file; anything else at its top level is a problem."""
    for name, data in files.tables.get(file, {}).items():
        if isinstance(data, dict):
            yield Table(file, name, data, problems)
        else:
            problems.add(file, f"{name} stands outside of any [table]", key=name)


def parts(files: Files, problems: Problems) -> dict[str, Part]:
    out = {}
    for table in tables(files, "parts.toml", problems):
        table.allow(
            "title", "titles", "says", "also", "many", "short", "usually", "number", "per", "family", "within",
            "region", "measure", "takes", "several",
        )  # fmt: skip
        number = table.text("number") or None
        if number is not None and number not in NUMBERED:
            problems.unknown(table.file, "number", number, NUMBERED, table=table.name, key="number")
        per = table.text("per", "engine")
        if per not in PER:
            problems.unknown(table.file, "per", per, PER, table=table.name, key="per")
        title = table.text("title") or table.name.replace("_", " ")
        singular = (*table.phrases("says"), *table.phrases("also"))
        if not singular:
            table.wrong("says", "has no spoken form")
        out[table.name] = Part(
            name=table.name,
            title=title,
            titles=table.text("titles") or " ".join(plural(tuple(title.split()))),
            singular=singular,
            plural=(*table.phrases("says", plurals=True), *table.phrases("many")),
            short=(*table.phrases("short"), *table.phrases("short", plurals=True)),
            usually=(*table.phrases("usually"), *table.phrases("usually", plurals=True)),
            number=number,
            per=per,
            family=frozenset(table.texts("family")),
            within=table.text("within") or None,
            region=table.text("region"),
            measure=table.text("measure") or None,
            takes=frozenset(table.texts("takes")),
            several=table.flag("several", False),
        )
    for part in out.values():
        if part.within is not None and part.within not in out:
            problems.unknown("parts.toml", "part", part.within, out, table=part.name, key="within")
    return out


def conditions(files: Files, parts_: Mapping[str, Part], problems: Problems) -> dict[str, Condition]:
    out = {}
    known = list(files.tables.get("conditions.toml", {}))
    for table in tables(files, "conditions.toml", problems):
        table.allow(
            "title", "adj", "absent", "noun", "verb", "light", "moderate", "heavy", "bad", "opposites", "severity",
            "measured_as",
            "sized_as", "about", "for_parts", "moved",
        )  # fmt: skip
        for name in table.texts("opposites"):
            if name not in known:
                problems.unknown(table.file, "condition", name, known, table=table.name, key="opposites")
        about = table.text("about") or None
        if about is not None and about not in parts_:
            problems.unknown(table.file, "part", about, parts_, table=table.name, key="about")
        forms = _forms(table)
        if not forms:
            table.wrong("adj", "has no spoken form")
        out[table.name] = Condition(
            name=table.name,
            title=table.text("title") or table.name.replace("_", " "),
            forms=forms,
            is_bad=table.flag("bad", True),
            opposites=frozenset(table.texts("opposites")),
            severity=table.whole("severity", 3),
            measured_as=table.text("measured_as") or None,
            sized_as=table.text("sized_as") or None,
            about=about,
            for_parts=_for_parts(table, parts_, problems),
            moved=_moved(table, parts_, problems),
        )
    return out


def _forms(table: Table) -> tuple[Form, ...]:
    degree_of = {words: Degree(name) for name in ("light", "moderate", "heavy") for words in table.phrases(name)}
    kind_of = {words: kind for kind in ("verb", "noun", "adj", "absent") for words in table.phrases(kind)}
    for words in degree_of:
        kind_of.setdefault(words, "noun" if words[-1].endswith(("ing", "s")) else "adj")
    return tuple(Form(words=words, kind=kind, degree=degree_of.get(words)) for words, kind in kind_of.items())


def _for_parts(table: Table, parts_: Mapping[str, Part], problems: Problems) -> dict[str, frozenset[str]]:
    data = table.data.get("for_parts", {})
    if not isinstance(data, dict):
        table.wrong("for_parts", 'for_parts must look like { "flat" = ["cam_lobe"] }')
        return {}
    for names in data.values():
        for name in names:
            if name not in parts_:
                problems.unknown(table.file, "part", str(name), parts_, table=table.name, key="for_parts")
    return {word: frozenset(names) for word, names in data.items()}


def quantities(files: Files, parts_: Mapping[str, Part], problems: Problems) -> dict[str, Quantity]:
    out = {}
    for table in tables(files, "quantities.toml", problems):
        table.allow(
            "title", "says", "verbs", "units", "window", "window_diesel", "on", "about", "always", "only", "elsewhere",
            "moved",
        )  # fmt: skip
        for unit in table.texts("units"):
            if unit not in UNITS:
                problems.unknown(table.file, "unit", unit, UNITS, table=table.name, key="units")
        on = table.data.get("on", {})
        for name in on:
            if name not in parts_:
                problems.unknown(table.file, "part", name, parts_, table=f"{table.name}.on", key=name)
        about = table.text("about") or None
        if about is not None and about not in parts_:
            problems.unknown(table.file, "part", about, parts_, table=table.name, key="about")
        out[table.name] = Quantity(
            name=table.name,
            title=table.text("title") or table.name.replace("_", " "),
            nouns=table.phrases("says"),
            verbs=table.phrases("verbs"),
            units=tuple(table.texts("units")),
            window=table.windows("window", table.data.get("window", {})),
            on={name: table.windows("on", data) for name, data in on.items()},
            diesel=table.windows("window_diesel", table.data.get("window_diesel", {})),
            about=about,
            always=table.flag("always"),
            only=frozenset(table.texts("only")),
            elsewhere=table.text("elsewhere") or None,
            moved=_moved(table, parts_, problems),
        )
    return out


def _moved(table: Table, parts_: Mapping[str, Part], problems: Problems) -> dict[str, str]:
    data = table.data.get("moved", {})
    if not isinstance(data, dict):
        table.wrong("moved", 'moved must look like { connecting_rod = "rod_bearing" }')
        return {}
    for name in (*data.keys(), *data.values()):
        if name not in parts_:
            problems.unknown(table.file, "part", str(name), parts_, table=table.name, key="moved")
    return dict(data)


def units(files: Files, problems: Problems) -> dict[str, SpokenUnit]:
    out = {}
    for table in tables(files, "units.toml", problems):
        table.allow("says", "written", "unit", "factor", "also", "dimension")
        unit = table.text("unit")
        if unit not in UNITS:
            problems.unknown(table.file, "unit", unit, UNITS, table=table.name, key="unit")
        dimension = table.text("dimension")
        if dimension not in DIMENSIONS:
            problems.unknown(table.file, "dimension", dimension, DIMENSIONS, table=table.name, key="dimension")
        also = [item for item in table.data.get("also", []) if isinstance(item, dict)]
        out[table.name] = SpokenUnit(
            name=table.name,
            spoken=table.phrases("says"),
            written=tuple(table.texts("written")),
            unit=unit,
            factor=table.number("factor"),
            dimension=dimension,
            also=tuple((str(item.get("unit")), table.decimal("also", item.get("factor"))) for item in also),
        )
    return out


def actions(files: Files, parts_: Mapping[str, Part], problems: Problems) -> dict[str, Action]:
    out = {}
    for table in tables(files, "actions.toml", problems):
        if table.name in ("slots", "ours", "while_taking", "theirs"):
            continue
        table.allow("title", "past", "passive", "after", "about", "only", "by_hand", "conditions")
        for name in (*table.texts("only"), *filter(None, [table.text("about")])):
            if name not in parts_ and name != "fuel_rail":
                problems.unknown(table.file, "part", name, parts_, table=table.name, key="only")
        out[table.name] = Action(
            name=table.name,
            title=table.text("title") or table.name.replace("_", " "),
            past=table.phrases("past"),
            passive=table.phrases("passive"),
            after=table.phrases("after"),
            about=table.text("about") or None,
            only=frozenset(table.texts("only")),
            by_hand=table.phrases("by_hand"),
            conditions=frozenset(table.texts("conditions")),
        )
    return out


def commands(files: Files, problems: Problems) -> dict[str, CommandWords]:
    out = {}
    for table in tables(files, "commands.toml", problems):
        if table.name == "slips":
            continue
        table.allow("says", "alone", "rest", "example")
        out[table.name] = CommandWords(
            name=table.name,
            spoken=table.phrases("says"),
            alone=table.flag("alone"),
            rest=table.text("rest"),
            example=table.text("example"),
        )
    return out


def numbers(files: Files, problems: Problems) -> NumberWords:
    data = files.tables.get("numbers.toml", {})

    def whole(section: str) -> dict[str, int]:
        table = Table("numbers.toml", section, data.get(section, {}), problems)
        return {word: table.whole(word, 0) for word in table.data}

    words = Table("numbers.toml", "words", data.get("words", {}), problems)
    words.allow("point", "through", "double", "triple", "articles", "linking", "letters", "lone", "seconds")
    return NumberWords(
        digits=whole("digits"),
        teens=whole("teens"),
        tens=whole("tens"),
        scales=whole("scales"),
        ordinals=whole("ordinals"),
        fractions={tuple(word.split()): value for word, value in whole("fractions").items()},
        sounds_like=whole("sounds_like"),
        point=words.words("point"),
        through=words.words("through"),
        double=words.words("double"),
        triple=words.words("triple"),
        articles=words.words("articles"),
        linking=words.words("linking"),
        letters=words.words("letters"),
        lone=words.words("lone"),
        seconds=words.words("seconds"),
    )


def contractions(files: Files) -> dict[str, tuple[str, ...]]:
    data: Mapping[str, Any] = files.tables.get("small_words.toml", {}).get("contractions", {})
    return {word: tuple(str(parts_).split()) for word, parts_ in data.items()}


def confusions(files: Files) -> tuple[Confusion, ...]:
    return tuple(
        Confusion(
            heard=tuple(row["heard"].split()),
            meant=tuple(row["meant"].split()),
            needs=frozenset(filter(None, row["needs"].split("|"))),
            source=row["source"],
        )
        for row in files.rows.get("confusions.csv", [])
    )
