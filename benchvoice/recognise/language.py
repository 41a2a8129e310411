"""The language model and the dictionary: made from grammars/ at first use, kept under the hash of what they came from.

What the trade says comes as sentences sampled from patterns and as talk written down, each through Kneser-Ney
smoothing; a share of general English keeps a stray word from wrecking a sentence.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from benchvoice import paths
from benchvoice.errors import BenchvoiceError
from benchvoice.lexicon import load
from benchvoice.lexicon.sentences_files import (
    chatter_texts,
    load_chatter,
    load_patterns,
    load_talk,
    pattern_texts,
    talk_texts,
)
from benchvoice.recognise import making
from benchvoice.recognise.base import Progress
from benchvoice.recognise.pronounce import SPELLING, entry_files

RECIPE = "5"
"""Changes when the same grammars would make another model."""
SENTENCES = 250_000
SEED = 20_011
PATTERNS_SHARE = 0.7
"""Share of the sampled sentences in the trade's model, the rest is talk as it was written down."""
TRADE_SHARE = 0.8
"""Share of the trade's model in the mixed one. DEVELOPERS.md shows what other shares did."""
GENERAL_WORDS = 8_000
"""Commonest words of general English that the mixed model can hear beside the trade's own."""
CHATTER_SHARE = 0.6
"""Share of what is said in a shop besides in the model of other talk, the rest is general English."""
KEPT = 3
"""Models of older grammars that stay in the cache."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """Files of a finished model: mixed n-grams and their dictionary; the trade's n-grams alone, and those of all other
    talk.
    """

    mixed: Path
    trade: Path
    other: Path
    dictionary: Path
    words: Path
    """The trade's own words, those of the patterns, one a line."""
    key: str

    def trade_words(self) -> frozenset[str]:
        return frozenset(self.words.read_text(encoding="utf-8").split())


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """Where the pocketsphinx package keeps its models."""

    acoustic: Path
    general: Path
    dictionary: Path


def package() -> Package:
    """Raises BenchvoiceError if the package or its models are missing."""
    try:
        from pocketsphinx import get_model_path

        base = Path(get_model_path()) / "en-us"
    except (ImportError, OSError) as error:
        raise BenchvoiceError("pocketsphinx can't be loaded.", hint="Install benchvoice again.") from error
    found = Package(acoustic=base / "en-us", general=base / "en-us.lm.bin", dictionary=base / "cmudict-en-us.dict")
    for path in (found.acoustic, found.general, found.dictionary):
        if not path.exists():
            raise BenchvoiceError(f"pocketsphinx lacks its model {path.name}.", hint="Install pocketsphinx again.")
    return found


def prepare(on_progress: Progress | None = None) -> Language:
    """The model of the grammars as they are now, from the cache or made (some seconds)."""
    classes = load().word_classes()
    recipe = _recipe(_key(classes))
    target = making.place(recipe)
    if not is_complete(target):
        load_patterns(classes)  # a fault in them is told here, with file and line
        load_talk()
        load_chatter()
        making.make(recipe, on_progress or (lambda _what, _share: None))
    return files_in(target, recipe.key)


def _recipe(key: str) -> making.Recipe:
    return making.Recipe(
        folder="language",
        key=key,
        module="benchvoice.recognise.make_language",
        is_complete=is_complete,
        what="The language model",
        doing="Making the language model",
        hint="Check the disk and the grammar files.",
        kept=KEPT,
    )


def _key(classes: dict[str, tuple[str, ...]]) -> str:
    """Hash of all that a model is made of."""
    pronunciations = "\n".join(text for _, text in entry_files())
    settings = [RECIPE, SENTENCES, SEED, PATTERNS_SHARE, TRADE_SHARE, GENERAL_WORDS, CHATTER_SHARE]
    settings.append(version("pocketsphinx"))
    if (paths.config() / "grammars" / "en").is_dir():
        # Only a person's own words are ever guessed, so only then does it matter what guesses them.
        settings.append(hashlib.sha256(SPELLING.read_bytes()).hexdigest())
    texts = [pattern_texts(), talk_texts(), chatter_texts(), pronunciations]
    told = json.dumps([settings, classes, *texts], sort_keys=True)
    return hashlib.sha256(told.encode("utf-8")).hexdigest()[:20]


def files_in(target: Path, key: str) -> Language:
    return Language(
        mixed=target / "mixed.lm.bin",
        trade=target / "trade.lm.bin",
        other=target / "other.lm.bin",
        dictionary=target / "words.dict",
        words=target / "trade.txt",
        key=key,
    )


def is_complete(target: Path) -> bool:
    files = files_in(target, "")
    return all(path.is_file() for path in (files.mixed, files.trade, files.other, files.dictionary, files.words))
