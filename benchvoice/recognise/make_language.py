"""Makes the language model and the dictionary in a folder: `python -m benchvoice.recognise.make_language FOLDER`.

Run by `language.prepare`, which reads the share that is done from standard output.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from benchvoice.errors import BenchvoiceError
from benchvoice.lexicon import load
from benchvoice.lexicon.sentences import Patterns
from benchvoice.lexicon.sentences_files import load_chatter, load_patterns, load_talk
from benchvoice.recognise.general import GeneralModel, read_general
from benchvoice.recognise.language import (
    CHATTER_SHARE,
    GENERAL_WORDS,
    PATTERNS_SHARE,
    SEED,
    SENTENCES,
    TRADE_SHARE,
    files_in,
    package,
)
from benchvoice.recognise.ngram import NGram, kneser_ney, mix, prune, write_arpa
from benchvoice.recognise.pronounce import Pronouncer, read_dictionary

Talk = Sequence[Sequence[str]]
"""Utterances as they were said, word by word."""


def make(work: Path, patterns: Patterns, talk: Talk, chatter: Talk, tell: Callable[[float], None]) -> None:
    """All files of a finished model in `work`."""
    tell(0.0)
    where = package()
    dictionary = read_dictionary(where.dictionary)
    pronouncer = Pronouncer(dictionary)
    sampled = _model_of(patterns.sample(SENTENCES, seed=SEED), patterns.vocabulary(), pronouncer)
    # What was written down counts once, so that its rare turns keep their chances: sampling would repeat the rest.
    trade = mix(sampled, _model_of(talk, set().union(*talk), pronouncer), PATTERNS_SHARE)
    tell(0.3)
    english = read_general(where.general)
    mixed = mix(trade, _general_model(english, trade.words[2:], dictionary), TRADE_SHARE)
    tell(0.5)
    files = files_in(work, "")
    _write_model(mixed, files.mixed)
    _write_model(trade, files.trade)
    tell(0.7)
    # It only weighs words that were heard: whether they could be pronounced doesn't matter.
    chats = kneser_ney(chatter)
    others = _general_model(english, {*chats.words[2:], *trade.words[2:]}, dictionary)
    _write_model(mix(chats, others, CHATTER_SHARE), files.other)
    tell(0.9)
    with files.dictionary.open("w", encoding="utf-8") as out:
        for word in mixed.words[2:]:
            for i, sounds in enumerate(pronouncer.ways(word), 1):
                out.write(f"{word if i == 1 else f'{word}({i})'} {' '.join(sounds)}\n")
    files.words.write_text("\n".join(sampled.words[2:]) + "\n", encoding="utf-8")
    tell(1.0)


def _model_of(said: Iterable[Sequence[str]], words: Iterable[str], pronouncer: Pronouncer) -> NGram:
    """Words that are only written are left out, and those with digits; with them the sentences that hold them.

    words: all that `said` may hold.
    """
    silent = {word for word in words if not pronouncer.ways(word)}
    return kneser_ney(sentence for sentence in said if silent.isdisjoint(sentence))


def _general_model(general: GeneralModel, trade: Iterable[str], known: Iterable[str]) -> NGram:
    """General English, without those of its longest n-grams that say little more than shorter ones do."""
    words = {*trade, *general.commonest(GENERAL_WORDS, known)}
    return prune(general.restricted(words, order=3), 4.0)


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


def main(arguments: Sequence[str]) -> int:
    """Exit status 0, or 1 with one line on standard error."""
    try:
        make(
            Path(arguments[0]),
            load_patterns(load().word_classes()),
            load_talk(),
            load_chatter(),
            lambda share: print(share, flush=True),
        )
    except (BenchvoiceError, OSError) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
