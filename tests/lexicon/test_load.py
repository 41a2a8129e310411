"""The grammar files: what they must hold, and what is said of a mistake in one."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

import pytest

from benchvoice import resources
from benchvoice.domain.words import typed
from benchvoice.errors import GrammarError
from benchvoice.interpret import Reader
from benchvoice.lexicon import load
from benchvoice.lexicon.load import compile_folders
from benchvoice.lexicon.phrases import short_phrase
from benchvoice.lexicon.templates import TemplateError, expand

NAMES = tomllib.loads((Path(__file__).parents[1] / "narrations" / "names.toml").read_text("utf-8"))


def own(folder: Path, **files: str) -> Path:
    for name, text in files.items():
        (folder / f"{name}.toml").write_text(text, "utf-8")
    return folder


def test_every_canonical_name_has_spoken_forms() -> None:
    lexicon = load()
    assert set(NAMES["parts"]["names"]) <= set(lexicon.parts)
    assert set(NAMES["conditions"]["names"]) <= set(lexicon.conditions)
    assert set(NAMES["quantities"]["names"]) <= set(lexicon.quantities)
    assert set(NAMES["actions"]["names"]) <= set(lexicon.actions)
    assert all(lexicon.spoken_forms(name) for name in (*lexicon.parts, *lexicon.conditions, *lexicon.quantities))


def test_opposites_hold_both_ways() -> None:
    opposites = load().opposites
    assert "wiped" in opposites["good"]
    assert all(name in opposites[other] for name, others in opposites.items() for other in others)


def test_a_persons_own_word_is_merged_over_ours(tmp_path: Path) -> None:
    lexicon = load(own(tmp_path, parts='[oil_pan]\nsays = ["oil bucket"]\n'))
    assert "oil bucket" in lexicon.spoken_forms("oil_pan")
    assert "sump" in lexicon.spoken_forms("oil_pan")
    assert lexicon.hash != load().hash
    reader = Reader(lexicon)
    reading, _ = reader.read(typed(0, "the oil bucket is cracked"), reader.start())
    assert [(item.part, item.condition) for item in reading.findings] == [("oil_pan", "cracked")]


def test_all_problems_are_told_at_once_with_file_and_line(tmp_path: Path) -> None:
    folder = own(
        tmp_path,
        parts='[oil_pan]\nsays = ["(oil pan"]\n\n[flux_capacitor]\nsays = ["capacitor"]\nnumber = "cylindre"\n',
        conditions='[odd]\nadj = ["odd"]\nopposites = ["goood"]\n',
    )
    with pytest.raises(GrammarError) as caught:
        load(folder)
    text = caught.value.what
    assert "parts.toml:2" in text
    assert "parts.toml:6: unknown number 'cylindre', did you mean 'cylinder'?" in text
    assert "conditions.toml:3: unknown condition 'goood', did you mean 'good'?" in text


def test_a_mistake_in_the_form_of_a_file_names_its_line(tmp_path: Path) -> None:
    with pytest.raises(GrammarError, match=r"hedges\.toml:2"):
        load(own(tmp_path, hedges="[hedge]\nsays = [oops]\n"))


def test_one_phrase_cant_mean_two_parts(tmp_path: Path) -> None:
    with pytest.raises(GrammarError, match="'dipstick' means both"):
        load(own(tmp_path, parts='[oil_pan]\nsays = ["dipstick"]\n'))


def test_a_file_that_is_not_text_is_a_problem_and_no_crash(tmp_path: Path) -> None:
    (tmp_path / "parts.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(GrammarError, match=r"parts\.toml:1: not UTF-8"):
        load(tmp_path)


def test_a_misspelt_set_of_words_is_a_problem_with_its_line(tmp_path: Path) -> None:
    with pytest.raises(GrammarError) as caught:
        load(own(tmp_path, word_sets='[word_sets]\ntelers = ["yall"]\n'))
    assert caught.value.problems == ("word_sets.toml:2: unknown field 'telers', did you mean 'tellers'?",)


@pytest.mark.parametrize(
    ("file", "table", "name"), [("word_sets.toml", "word_sets", "singular"), ("numbers.toml", "words", "point")]
)
def test_a_missing_set_of_words_is_a_problem(tmp_path: Path, file: str, table: str, name: str) -> None:
    ours = tmp_path / "en"
    shutil.copytree(Path(str(resources.folder("grammars") / "en")), ours)
    lines = (ours / file).read_text("utf-8").splitlines()
    header, line = lines.index(f"[{table}]"), next(line for line in lines if line.startswith(f"{name} ="))
    lines.remove(line)
    (ours / file).write_text("\n".join(lines), "utf-8")
    with pytest.raises(GrammarError) as caught:
        compile_folders([ours])
    assert caught.value.problems == (f"{file}:{header + 1}: [{table}] {name} needs a list of words",)


def test_a_persons_own_words_join_a_set_and_are_no_vocabulary(tmp_path: Path) -> None:
    ours, theirs = load(), load(own(tmp_path, word_sets='[word_sets]\ntellers = ["Yall"]\n'))
    assert theirs.word_sets.tellers == ours.word_sets.tellers | {"yall"}
    assert theirs.word_classes() == ours.word_classes()


def test_templates_expand() -> None:
    assert expand("(rod|big end) bearing [shell]") == [
        ("rod", "bearing"), ("rod", "bearing", "shell"), ("big", "end", "bearing"), ("big", "end", "bearing", "shell"),
    ]  # fmt: skip


@pytest.mark.parametrize("template", ["(a|b", "a]", "", "[a]|", ")"])
def test_templates_with_mistakes_are_refused(template: str) -> None:
    with pytest.raises(TemplateError):
        expand(template)


@pytest.mark.parametrize(
    ("line", "phrase"),
    [
        ("rod bearing three is wiped", "rod bearing 3: wiped"),
        ("bore one is three point five four two inches at the top", "cylinder bore 1 top: diameter 3.542 in"),
        ("did not pull the wrist pins", "wrist pin: not looked at"),
        ("number two main looks scored bad", "main bearing 2: looks scored, heavy"),
        ("no cracks in the block", "block: not cracked"),
    ],
)
def test_short_phrases(line: str, phrase: str) -> None:
    reader = Reader(load())
    reading, _ = reader.read(typed(0, line), reader.start())
    assert [short_phrase(item, load()) for item in reading.findings] == [phrase]


def test_type_ahead_finds_by_beginning_and_by_sound() -> None:
    lexicon = load()
    assert lexicon.suggest("rod bear")[0][0] == "rod_bearing"
    assert "scored" in [name for name, _ in lexicon.suggest("skord")]
    assert lexicon.suggest("") == []
