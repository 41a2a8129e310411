"""The language model and the dictionary: made from grammars/ at first use, kept under the hash of what they came from.

What the trade says comes as sampled sentences through Kneser-Ney smoothing; a small share of general English keeps a
stray word from wrecking a sentence. A finished model is moved into place in one step, so that two programs that start
at once, or one that is killed, leave no half-made one behind.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from benchvoice import paths
from benchvoice.errors import BenchvoiceError
from benchvoice.lexicon import load
from benchvoice.lexicon.sentences import Patterns
from benchvoice.lexicon.sentences_files import load_patterns, pattern_texts
from benchvoice.recognise.base import Progress
from benchvoice.recognise.general import GeneralModel, read_general
from benchvoice.recognise.ngram import NGram, kneser_ney, mix, prune, write_arpa
from benchvoice.recognise.pronounce import Pronouncer, read_dictionary
from benchvoice.resources import folder

RECIPE = "3"
"""Changes when the same grammars would make another model."""
SENTENCES = 250_000
SEED = 20_011
TRADE_SHARE = 0.9
"""Share of the trade's sentences in the mixed model; chosen on the tuned-on half of the hearing test."""
GENERAL_WORDS = 2_500
"""Commonest words of general English that the mixed model can hear beside the trade's own."""
KEPT = 3
"""Models of older grammars that stay in the cache."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """Files of a finished model: mixed n-grams, the trade's n-grams alone, and the dictionary for both."""

    mixed: Path
    trade: Path
    dictionary: Path
    words: Path
    """The trade's own words, one a line."""
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
    key = _key(classes)
    base = paths.cache() / "language"
    target = base / key
    if not _complete(target):
        base.mkdir(parents=True, exist_ok=True)
        work = Path(tempfile.mkdtemp(prefix=".making-", dir=base))
        try:
            _make(work, load_patterns(classes), on_progress or (lambda _what, _share: None))
            _put(work, target)
        except OSError as error:
            raise BenchvoiceError(
                f"The language model can't be written to {base}: {error.strerror or error}.",
                hint="Free some space there, or set BENCHVOICE_HOME to another folder.",
            ) from error
        finally:
            shutil.rmtree(work, ignore_errors=True)
        _forget_old(base, target)
    return _files(target, key)


def _key(classes: dict[str, tuple[str, ...]]) -> str:
    """Hash of all that a model is made of."""
    pronunciations = (folder("grammars") / "en/pronunciations.toml").read_text(encoding="utf-8")
    settings = [RECIPE, SENTENCES, SEED, TRADE_SHARE, GENERAL_WORDS, version("pocketsphinx")]
    told = json.dumps([settings, classes, pattern_texts(), pronunciations], sort_keys=True)
    return hashlib.sha256(told.encode("utf-8")).hexdigest()[:20]


def _files(target: Path, key: str) -> Language:
    return Language(
        mixed=target / "mixed.lm.bin",
        trade=target / "trade.lm.bin",
        dictionary=target / "words.dict",
        words=target / "trade.txt",
        key=key,
    )


def _complete(target: Path) -> bool:
    files = _files(target, "")
    return all(path.is_file() for path in (files.mixed, files.trade, files.dictionary, files.words))


def _make(work: Path, patterns: Patterns, tell: Progress) -> None:
    tell("Making the language model", 0.0)
    where = package()
    dictionary = read_dictionary(where.dictionary)
    pronouncer = Pronouncer(dictionary)
    trade = _trade_model(patterns, pronouncer)
    tell("Making the language model", 0.3)
    general = read_general(where.general)
    mixed = mix(trade, _general_model(general, trade.words[2:], dictionary), TRADE_SHARE)
    tell("Making the language model", 0.6)
    files = _files(work, "")
    _write_model(mixed, files.mixed)
    _write_model(trade, files.trade)
    tell("Making the language model", 0.9)
    with files.dictionary.open("w", encoding="utf-8") as out:
        for word in mixed.words[2:]:
            for i, sounds in enumerate(pronouncer.sounds(word), 1):
                out.write(f"{word if i == 1 else f'{word}({i})'} {' '.join(sounds)}\n")
    files.words.write_text("\n".join(trade.words[2:]) + "\n", encoding="utf-8")
    tell("Making the language model", 1.0)


def _trade_model(patterns: Patterns, pronouncer: Pronouncer) -> NGram:
    """Words that nobody can pronounce are left out, and with them the sentences that hold them."""
    silent = {word for word in patterns.vocabulary() if not pronouncer.sounds(word)}
    said = patterns.sample(SENTENCES, seed=SEED)
    return kneser_ney(sentence for sentence in said if silent.isdisjoint(sentence))


def _general_model(general: GeneralModel, trade: Sequence[str], known: Iterable[str]) -> NGram:
    """Pairs of words of general English, without those that say little more than the single words do."""
    words = {*trade, *general.commonest(GENERAL_WORDS, known)}
    return prune(general.restricted(words, order=2), 2.0)


def _write_model(model: NGram, path: Path) -> None:
    """pocketsphinx's own binary form, which it opens without reading it all."""
    from pocketsphinx import NGramModel

    text = path.with_suffix(".arpa")
    with text.open("w", encoding="utf-8") as out:
        write_arpa(model, out)
    NGramModel.readfile(str(text)).write(str(path))
    text.unlink()
    if not path.exists():
        raise OSError(f"{path.name} was not written")


def _put(work: Path, target: Path) -> None:
    """The finished folder in its place; if another program was quicker, its model is as good."""
    for path in work.iterdir():
        with path.open("rb") as file:
            os.fsync(file.fileno())
    try:
        work.rename(target)
    except OSError:
        if not _complete(target):
            shutil.rmtree(target, ignore_errors=True)
            work.rename(target)


def _forget_old(base: Path, current: Path) -> None:
    """Only the newest few models stay."""
    others = [path for path in base.iterdir() if path.is_dir() and path != current and not path.name.startswith(".")]
    for path in sorted(others, key=lambda item: item.stat().st_mtime, reverse=True)[KEPT - 1 :]:
        shutil.rmtree(path, ignore_errors=True)
