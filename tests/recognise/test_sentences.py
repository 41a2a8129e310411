"""Sentence patterns: their signs, their faults, and what the program's own ones say."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from benchvoice.errors import GrammarError
from benchvoice.lexicon import load
from benchvoice.lexicon.sentences import Patterns, read_patterns
from benchvoice.lexicon.sentences_files import load_chatter, load_patterns, load_talk, read_talk
from benchvoice.recognise.language import package
from benchvoice.recognise.pronounce import Pronouncer, read_dictionary

CLASSES = {"part": ["rod cap", "piston"], "state": ["worn", "does n't turn"]}


def patterns(*says: str, rules: str = "") -> Patterns:
    text = f"[rules]\n{rules}\n" + "".join(f'[[pattern]]\nsay = "{say}"\n' for say in says)
    return read_patterns([("a.toml", text)], CLASSES)


def said(of: Patterns, count: int = 400) -> Counter[str]:
    return Counter(" ".join(sentence) for sentence in of.sample(count, seed=1))


def test_choices_weights_and_chances() -> None:
    found = said(patterns("(3* a | b) [25% c]"), 4000)
    assert set(found) == {"a", "a c", "b", "b c"}
    assert 0.7 < (found["a"] + found["a c"]) / 4000 < 0.8
    assert 0.2 < (found["a c"] + found["b c"]) / 4000 < 0.3


def test_classes_rules_and_endings() -> None:
    found = said(patterns("{thing}'s {state}", rules='thing = "the {part}"'))
    assert set(found) == {
        f"the {part}'s {state}" for part in ("rod cap", "piston") for state in ("worn", "doesn't turn")
    }


def test_members_are_dealt_evenly() -> None:
    found = said(patterns("{part}"), 400)
    assert found["rod cap"] == found["piston"] == 200


def test_same_seed_same_sentences() -> None:
    of = patterns("(a|b|c|d) {part}")
    assert list(of.sample(50, seed=3)) == list(of.sample(50, seed=3))
    assert list(of.sample(50, seed=3)) != list(of.sample(50, seed=4))


@pytest.mark.parametrize(
    ("say", "why"),
    [
        ("(a|b", "not closed"),
        ("a)", "too many"),
        ("{nothing}", "unknown"),
        ("a % b", "can't read"),
        ("a 3* b", "wrong place"),
    ],
)
def test_faults_name_file_and_line(say: str, why: str) -> None:
    with pytest.raises(GrammarError, match=r"a\.toml:4: ") as caught:
        read_patterns([("a.toml", f'[[pattern]]\nsay = "fine"\n[[pattern]]\nsay = "{say}"\n')], CLASSES)
    assert why in str(caught.value)


def test_all_faults_come_at_once() -> None:
    with pytest.raises(GrammarError) as caught:
        patterns("{x}", "{y}", rules='loop = "{loop}"')
    assert str(caught.value).count("a.toml:") >= 2


def test_a_rule_that_leads_back_to_itself_is_refused() -> None:
    with pytest.raises(GrammarError, match="back to itself"):
        patterns("{one}", rules='one = "a {two}"\ntwo = "b {one}"')


def test_the_programs_own_patterns() -> None:
    of = load_patterns(load().word_classes())
    assert len(of.vocabulary()) >= 1_200
    found = list(of.sample(20_000, seed=2))
    assert all(word == word.lower() for sentence in found for word in sentence)
    firsts = Counter(sentence[0] for sentence in found if sentence)
    assert len(firsts) > 100, "sentences begin in many ways"


def test_every_part_and_condition_comes_up() -> None:
    """Every spoken form of the lexicon turns up in a sample of the size that the model is made of."""
    lexicon = load()
    of = load_patterns(lexicon.word_classes())
    words = {word for sentence in of.sample(250_000, seed=7) for word in sentence}
    for kind in ("part", "condition.adj"):
        missing = {
            form for form in lexicon.word_classes()[kind] for w in form.split() if "'" not in w and w not in words
        }
        assert len(missing) <= 3, missing


def test_talk_is_read_as_it_was_said_and_chatter_teaches_nothing() -> None:
    said = read_talk("a.txt", "number two's fine\n# what's for lunch\n\nlip on three\n")
    assert said == [("number", "two's", "fine"), ("lip", "on", "three")]


def test_talk_that_nobody_says_is_refused_with_file_and_line() -> None:
    with pytest.raises(GrammarError) as caught:
        read_talk("a.txt", "fine\nNumber two\nscored, badly\n")
    assert [problem.split(" ")[0] for problem in caught.value.problems] == ["a.txt:2:", "a.txt:3:"]


def test_asides_and_chatter_are_what_is_not_about_the_engine(tmp_path: Path) -> None:
    text = "number two's fine\n# what's for lunch\n"
    assert read_talk("a.txt", text, asides=True) == [("what's", "for", "lunch")]
    before = load_chatter(tmp_path)
    assert len(before) > 2_000
    for kind in ("talk", "chatter"):
        (tmp_path / kind).mkdir()
    (tmp_path / "talk" / "mine.txt").write_text(text, encoding="utf-8")
    (tmp_path / "chatter" / "mine.txt").write_text("number four with rice please\n", encoding="utf-8")
    added = set(load_chatter(tmp_path)) - set(before)
    assert added == {("what's", "for", "lunch"), ("number", "four", "with", "rice", "please")}


def test_own_talk_is_added(tmp_path: Path) -> None:
    (tmp_path / "talk").mkdir()
    (tmp_path / "talk" / "mine.txt").write_text("the gronkle's knackered\n", encoding="utf-8")
    assert load_talk(tmp_path)[-1] == ("the", "gronkle's", "knackered")
    assert len(load_talk(tmp_path)) == len(load_talk(tmp_path / "nothing")) + 1


def test_talk_that_the_program_brings_can_be_said() -> None:
    pronouncer = Pronouncer(read_dictionary(package().dictionary))
    said = load_talk()
    silent = sorted({word for words in said for word in words if not pronouncer.sounds(word)})
    assert not silent, "write how they sound into pronunciations.toml"
    assert len(said) > 2_000
