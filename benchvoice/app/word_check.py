"""Checks the grammar files, and finds the words that a recogniser knows by a guess only or can't hear at all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from benchvoice import lexicon
from benchvoice.errors import GrammarError
from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.sentences_files import load_chatter, load_patterns, load_talk

Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What a check found.

    lexicon: None if the files have problems. problems: each with its file and line. guessed: words that neither a
    dictionary nor an entry holds -> the ways to say them, the likeliest first, in ARPAbet. unheard: words that are
    listened for under no sound, because they hold digits or signs.
    """

    lexicon: Lexicon | None
    problems: tuple[str, ...] = ()
    guessed: Mapping[str, list[str]] = field(default_factory=dict)
    unheard: tuple[str, ...] = ()


def check_words(own: Path) -> Checked:
    """Our grammar files with those in `own` over them: words, sentence patterns, talk and pronunciations.

    Raises BenchvoiceError if the recogniser's dictionary is missing.
    """
    from benchvoice.recognise.language import package
    from benchvoice.recognise.pronounce import Pronouncer, read_dictionary

    problems: list[str] = []
    words = _tried(lambda: lexicon.load(own), problems)
    pronouncer = _tried(lambda: Pronouncer(read_dictionary(package().dictionary), own), problems)
    patterns = _tried(lambda: load_patterns(words.word_classes(), own), problems) if words else None
    talk = _tried(lambda: load_talk(own), problems)
    _tried(lambda: load_chatter(own), problems)
    if problems or words is None or pronouncer is None or patterns is None or talk is None:
        return Checked(lexicon=None, problems=tuple(problems))
    said = patterns.vocabulary().union(*talk)
    unknown = [word for word in sorted(said - pronouncer.written) if not pronouncer.sounds(word)]
    guesses = {word: [" ".join(way) for way in pronouncer.guess(word)] for word in unknown}
    return Checked(
        lexicon=words,
        guessed={word: ways for word, ways in guesses.items() if ways},
        unheard=tuple(word for word, ways in guesses.items() if not ways),
    )


def _tried(make: Callable[[], Result], problems: list[str]) -> Result | None:
    try:
        return make()
    except GrammarError as error:
        problems += error.problems or (error.what,)
        return None
