"""Guessing how a word sounds: against held-back words of the dictionary, and against entries that people wrote."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from benchvoice.errors import BenchvoiceError
from benchvoice.lexicon import load
from benchvoice.lexicon.sentences_files import load_patterns
from benchvoice.recognise import graphones, make_graphones, pronounce
from benchvoice.recognise.graphones import Graphones
from benchvoice.recognise.make_graphones import align
from benchvoice.recognise.ngram import NGram
from benchvoice.recognise.pronounce import Pronouncer
from tests.recognise import spelling


@pytest.fixture(scope="module")
def own() -> Graphones:
    """The package's model."""
    return graphones.load()


@pytest.fixture(scope="module")
def pronouncer() -> Pronouncer:
    return Pronouncer(spelling.dictionary())


def test_held_back_words_are_guessed_from_a_quarter_of_the_others() -> None:
    """A model of all the others gets 6.2 % of the sounds and 25.7 % of the words wrong; see `tests.recognise.spelling`.

    A quarter is what a test has time for. It gets 9.0 % and 38.3 % wrong in these 300.
    """
    pairs, held = spelling.split()
    assert not {word for word, _ in pairs} & set(held)
    model = spelling.made(pairs[::4])
    wrong = spelling.errors({word: model.guess(word)[0] for word in held[:300]}, spelling.dictionary())
    assert wrong.sounds < 0.10
    assert wrong.words < 0.42


def test_the_trades_own_words_are_guessed_as_people_wrote_them_down(own: Graphones) -> None:
    """None of these is in the dictionary that the model learnt from. 4.9 % and 21.5 % are wrong."""
    trade = spelling.trade_words()
    assert len(trade) > 100
    wrong = spelling.errors({word: own.guess(word)[0] for word in trade}, trade)
    assert wrong.sounds < 0.06
    assert wrong.words < 0.25


def test_letters_are_aligned_with_their_sounds() -> None:
    """English spelling has but one way to share these out, given that a silent letter comes before a sounding one."""
    words = {
        "box": "B AA K S", "fox": "F AA K S", "ox": "AA K S", "bob": "B AA B", "off": "AA F", "fob": "F AA B",
        "sob": "S AA B", "boss": "B AA S", "foss": "F AA S", "so": "S OW",
    }  # fmt: skip
    rows = align([(word, tuple(way.split())) for word, way in words.items()])
    assert rows[0] == ["b|B", "o|AA", "x|K S"]
    assert rows[4] == ["o|AA", "f|", "f|F"]
    assert rows[7] == ["b|B", "o|AA", "s|", "s|S"]


def test_words_with_more_sounds_than_their_letters_can_make_teach_nothing() -> None:
    rows = align([("w", ("D", "AH", "B", "AH", "L")), ("to", ("T", "UW"))])
    assert [[unit[0] for unit in row] for row in rows] == [["t", "o"]]


def test_guesses_are_the_likeliest_first_and_no_more_than_asked(own: Graphones) -> None:
    ways = own.ways("knurling")
    assert [way.log for way in ways] == sorted((way.log for way in ways), reverse=True)
    assert own.guess("knurling")[0] == ways[0].sounds
    assert len(own.guess("knurling", most=1)) == 1
    assert own.log_of("knurling", ways[0].sounds) == pytest.approx(ways[0].log, abs=0.05)
    assert own.log_of("knurling", ("ZH",) * 17) == -np.inf, "two sounds a letter at most"
    for word in ("", "v8", "a$", "grün"):
        assert not own.spells(word)
        with pytest.raises(ValueError, match="letters"):
            own.ways(word)


def test_a_long_word_is_guessed_too(own: Graphones) -> None:
    assert len(own.guess("gronkle" * 30)[0]) > 100


def test_the_file_keeps_what_was_written(tmp_path: Path) -> None:
    pairs = [pair for pair in make_graphones.spelled(spelling.dictionary()) if len(pair[0]) < 5]
    model = make_graphones.train(pairs)
    path = tmp_path / "model.npz"
    graphones.write(model, path)
    back = graphones.read(path)
    assert back.words == model.words
    for one, two in zip(model.levels, back.levels, strict=True):
        assert np.array_equal(one.keys, two.keys)
        # Half a step of 1/12 in the logarithm; what is rarer than the last step, e ** (-255 / 12), stays there.
        assert np.allclose(np.log(np.maximum(one.prob, np.exp(-255 / 12))), np.log(two.prob), atol=0.5 / 12 + 1e-9)


def test_a_model_that_would_not_come_back_is_not_written(tmp_path: Path) -> None:
    model = make_graphones.train([pair for pair in make_graphones.spelled(spelling.dictionary()) if len(pair[0]) < 4])
    with pytest.raises(ValueError, match="begins with"):
        graphones.write(NGram(model.words, (*model.levels[:2], *model.levels[3:])), tmp_path / "model.npz")


@pytest.mark.parametrize("content", [b"", b"nonsense", b"PK\x03\x04 and no more"])
def test_a_broken_model_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, content: bytes) -> None:
    path = tmp_path / "graphones.npz"
    path.write_bytes(content)
    monkeypatch.setattr(graphones, "SPELLING", path)
    graphones.load.cache_clear()
    with pytest.raises(BenchvoiceError, match="can't be read") as caught:
        graphones.load()
    assert "\n" not in str(caught.value)
    graphones.load.cache_clear()


def test_the_packages_model_is_small() -> None:
    assert pronounce.SPELLING.stat().st_size < 2_000_000


def test_no_word_of_the_programs_own_grammars_is_guessed(tmp_path: Path, pronouncer: Pronouncer) -> None:
    """Each has an entry, or follows from known words so clearly that the spelling agrees."""
    nothing = tmp_path / "none"
    words = load_patterns(load(nothing).word_classes(), nothing).vocabulary() - pronouncer.written
    assert len(words) > 2_000
    assert [word for word in sorted(words) if not pronouncer.sounds(word)] == []


def test_the_program_starts_without_the_model() -> None:
    code = (
        "import sys; from benchvoice.cli import main; from benchvoice.recognise import language; "
        "print(*(name for name in ('benchvoice.recognise.graphones', 'numpy') if name in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
