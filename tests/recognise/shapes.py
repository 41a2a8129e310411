"""Makes what the language model knows of the narrations that may be tuned on, and of the talk in grammars/.

    python -m tests.recognise.shapes [--print]

grammars/en/talk/narrations.txt holds the narrations' sentences as they are, grammars/en/sentences/shapes.toml the
shapes of these and of all other talk. A sentence's parts, conditions and single numbers are put back into the rules
that they could have come from, so that "number three bore is scuffed and four isn't" teaches how such a sentence goes
and not what happened in cylinder three. The sentence as it was said stays beside its shape. Only sentences with
findings are taken of the narrations, and only those whose words the program can pronounce for sure; a word that nothing
else knows must have been said more than once in them. Words that only talk knows are not the trade's own.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from benchvoice import lexicon
from benchvoice.lexicon.sentences import Pattern, Patterns, Slot, read_patterns
from benchvoice.lexicon.sentences_files import pattern_texts, read_talk, talk_texts
from benchvoice.recognise.language import package
from benchvoice.recognise.pronounce import Pronouncer, read_dictionary
from tests.interpret.scoring import narrations

ROOT = Path(__file__).resolve().parents[2]
TUNED = ROOT / "tests" / "narrations" / "tuned"
TARGET = ROOT / "grammars" / "en" / "sentences" / "shapes.toml"
TOLD = ROOT / "grammars" / "en" / "talk" / "narrations.txt"
RULES = ("cyl_part", "cyl_parts", "valve_part", "valve_parts", "jou_part", "jou_parts", "bank_part", "many_parts")
RULES += ("one_part", "state", "trouble", "degree")
DRAWS = 4_000
LONGEST = 5
NUMBERS = frozenset(("one", "two", "three", "four", "five", "six", "seven", "eight"))
MEASURING = NUMBERS | {
    *("nine", "ten", "eleven", "twelve", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"),
    *("hundred", "oh", "zero", "point", "and", "thou", "thousandths", "tenths", "quarters", "eighths", "inches"),
    *("millimetres", "psi", "bar", "percent", "pounds"),
}
"""Words beside which a small number belongs to a value."""
HEAD = """\
# How people built their sentences at the bench, with the parts, states and numbers that they could as well have said.
# Made by `python -m tests.recognise.shapes` from tests/narrations/tuned and ../talk; write your own patterns elsewhere.
"""


def phrases(patterns: Patterns) -> dict[tuple[str, ...], str]:
    """The rule that stands for each phrase; the first of RULES that can say it."""
    found: dict[tuple[str, ...], str] = {}
    for name in RULES:
        only = replace(patterns, patterns=(Pattern(say=name, weight=1.0, node=Slot(name), topic=""),))
        for said in only.sample(DRAWS, seed=7):
            if 0 < len(said) <= LONGEST:
                found.setdefault(said, name)
    return found


def shape(words: Sequence[str], known: dict[tuple[str, ...], str]) -> str:
    """The sentence with its phrases put back into rules, longest first from the left."""
    out: list[str] = []
    at = 0
    while at < len(words):
        length = next((n for n in range(LONGEST, 0, -1) if tuple(words[at : at + n]) in known), 0)
        if length:
            out.append(f"{{{known[tuple(words[at : at + length])]}}}")
            at += length
            continue
        out.append("{cyl}" if _is_place(words, at) else words[at])
        at += 1
    return " ".join(out)


def _is_place(words: Sequence[str], at: int) -> bool:
    """A single small number that measures nothing."""
    around = words[max(0, at - 1) : at] + words[at + 1 : at + 2]
    return words[at] in NUMBERS and not any(word in MEASURING for word in around)


def sentences() -> Iterator[tuple[str, ...]]:
    """Those of the narrations that hold a finding."""
    for told in narrations(TUNED):
        for said in told["utterances"]:
            if said["findings"]:
                yield tuple(said["say"].split())


def talk() -> Iterator[tuple[str, ...]]:
    """What others said about the engine, with findings or without."""
    for name, text in talk_texts():
        if not name.endswith(TOLD.name):
            yield from read_talk(name, text)


def made(told: Iterable[tuple[str, ...]], others: Iterable[tuple[str, ...]]) -> str:
    """The patterns' text: one for each shape of these sentences, with more weight where it was said more often.

    told: of the narrations. others: of talk.
    """
    patterns = read_patterns(other_patterns(), lexicon.load().word_classes())
    known, vocabulary = phrases(patterns), patterns.vocabulary()
    pronouncer = Pronouncer(read_dictionary(package().dictionary))
    told = list(dict.fromkeys(told))
    counts = Counter(word for words in told for word in set(words))
    others = [words for words in others if vocabulary.issuperset(words)]
    shapes: Counter[str] = Counter()
    for words in dict.fromkeys([*told, *others]):
        new = [word for word in set(words) if word not in vocabulary]
        if any(counts[word] < 2 or not pronouncer.sounds(word) for word in new):
            continue
        plain, general = " ".join(words), shape(words, known)
        shapes[f"(3* {general}|{plain})" if general != plain else plain] += 1
    rows = [f'[[pattern]]\nsay = "{say}"\nweight = {0.25 * count:g}' for say, count in shapes.items()]
    return HEAD + "\n" + "\n".join(rows) + "\n"


def other_patterns() -> list[tuple[str, str]]:
    """Name and text of every pattern file but the one that is made here."""
    return [(name, text) for name, text in pattern_texts() if not name.endswith(TARGET.name)]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--print", action="store_true", help="print it and write nothing")
    given = parser.parse_args()
    told = list(sentences())
    text = made(told, talk())
    if given.print:
        print(text)
    else:
        TOLD.write_text("\n".join(dict.fromkeys(map(" ".join, told))) + "\n", encoding="utf-8")
        TARGET.write_text(text, encoding="utf-8")
        print(f"{text.count('[[pattern]]')} shapes in {TARGET.name}")


if __name__ == "__main__":
    main()
