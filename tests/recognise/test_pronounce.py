"""How words sound, with a person's own entries over ours."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchvoice import lexicon
from benchvoice.errors import GrammarError
from benchvoice.recognise import language
from benchvoice.recognise.pronounce import Pronouncer, read_dictionary, sounds_like


@pytest.fixture(scope="module")
def dictionary() -> dict[str, list[tuple[str, ...]]]:
    return read_dictionary(language.package().dictionary)


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The person's own file, not there yet."""
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path))
    path = tmp_path / "config" / "grammars" / "en" / "pronunciations.toml"
    path.parent.mkdir(parents=True)
    return path


def test_a_word_of_ones_own_can_be_heard(own: Path, dictionary: dict[str, list[tuple[str, ...]]]) -> None:
    assert Pronouncer(dictionary).sounds("gronkle") == []
    own.write_text('[words]\ngronkle = ["G R AA NG K AH L"]\n', encoding="utf-8")
    pronouncer = Pronouncer(dictionary)
    assert pronouncer.sounds("gronkle") == [("G", "R", "AA", "NG", "K", "AH", "L")]
    assert pronouncer.sounds("gronkles")[0][-1] == "Z"
    assert pronouncer.sounds("babbitt"), "ours stay"


def test_a_further_way_to_say_a_known_word_comes_after_ours(
    own: Path, dictionary: dict[str, list[tuple[str, ...]]]
) -> None:
    before = Pronouncer(dictionary).sounds("babbitt")
    own.write_text('[variants]\nbabbitt = ["B AA B IH T"]\n', encoding="utf-8")
    assert Pronouncer(dictionary).sounds("babbitt") == [*before, ("B", "AA", "B", "IH", "T")]


def test_a_word_that_is_only_written_is_heard_once_it_has_a_sound(
    own: Path, dictionary: dict[str, list[tuple[str, ...]]]
) -> None:
    word = sorted(Pronouncer(dictionary).written)[0]
    own.write_text(f'[words]\n"{word}" = ["T UW"]\n', encoding="utf-8")
    assert ("T", "UW") in Pronouncer(dictionary).sounds(word)


@pytest.mark.parametrize(
    ("word", "sounds"),
    [
        ("gronkle", "G R AA NG K AH L"),
        ("Gronkle", "G R AA NG K AH L"),
        ("gronk-plate", "G R AA NG K P L EY T"),  # a guess, then a known word
        ("blowby's", "B L OW B AY Z"),  # known parts, and an ending by rule
        ("ptl", "P IY T IY EH L"),  # letter by letter
        ("caf\u00e9", "K AH F EY"),
        ("snugged", "S N AH G D"),  # not "snug" and "ged"
    ],
)
def test_a_word_that_nobody_knows_is_guessed(
    own: Path, dictionary: dict[str, list[tuple[str, ...]]], word: str, sounds: str
) -> None:
    assert Pronouncer(dictionary).guess(word)[0] == tuple(sounds.split())


def test_guesses_are_for_unknown_words_only(own: Path, dictionary: dict[str, list[tuple[str, ...]]]) -> None:
    pronouncer = Pronouncer(dictionary)
    assert pronouncer.ways("gronkle") == pronouncer.guess("gronkle") != []
    assert pronouncer.ways("babbitt") == pronouncer.sounds("babbitt")
    for word in ("v8", "", "-", "'", "2nd", "a.b", "\u05d0"):
        assert pronouncer.guess(word) == []
    own.write_text('[words]\ngronkle = ["G R UW"]\n', encoding="utf-8")
    pronouncer = Pronouncer(dictionary)
    assert pronouncer.ways("gronkle") == [("G", "R", "UW")]
    assert pronouncer.ways("gronkles") == [("G", "R", "UW", "Z")], "an entry's forms follow it, however it is spelled"


def test_parts_of_a_compound_are_not_taken_against_its_spelling(
    own: Path, dictionary: dict[str, list[tuple[str, ...]]]
) -> None:
    """All of these are two words of the dictionary in a row, or one with an ending."""
    pronouncer = Pronouncer(dictionary)
    assert pronouncer.sounds("headgasket") == [("HH", "EH", "D", "G", "AE", "S", "K", "AH", "T")]
    assert pronouncer.guess("blowby") == [("B", "L", "OW", "B", "AY"), ("B", "L", "OW", "B", "IY")]
    without = {word: ways for word, ways in dictionary.items() if word not in ("accountable", "career", "brass")}
    assert {"account", "able", "care", "bras"} <= without.keys()
    pronouncer = Pronouncer(without)
    for word in ("accountable", "career", "brass"):
        assert pronouncer.sounds(word) == []
        assert pronouncer.guess(word)[0] in dictionary[word]


def test_spellings_for_another_recogniser_are_merged(own: Path) -> None:
    ours = sounds_like()
    own.write_text('[sounds_like]\ngronkle = "gronk ill"\n', encoding="utf-8")
    assert sounds_like() == {**ours, "gronkle": ("gronk", "ill")}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[words]\nfine = ["F AY N"]\ngronkle = ["G QQ"]\n', r"pronunciations\.toml:3: gronkle .*QQ"),
        ('[words]\ngronkle = "G R AA"\n', r":2: gronkle wants a list"),
        ("[words]\ngronkle = [1]\n", r":2: gronkle wants a list"),
        ("words = 3\n", r":1: words is a table"),
        ("written = 3\n", r":1: written is a list"),
        ("[words\n", r"pronunciations\.toml"),
        ("\xff", r"can't be read"),
    ],
)
def test_what_is_wrong_in_ones_own_file_is_named(
    own: Path, dictionary: dict[str, list[tuple[str, ...]]], text: str, says: str
) -> None:
    own.write_bytes(text.encode("latin-1"))
    with pytest.raises(GrammarError, match=says):
        Pronouncer(dictionary)


def test_everything_that_is_wrong_is_named_at_once(own: Path, dictionary: dict[str, list[tuple[str, ...]]]) -> None:
    own.write_text('[words]\nfine = ["QQ"]\ngronkle = 1\n\n[sounds_like]\nknurl = 3\n', encoding="utf-8")
    with pytest.raises(GrammarError) as caught:
        Pronouncer(dictionary)
    assert [problem.split(": ")[0].rpartition(":")[2] for problem in caught.value.problems] == ["2", "3", "6"]


def test_another_model_of_spelling_matters_to_words_of_ones_own_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path))
    classes = lexicon.load().word_classes()
    other = tmp_path / "other.npz"
    other.write_bytes(b"other")

    def keys() -> tuple[str, str]:
        with monkeypatch.context() as patch:
            before = language._key(classes)
            patch.setattr(language, "SPELLING", other)
            return before, language._key(classes)

    assert len(set(keys())) == 1
    (tmp_path / "config" / "grammars" / "en").mkdir(parents=True)
    assert len(set(keys())) == 2


def test_another_pronunciation_makes_another_language_model(own: Path) -> None:
    classes = lexicon.load().word_classes()
    before = language._key(classes)
    own.write_text('[words]\ngronkle = ["G R AA NG K AH L"]\n', encoding="utf-8")
    assert language._key(classes) != before
    own.unlink()
    assert language._key(classes) == before
