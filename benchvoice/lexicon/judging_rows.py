"""How each row of the judging tables is read from its file."""

from __future__ import annotations

from collections.abc import Collection

from benchvoice.lexicon.judging_types import (
    CauseRow,
    CautionRow,
    CheckRow,
    ClaimRow,
    ConditionSets,
    HangsOn,
    LookWords,
    LotRow,
    Need,
    Observation,
    OneEvent,
    PartRow,
    RefusedRow,
    Sign,
    Stage,
    WarrantyRow,
    Weights,
)
from benchvoice.lexicon.judging_wording import placeholders
from benchvoice.lexicon.tables import Row, Table

PER = ("engine", "bank", "cylinder", "journal", "valve", "cam", "none")
ONLY = ("", "pushrod", "sohc", "dohc", "overhead", "petrol", "diesel")
PATTERNS = ("", "only_one", "far_end", "side_by_side", "low_pair", "low_one")
WHERE = (
    "same_place", "same_cylinder", "same_pin", "mains_beside", "rods_beside", "next_in_bank", "next_journal",
    "same_bank", "same_journal", "all", "far_end", "members",
    "members_good", "unnamed",
)  # fmt: skip
ALONE = ("far_end", "members", "members_good", "unnamed")
CLASSES = ("strong", "fair", "against", "strongly_against")
HOW = ("seen", "measured", "within")
TOP_KEYS = {
    "coverage": ("source", "words", "conditions", "quantities", "actions", "stage", "part"),
    "checks": ("source", "check"),
    "causes": ("weights", "sources", "wording", "observation", "one_event", "cause"),
    "lots": ("source", "returns", "lot", "sentences"),
    "claims": (
        "source", "statements", "samples", "sources", "claim", "refused", "disclosure", "warranty", "caution",
    ),
}  # fmt: skip


def stage(row: Row) -> Stage:
    out = Stage(
        id=row.text("id"),
        name=row.text("name"),
        minutes=row.number("minutes", high=1e4),
        after=row.names("after", required=False),
    )
    row.done()
    return out


def check_stages(tables: list[Table], stages: dict[str, Stage]) -> None:
    """Every stage that comes after another names one that exists, and none comes after itself."""
    for table in tables:
        for row in table.rows("stage"):
            after = row.names("after", stages, required=False)
            seen, wait = set(), list(after)
            while wait:
                name = wait.pop()
                if name not in seen and name in stages:
                    seen.add(name)
                    wait.extend(stages[name].after)
            if row.data.get("id") in seen:
                row.problem("comes after itself", "after")


def part(row: Row, known: Collection[str], stages: Collection[str], named: Collection[str]) -> PartRow:
    per = row.choice("per", PER, "none")
    asked = per != "none"
    out = PartRow(
        name=row.text("name"),
        say=row.text("say"),
        plural=row.text("plural"),
        importance=row.number("importance", high=10),
        per=per,
        stage=row.choice("stage", stages, "outside", required=asked),
        one_by_one=row.choice("opens", ("one_by_one", "at_once"), "at_once", required=asked) == "one_by_one",
        minutes=row.number("minutes", high=1e4, required=asked),
        bad_rate=row.number("bad_rate", 0.1, low=0.001, high=0.999, required=asked),
        prior_weight=row.number("prior_weight", 2.0, low=0.1, high=1000, required=False),
        spoiled_share=row.number("spoiled_share", 0.3, high=1, required=asked),
        halves=row.flag("halves"),
        opened_with=row.choice("with", known, required=False),
        shows=row.choice("shows", known, required=False),
        only=row.choice("only", ONLY, required=False),
        if_mentioned=row.flag("if_mentioned"),
        instead_of=row.names("instead_of", known, required=False),
        measured_by=row.names("measured_by", required=False),
        harmless=frozenset(row.names("harmless", named, required=False)),
    )
    row.done()
    return out


def conditions(tables: list[Table]) -> ConditionSets:
    row = tables[-1].row("conditions") if "conditions" in tables[-1].data else tables[0].row("conditions")
    sets = {key: frozenset(row.names(key)) for key in ("spoil", "impair", "fine", "neutral", "gone")}
    taken: dict[str, str] = {}
    for key, names in sets.items():
        for name in sorted(names):
            if name in taken:
                row.problem(f"{name!r} stands under {taken[name]} and {key}", key)
            taken[name] = key
    harmless = frozenset(row.names("harmless_when_light", taken))
    row.done()
    return ConditionSets(**sets, harmless_when_light=harmless)


