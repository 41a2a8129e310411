"""benchvoice grammar"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

import click

from benchvoice.cli import messages, options, output
from benchvoice.errors import BenchvoiceError


@click.group()
def grammar() -> None:
    """The words of the trade: check the files, hear what sentences they make, look a word up.

    Your own words go into files of the same form in the folder that `benchvoice grammar check` names.
    """


@grammar.command()
@click.argument("folder", type=options.FOLDER, required=False, metavar="[FOLDER]")
@options.as_json
@click.pass_context
def check(ctx: click.Context, folder: Path | None, as_json: bool) -> None:
    """Check all grammar files and list every problem with its file and line.

    Says too which of your words no dictionary knows, and how it guesses that they sound.

    FOLDER: your own files, if they aren't in the usual place yet.

    \b
    Examples:
      benchvoice grammar check
      benchvoice grammar check ./my-words
    """
    from benchvoice import paths
    from benchvoice.app.word_check import check_words

    if folder is not None and not folder.is_dir():
        raise BenchvoiceError(f"There is no folder {folder}.")
    own = folder or paths.config() / "grammars" / "en"
    checked = check_words(own)
    lexicon = checked.lexicon
    if lexicon is None or checked.problems:
        if as_json:
            output.json_document({"problems": list(checked.problems), "own": str(own)})
        else:
            for problem in checked.problems:
                output.line(problem)
        messages.say(f"{len(checked.problems)} to mend. Your own files are in {own}.")
        ctx.exit(1)
    counts = {
        name: len(getattr(lexicon, name))
        for name in ("parts", "conditions", "quantities", "units", "actions", "commands", "confusions")
    }
    if as_json:
        heard = {"guessed": checked.guessed, "unheard": checked.unheard}
        output.json_document({"problems": [], "own": str(own), "hash": lexicon.hash, **counts, **heard})
        return
    output.line("No problem: " + ", ".join(f"{count} {name}" for name, count in counts.items()) + ".")
    output.line(f"Your own files: {own}{'' if own.is_dir() else ' (none yet)'}")
    _tell_guesses(checked.guessed, checked.unheard)


def _tell_guesses(guessed: Mapping[str, Sequence[str]], unheard: Sequence[str]) -> None:
    """Guessed words as lines of a pronunciations file, ready to be copied and corrected."""
    if guessed:
        output.line(
            "\nNo dictionary knows these words, so how they sound is guessed from their spelling. If a guess is"
        )
        output.line(
            "wrong, copy its line into pronunciations.toml in your own files, below [words], and correct it there:"
        )
        for word, ways in guessed.items():
            name = word if word.isascii() and word.isalpha() else json.dumps(word, ensure_ascii=False)
            output.line(f"    {name} = {json.dumps(ways)}")
    if unheard:
        output.line(f"\nThese can be read but not heard: {', '.join(unheard)}.")
        output.line("Write them as they are spoken, in letters (v eight), or give them a line in pronunciations.toml.")


@grammar.command()
@click.option("--count", "-n", type=click.IntRange(1, 100_000), default=20, show_default=True, help="How many.")
@click.option("--seed", type=int, default=1, show_default=True, help="The same seed gives the same sentences.")
def sample(count: int, seed: int) -> None:
    """Print sentences that the grammars say people say: what the recogniser is taught from.

    \b
    Examples:
      benchvoice grammar sample
      benchvoice grammar sample -n 500 --seed 7 > sentences.txt
    """
    from benchvoice import lexicon as words
    from benchvoice.lexicon.sentences_files import load_patterns

    for sentence in load_patterns(words.load().word_classes()).sample(count, seed=seed):
        output.line(" ".join(sentence))


@grammar.command()
@click.argument("words", nargs=-1, required=True)
@options.as_json
def show(words: tuple[str, ...], as_json: bool) -> None:
    """Look a part, a condition or a quantity up, by its name or by how it is said.

    \b
    Examples:
      benchvoice grammar show big end
      benchvoice grammar show rod_bearing
    """
    from benchvoice import lexicon as load

    lexicon = load.load()
    text = " ".join(words)
    names = [text] if lexicon.spoken_forms(text) else [name for name, _ in lexicon.suggest(text, limit=5)]
    if not names:
        raise BenchvoiceError(f"Nothing in the grammars sounds like {text!r}.")
    names = list(dict.fromkeys(names))
    if as_json:
        output.json_document([{"name": name, "spoken": list(lexicon.spoken_forms(name))} for name in names])
        return
    for name in names:
        output.line(f"{name} ({lexicon.phrase(name)})")
        for form in lexicon.spoken_forms(name):
            output.line(f"    {form}")
