"""Fixes that keep coming back, offered as entries for the person's own word files.

Nothing is ever written by itself: an offer is shown as the change to the file, its effect on what was said before can
be looked at, and only `keep` writes. Fixes are counted over the records as they stand: one that was undone is none.
"""

from __future__ import annotations

import csv
import difflib
import io
import os
import shutil
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import tomlkit

from benchvoice import lexicon, paths
from benchvoice.app.log import Key
from benchvoice.app.reread import Change, read_sitting
from benchvoice.domain.difference import Change as How
from benchvoice.domain.difference import words_changed
from benchvoice.domain.findings import Kind
from benchvoice.domain.record import Record, Said, Status
from benchvoice.errors import BenchvoiceError, GrammarError
from benchvoice.interpret import Reader
from benchvoice.journal import Journal
from benchvoice.lexicon import Lexicon

LEAST = 2
"""Times that a fix must have been made before it is offered."""
LONGEST = 3
"""Words of a mishearing at most: longer ones are another sentence and no sounding-alike."""
COLUMNS = ("heard", "meant", "needs", "source")

Sounds = Callable[[str], Sequence[Sequence[str]]]
"""The pronunciations that a recogniser knows of a word; none for a word that it can at most guess by its spelling."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """An entry for one of the person's own files.

    file: "confusions.csv", "conditions.toml" or "pronunciations.toml". heard, meant: the words, or for a spoken form
    the words and the name that they mean. needs: words one of which must stand near. where: the lines fixed so.
    """

    file: str
    heard: str
    meant: str
    where: tuple[Key, ...]
    needs: tuple[str, ...] = ()
    sounds: tuple[str, ...] = ()

    @property
    def says(self) -> str:
        """The offer in one sentence."""
        if self.file == "confusions.csv":
            near = f" near {' or '.join(self.needs)}" if self.needs else ""
            return f"“{self.heard}”{near} was meant as “{self.meant}”"
        if self.file == "pronunciations.toml":
            return f"“{self.meant}” can sound like “{self.heard}”"
        return f"“{self.heard}” means {self.meant.replace('_', ' ')}"


@dataclass(frozen=True, slots=True, kw_only=True)
class FileChange:
    """What an offer would make of a file; `before` is empty if the file isn't there yet."""

    path: Path
    before: str
    after: str

    @property
    def diff(self) -> tuple[str, ...]:
        """The lines of a unified difference."""
        lines = difflib.unified_diff(
            self.before.splitlines(), self.after.splitlines(), self.path.name, self.path.name, lineterm=""
        )
        return tuple(lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What an offer would change in what was said before: utterances gone through, and those that read differently."""

    read: int
    changes: tuple[Change, ...]


def own_folder() -> Path:
    """Where the person's own word files lie."""
    return paths.config() / "grammars" / "en"


def offers(records: Iterable[Record], words: Lexicon, sounds: Sounds | None = None) -> list[Offer]:
    """Everything that was fixed the same way at least twice and isn't in the grammars yet, oftenest first."""
    runs: dict[tuple[str, str], list[tuple[Key, frozenset[str]]]] = {}
    forms: dict[tuple[str, str], list[Key]] = {}
    for record in records:
        for said in record.said.values():
            for heard, meant, near in _replaced(said, words):
                runs.setdefault((heard, meant), []).append((_key(said), near))
            for form, condition in _named_by_hand(record, said):
                forms.setdefault((form, condition), []).append(_key(said))
    found = [offer for pair, seen in runs.items() for offer in _of_run(pair, seen, words, sounds)]
    known = {form for name in words.conditions for form in words.spoken_forms(name)}
    found += [
        Offer(file="conditions.toml", heard=form, meant=condition, where=tuple(where))
        for (form, condition), where in forms.items()
        if len(where) >= LEAST and form not in known
    ]
    return sorted(found, key=lambda offer: (-len(offer.where), offer.heard, offer.file))


def gather(path: Path, words: Lexicon) -> list[Offer]:
    """Offers over all engines of a journal, which is opened for it: safe in a thread of its own."""
    with Journal.open(path) as journal:
        return offers((journal.record(line.stock) for line in journal.engines()), words, known_sounds())


def known_sounds() -> Sounds | None:
    """The pronunciations that the recogniser has now, ours and the person's own; None if it isn't installed.

    The dictionary is read at the first word that is asked for; GrammarError then if the person's own file is wrong.
    """
    from benchvoice.recognise.language import package
    from benchvoice.recognise.pronounce import Pronouncer, read_dictionary

    try:
        where = package().dictionary
    except BenchvoiceError:
        return None
    pronouncer = cache(lambda: Pronouncer(read_dictionary(where)))
    return lambda word: pronouncer().sounds(word)


def change(offer: Offer, folder: Path | None = None) -> FileChange:
    """What the offer would make of the person's file. Comments and order of what is there stay."""
    path = (folder or own_folder()) / offer.file
    try:
        before = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        before = ""
    except (OSError, UnicodeDecodeError) as error:
        raise GrammarError(f"{path} can't be read: {error}.", hint="Correct the file.") from error
    make = _with_row if offer.file.endswith(".csv") else _with_entry
    return FileChange(path=path, before=before, after=make(before, offer))


def preview(offer: Offer, journal: Journal, folder: Path | None = None) -> Effect:
    """What would be read differently in all engines' sittings. Nothing is written."""
    with _tried(offer, folder) as words:
        changes: list[Change] = []
        read = 0
        for engine in journal.engines():
            record = journal.record(engine.stock)
            reader = Reader(words, record.engine)
            for sitting in record.sittings:
                changes += read_sitting(record, sitting, reader)
            read += len(record.said)
    return Effect(read=read, changes=tuple(changes))


def preview_all(offer: Offer, path: Path) -> Effect:
    """`preview` over a journal that is opened for it: safe in a thread of its own."""
    with Journal.open(path) as journal:
        return preview(offer, journal)


def keep(offer: Offer, folder: Path | None = None) -> FileChange:
    """Write the offer into the person's file, whole or not at all. GrammarError if the grammars wouldn't hold then."""
    with _tried(offer, folder):
        made = change(offer, folder)
    partial = made.path.with_name(made.path.name + ".partial")
    try:
        made.path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with partial.open("w", encoding="utf-8", newline="") as file:
            file.write(made.after)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(made.path)
    except OSError as error:
        with suppress(OSError):
            partial.unlink()
        raise BenchvoiceError(f"{made.path} can't be written: {error.strerror or error}.") from error
    return made


@contextmanager
def _tried(offer: Offer, folder: Path | None) -> Iterator[Lexicon]:
    """The lexicon as it would be, from a copy of the person's files with the offer in it."""
    own = folder or own_folder()
    with tempfile.TemporaryDirectory(prefix="benchvoice-") as place:
        copy = Path(place) / "en"
        if own.is_dir():
            shutil.copytree(own, copy)
        copy.mkdir(exist_ok=True)
        (copy / offer.file).write_text(change(offer, copy).after, encoding="utf-8", newline="")
        yield lexicon.load(copy)


# Finding what recurs


def _key(said: Said) -> Key:
    return (said.sitting, str(said.reading.utterance.n))


def _replaced(said: Said, words: Lexicon) -> Iterator[tuple[str, str, frozenset[str]]]:
    """Runs of words that a person replaced in an utterance: what was heard, what was meant, the words beside them.

    Numbers put in the place of numbers are a slip and no mishearing that could be learned.
    """
    before, after = said.heard.utterance.text, said.reading.utterance.text
    if before == after or said.blanked:
        return
    runs = words_changed(before, after)
    numbers = {*words.numbers.digits, *words.numbers.teens, *words.numbers.tens, *words.numbers.scales}
    for i in range(len(runs) - 1):
        gone, new = runs[i], runs[i + 1]
        if gone.change is not How.GONE or new.change is not How.NEW:
            continue
        if len(gone.words) > LONGEST or len(new.words) > LONGEST:
            continue
        if all(word in numbers for word in (*gone.words, *new.words)):
            continue
        left = runs[i - 1].words[-2:] if i and runs[i - 1].change is How.SAME else ()
        right = runs[i + 2].words[:2] if i + 2 < len(runs) and runs[i + 2].change is How.SAME else ()
        yield " ".join(gone.words), " ".join(new.words), frozenset((*left, *right))


def _named_by_hand(record: Record, said: Said) -> Iterator[tuple[str, str]]:
    """Words that no rule used, in an utterance to which the person added one condition by hand."""
    rest = said.reading.rest
    if not 1 <= len(rest) <= LONGEST or said.blanked:
        return
    added = [record.entries[name] for name in said.entries if record.entries[name].original is None]
    found = [
        entry.finding.condition
        for entry in added
        if entry.status is Status.ACCEPTED and entry.finding.kind is Kind.CONDITION and entry.finding.present
    ]
    if len(found) == 1 and found[0]:
        yield " ".join(rest), found[0]


def _of_run(
    pair: tuple[str, str], seen: Sequence[tuple[Key, frozenset[str]]], words: Lexicon, sounds: Sounds | None
) -> Iterator[Offer]:
    heard, meant = pair
    if len(seen) < LEAST:
        return
    where = tuple(key for key, _ in seen)
    ways = _ways(heard, meant, sounds) if sounds is not None and meant in _vocabulary(words) else []
    if ways:
        yield Offer(file="pronunciations.toml", heard=heard, meant=meant, where=where, sounds=tuple(ways))
    listed = {(" ".join(item.heard), " ".join(item.meant)) for item in words.confusions}
    if pair in listed:
        return
    beside = frozenset.intersection(*(near for _, near in seen)) & _trade_words(words)
    if heard in _phrases(words) and not beside:
        # A word of the trade by itself can't be taken for another one without something near that tells them apart.
        return
    yield Offer(file="confusions.csv", heard=heard, meant=meant, where=where, needs=tuple(sorted(beside)))


def _ways(heard: str, meant: str, sounds: Sounds) -> list[str]:
    """How a word that the recogniser doesn't know may be said: as what it heard in its place, which beats a guess."""
    if " " in meant or sounds(meant):
        return []
    known = [sounds(word) for word in heard.split()]
    return [" ".join(sound for way in known for sound in way[0])] if all(known) else []


def _phrases(words: Lexicon) -> frozenset[str]:
    names = (*words.parts, *words.conditions, *words.quantities)
    return frozenset(form for name in names for form in words.spoken_forms(name))


def _vocabulary(words: Lexicon) -> frozenset[str]:
    """The words that a language model is made of: only for these a pronunciation is of use."""
    return frozenset(word for phrases in words.word_classes().values() for phrase in phrases for word in phrase.split())


def _trade_words(words: Lexicon) -> frozenset[str]:
    return frozenset(word for phrase in _phrases(words) for word in phrase.split() if len(word) > 2)


# Changing a file


def _with_row(before: str, offer: Offer) -> str:
    row = io.StringIO()
    writer = csv.writer(row, lineterminator="\n")
    if not before.strip():
        writer.writerow(COLUMNS)
    writer.writerow((offer.heard, offer.meant, "|".join(offer.needs), "learned"))
    joint = "" if not before or before.endswith("\n") else "\n"
    return before + joint + row.getvalue()


def _with_entry(before: str, offer: Offer) -> str:
    try:
        document = tomlkit.parse(before)
    except tomlkit.exceptions.ParseError as error:
        raise GrammarError(f"{offer.file}: {error}", hint="Correct the file first.") from error
    if offer.file == "pronunciations.toml":
        table, key, values = "words", offer.meant, list(offer.sounds)
    else:
        table, key, values = offer.meant, "adj", [offer.heard]
    if table not in document:
        document[table] = tomlkit.table()
    held = document[table]
    old = list(held.get(key, []))
    held[key] = [*old, *(value for value in values if value not in old)]
    return tomlkit.dumps(document)