def look_words(tables: list[Table]) -> LookWords:
    row, actions = tables[0].row("words"), tables[0].row("actions")
    out = LookWords(
        felt=row.names("felt"),
        seen_after_all=row.names("seen_after_all"),
        could_not=row.names("could_not"),
        total=row.names("total"),
        measure=row.names("measure"),
        denying=row.names("denying"),
        gone_actions=frozenset(actions.names("gone")),
        felt_actions=frozenset(actions.names("felt")),
        damaged_actions=frozenset(actions.names("damaged")),
    )
    row.done()
    actions.done()
    return out


def no_look(tables: list[Table]) -> frozenset[str]:
    return frozenset(tables[0].row("quantities").names("no_look"))


def check(row: Row, known: Collection[str], named: Collection[str]) -> CheckRow:
    where = row.choice("where", WHERE, "all")
    after = row.table("after")
    if after is None and where not in ALONE:
        row.problem(f"needs an `after`, unless where is {', '.join(ALONE)}")
    out = CheckRow(
        id=row.text("id"),
        look=row.names("look", known, required=where not in ALONE[1:]),
        where=where,
        odds=row.number("odds", 1.0, low=0.01, high=100),
        say=row.text("say"),
        source=row.text("source"),
        after_parts=after.names("parts", known) if after else (),
        after_bad=after.flag("bad") if after else False,
        after_good=after.flag("good") if after else False,
        after_conditions=after.names("conditions", named, required=False) if after else (),
    )
    if after is not None:
        if after.data.keys().isdisjoint(("bad", "good", "conditions")):
            row.problem("after needs bad, good or conditions", "after")
        after.done()
    placeholders(row, "say", out.say, "there what")
    row.done()
    return out


def observation(row: Row, known: Collection[str], named: Collection[str]) -> Observation:
    out = Observation(
        id=row.text("id"),
        say=row.text("say"),
        parts=row.names("parts", known),
        conditions=frozenset(row.names("conditions", named, required=False)),
        at_least=int(row.number("at_least", 1, low=1, high=64, required=False)),
        parts_at_least=int(row.number("parts_at_least", 1, low=1, high=64, required=False)),
        places_at_least=int(row.number("places_at_least", 1, low=1, high=64, required=False)),
        pattern=row.choice("pattern", PATTERNS, required=False),
        shell=row.choice("shell", ("upper", "lower"), required=False),
        side=row.choice("side", ("thrust", "minor"), required=False),
        degree=row.choice("degree", ("light", "moderate", "heavy"), required=False),
        words=row.names("words", required=False),
        without_words=row.names("without_words", required=False),
        denied_by=row.names("denied_by", row.data.get("parts", ()), required=False),
        quantity=row.text("quantity", required=False),
        beyond=row.flag("beyond"),
        term=row.text("term", required=False),
    )
    if not (out.conditions or out.words or out.quantity or out.pattern.startswith("low")):
        row.problem(f"{out.id} names no conditions, words or quantity: it would hold for anything")
    row.done()
    return out


def one_event(row: Row, observations: Collection[str]) -> OneEvent:
    out = OneEvent(
        id=row.text("id"),
        scope=row.choice("scope", ("engine", "cylinder"), "engine"),
        members=frozenset(row.names("members", observations)),
    )
    row.done()
    return out


def sources(tables: list[Table]) -> dict[str, str]:
    out: dict[str, str] = {}
    for table in tables:
        out.update({key: str(value) for key, value in table.row("sources").data.items()})
    return out


def _sign(row: Row, observations: Collection[str], known_sources: dict[str, str]) -> Sign:
    source = row.choice("source", known_sources, "cp")
    out = Sign(
        observe=row.choice("observe", observations),
        see=row.choice("see", CLASSES, required=False),
        if_not=row.choice("not", CLASSES, required=False),
        source=known_sources.get(source, source),
    )
    if not (out.see or out.if_not):
        row.problem(f"sign {out.observe} weighs nothing: give see or not")
    row.done()
    return out


