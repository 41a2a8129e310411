"""The judging tables: complete, true to the lexicon, and every problem told at once with file and line."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from benchvoice import lexicon as words
from benchvoice.errors import GrammarError
from benchvoice.lexicon.judging import FILES, judging_tables, load_judging
from benchvoice.lexicon.prices import load_prices
from benchvoice.resources import folder

TABLES = judging_tables()
EN = Path(str(folder("grammars"))) / "en"


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    for name in FILES:
        shutil.copy(EN / f"{name}.toml", tmp_path)
    return tmp_path


def test_every_word_of_the_lexicon_is_known_here() -> None:
    lexicon = words.load()
    assert set(TABLES.parts) == set(lexicon.parts)
    assert TABLES.conditions.all == set(lexicon.conditions)
    assert TABLES.no_look <= set(lexicon.quantities)
    actions = TABLES.words.gone_actions | TABLES.words.felt_actions | TABLES.words.damaged_actions
    assert actions <= set(lexicon.actions)


def test_every_observation_is_weighed_and_every_event_holds_two() -> None:
    weighed = {sign.observe for cause in TABLES.causes for sign in cause.signs}
    in_events = {name for event in TABLES.events for name in event.members}
    assert set(TABLES.observations) == weighed | in_events
    assert all(len(event.members) >= 2 for event in TABLES.events)


def test_every_rule_names_its_source() -> None:
    assert all(check.source for check in TABLES.checks)
    assert all(sign.source and not re.fullmatch(r"\w+", sign.source) for cause in TABLES.causes for sign in cause.signs)
    assert all(row.source for row in TABLES.refused)


def edit(path: Path, before: str, after: str) -> int:
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after, 1), encoding="utf-8")
    return text[: text.index(before)].count("\n") + 1


def test_all_problems_are_told_at_once_with_their_lines(copy: Path) -> None:
    first = edit(copy / "coverage.toml", 'stage = "heads"', 'stage = "haeds"')
    second = edit(copy / "causes.toml", 'parts = ["thermostat"]', 'parts = ["thermostad"]')
    third = edit(copy / "checks.toml", "odds = 4.0", "odds = -4")
    fourth = edit(copy / "claims.toml", "{looked} of the {total} {parts} were opened and none", "{luck} of {total}")
    with pytest.raises(GrammarError) as caught:
        load_judging(copy)
    told = str(caught.value)
    for name, line in (("coverage", first), ("causes", second), ("checks", third), ("claims", fourth)):
        assert f"{name}.toml:{line}:" in told
    assert "Did you mean 'heads'?" in told
    assert "Did you mean 'thermostat'?" in told


@pytest.mark.parametrize(
    ("name", "before", "after", "told"),
    [
        ("coverage", 'say = "block"', 'say = "block"\ncolour = "red"', "colour is not known here"),
        ("causes", "fair = 3.0", "fair = 0.5", "weights must fall"),
        ("lots", 'takes = ["oil_pan"]', "takes = []", "takes no part"),
        ("claims", "hearsay = true", "hearsay = false", "needs nothing"),
        ("coverage", 'after = ["covers", "intake"]', 'after = ["heads"]', "comes after itself"),
        ("causes", 'id = "sludge"', 'id = "pump_bad"', "stands here twice"),
        ("checks", "[[check]]", "[[chekc]]", "is not known here"),
        ("causes", "schema", "schema", ""),
    ],
)
def test_each_kind_of_mistake(copy: Path, name: str, before: str, after: str, told: str) -> None:
    if not told:
        (copy / "causes.toml").write_text("not toml at all [", encoding="utf-8")
        told = "no TOML"
    else:
        edit(copy / f"{name}.toml", before, after)
    with pytest.raises(GrammarError, match=re.escape(told)):
        load_judging(copy)


def test_a_persons_own_rows_replace_ours(copy: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    own = tmp_path_factory.mktemp("own")
    (own / "checks.toml").write_text(
        '[[check]]\nid = "pin_mate"\nafter = { parts = ["rod_bearing"], bad = true }\nlook = ["rod_bearing"]\n'
        'where = "same_pin"\nodds = 9.0\nsay = "mine"\nsource = "our shop"\n',
        encoding="utf-8",
    )
    found = {check.id: check for check in load_judging(copy, own).checks}
    assert found["pin_mate"].odds == 9.0
    assert len(found) == len(TABLES.checks)


def test_wrong_prices_are_told_with_their_lines(tmp_path: Path) -> None:
    path = tmp_path / "prices.toml"
    path.write_text(
        '[about]\ncurrency = "USD"\nnote = "x"\nlabour_per_hour = 40\n\n[lots.crank]\nlow = 9\nhigh = 5\nminutes = 1\n'
        "chance = 2\n\n[lots.krank]\nlow = 1\n",
        encoding="utf-8",
    )
    with pytest.raises(GrammarError) as caught:
        load_prices(path, TABLES.lots)
    told = str(caught.value)
    assert "prices.toml:8: high 5 is less than low 9" in told
    assert "prices.toml:10: chance must lie between 0 and 1" in told
    assert "prices.toml:12: no lot is called 'krank'" in told
