"""The language model on disk: made once, kept by its hash, never half there; and how its words sound."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchvoice.errors import BenchvoiceError
from benchvoice.lexicon import load
from benchvoice.lexicon.sentences_files import load_patterns
from benchvoice.recognise import language
from benchvoice.recognise.pronounce import Pronouncer, read_dictionary, sounds_like


@pytest.fixture(scope="module")
def pronouncer() -> Pronouncer:
    return Pronouncer(read_dictionary(language.package().dictionary))


@pytest.mark.slow
def test_made_once_and_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path))
    told: list[float] = []
    made = language.prepare(lambda _what, share: told.append(share))
    assert told[0] == 0.0
    assert told[-1] == 1.0
    assert told == sorted(told)
    assert len(made.trade_words()) >= 1_200
    before = made.mixed.stat().st_mtime_ns
    again: list[float] = []
    assert language.prepare(lambda _what, share: again.append(share)) == made
    assert again == []
    assert made.mixed.stat().st_mtime_ns == before
    assert [path.name for path in made.mixed.parent.parent.iterdir()] == [made.key], "no half-made one is left"
    words = {line.split()[0].split("(")[0] for line in made.dictionary.read_text(encoding="utf-8").splitlines()}
    assert made.trade_words() <= words, "every word has its sounds"
    made.words.unlink()
    assert language.prepare().words.is_file(), "a folder that lost a file is made again"


def test_a_disk_that_says_no_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path))
    (tmp_path / "cache").mkdir()
    (tmp_path / "cache" / "language").write_text("in the way", encoding="utf-8")
    with pytest.raises(BenchvoiceError, match="can't be written") as caught:
        language.prepare()
    assert "\n" not in str(caught.value)


def test_every_word_of_the_patterns_can_be_said(pronouncer: Pronouncer) -> None:
    words = load_patterns(load().word_classes()).vocabulary() - pronouncer.written
    assert not [word for word in sorted(words) if not pronouncer.sounds(word)]


@pytest.mark.parametrize(
    ("word", "sounds"),
    [
        ("head's", "HH EH D Z"),
        ("tappets", "T AE P AH T S"),
        ("gasket's", "G AE S K AH T S"),
        ("flange's", "F L AE N JH IH Z"),
        ("pushrods", "P UH SH R AA D Z"),
        ("headgasket", "HH EH D G AE S K AH T"),
        ("flexplate", "F L EH K S P L EY T"),
    ],
)
def test_sounds_of_words_that_the_dictionary_lacks(pronouncer: Pronouncer, word: str, sounds: str) -> None:
    """Endings by the rules of English: S after a voiceless sound, Z after a voiced one, IH Z after a hissing one."""
    assert tuple(sounds.split()) in pronouncer.sounds(word)


def test_a_word_that_nobody_knows_has_no_sounds(pronouncer: Pronouncer) -> None:
    assert pronouncer.sounds("qxzzt") == []


def test_spelled_words_are_known_english(pronouncer: Pronouncer) -> None:
    assert all(len(" ".join(parts)) >= 3 for parts in sounds_like().values())
    assert sounds_like()["pushrod"] == ("push", "rod")