def cause(row: Row, observations: Collection[str], known_sources: dict[str, str]) -> CauseRow:
    source = row.choice("source", known_sources, "cp")
    signs = tuple(_sign(item, observations, known_sources) for item in row.rows("signs", required=True))
    seen: set[str] = set()
    for sign in signs:
        if sign.observe in seen:
            row.problem(f"{sign.observe} stands twice among the signs", "signs")
        seen.add(sign.observe)
    out = CauseRow(
        id=row.text("id"),
        name=row.text("name"),
        prior=row.number("prior", 1.0, low=0.001, high=1000),
        source=known_sources.get(source, source),
        signs=signs,
    )
    row.done()
    return out


def weights(tables: list[Table]) -> Weights:
    row = tables[-1].row("weights") if "weights" in tables[-1].data else tables[0].row("weights")
    classes = {name: row.number(name, 1.0, low=1e-4, high=1e4) for name in CLASSES}
    if not classes["strong"] >= classes["fair"] > 1 > classes["against"] >= classes["strongly_against"]:
        row.problem("weights must fall from strong over fair, 1 and against to strongly_against", "strong")
    out = Weights(
        classes=classes,
        hedged_exponent=row.number("hedged_exponent", 0.5, high=1),
        something_else_prior=row.number("something_else_prior", 1.0, low=0.001, high=1000),
        dependence_exponent=row.number("dependence_exponent", 1.0, low=0.1, high=1),
        source=row.text("source"),
    )
    row.done()
    return out


def _hangs(row: Row, known: Collection[str]) -> HangsOn:
    out = HangsOn(
        part=row.choice("part", known),
        spoiled=row.number("spoiled", high=1),
        impaired=row.number("impaired", high=1),
        doubt=row.number("doubt", high=1),
    )
    row.done()
    return out


def lot(row: Row, known: Collection[str], claims: Collection[str], stages: Collection[str]) -> LotRow:
    out = LotRow(
        id=row.text("id"),
        name=row.text("name"),
        per=row.choice("per", ("engine", "bank"), "engine"),
        takes=row.names("takes", known),
        hangs_on=tuple(_hangs(item, known) for item in row.rows("hangs_on")),
        claims=row.names("claims", claims, required=False),
        if_mentioned=row.flag("if_mentioned"),
        strip=row.names("strip", stages, required=False),
        returns=row.number("returns", high=1, required=False) if "returns" in row.data else None,
    )
    if not out.takes:
        row.problem(f"{out.id} takes no part")
    row.done()
    return out


def returns_share(tables: list[Table]) -> float:
    row = tables[-1].row("returns") if "returns" in tables[-1].data else tables[0].row("returns")
    return row.number("share", 0.6, high=1)


def claim(row: Row, known: Collection[str]) -> ClaimRow:
    needs = []
    for item in row.rows("needs"):
        needs.append(Need(part=item.choice("part", known), how=item.choice("how", HOW, "seen")))
        item.done()
    out = ClaimRow(
        id=row.text("id"),
        say=row.text("say"),
        needs=tuple(needs),
        words=row.names("words", required=False),
        hearsay=row.flag("hearsay"),
        own_parts_only=row.flag("own_parts_only"),
    )
    if not (out.needs or out.hearsay):
        row.problem(f"{out.id} needs nothing: nothing may be claimed on nothing")
    row.done()
    return out


def refused(tables: list[Table]) -> tuple[RefusedRow, ...]:
    out = []
    for table in tables:
        for row in table.rows("refused"):
            names = {key: row.names(key) for key in ("words", "instead")}
            out.append(RefusedRow(**names, why=row.text("why"), source=row.text("source")))
            row.done()
    return tuple(out)


def warranty(row: Row) -> WarrantyRow:
    out = WarrantyRow(
        id=row.text("id"),
        text=row.text("text"),
        needs=row.choice("needs", ("none", "some", "all"), "all"),
        why=row.text("why"),
        caution=row.text("caution"),
        source=row.text("source"),
    )
    row.done()
    return out


def cautions(tables: list[Table], known: Collection[str], named: Collection[str]) -> tuple[CautionRow, ...]:
    out = []
    for table in tables:
        for row in table.rows("caution"):
            parts, found = row.names("parts", known), row.names("conditions", named)
            out.append(CautionRow(parts=parts, conditions=found, text=row.text("text"), source=row.text("source")))
            row.done()
    return tuple(out)
