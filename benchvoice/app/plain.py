"""The review line by line, for a screen reader, a braille line or a slow connection: a question, an answer, in words.

It sits on the same desk as the screen and has no rules of its own. Nothing is drawn, moved or coloured: each command
answers with lines of text that can be read from top to bottom.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from benchvoice.app.choices import Choice, choices_for, narrowed, with_choice
from benchvoice.app.desk import Desk
from benchvoice.app.log import Row
from benchvoice.domain.contradictions import Contradiction
from benchvoice.domain.doubts import doubts_of_entry
from benchvoice.domain.engine import Engine
from benchvoice.domain.record import Entry, Status
from benchvoice.errors import BenchvoiceError

Answer = Iterator[str]

STATUS = {Status.PROPOSED: "waits", Status.ACCEPTED: "accepted", Status.DROPPED: "dropped"}

HELP = (
    "next, back: the next or previous line. doubt: the next doubtful line. waits: the next line that waits.",
    "go N: line N. find WORDS: the next line with these words. where: how far the review has come.",
    "accept: the line's findings are right. drop, or drop N: a finding is wrong.",
    "words TEXT: other words. number N: another cylinder or journal. part, condition or value, and a word: the same.",
    "pick N: which finding of the line the next commands are about. undo, redo.",
    "clash: the next clash. left, right, or both and a reason: decide it.",
    "file NAME: file under the shop's name. file-without NAME: leave out what waits. help. quit.",
)


class PlainReview:
    """One review. `answer` takes what was typed and yields the lines to say; `over` is True after quit."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._at = 0
        self._chosen = 0
        self._clash: Contradiction | None = None
        self.over = False
        self._commands: dict[str, Callable[[str], Answer]] = {
            "next": lambda _: self._step(1),
            "": lambda _: self._step(1),
            "back": lambda _: self._step(-1),
            "doubt": lambda _: self._seek(lambda row: bool(row.doubts), "Nothing is doubtful any more."),
            "waits": lambda _: self._seek(lambda row: bool(row.waiting), "Nothing waits any more."),
            "go": self._go,
            "find": self._find,
            "where": lambda _: self._where(),
            "accept": lambda _: self._accept(),
            "drop": self._drop,
            "words": self._words,
            "number": self._number,
            "part": lambda text: self._field("part", text),
            "condition": lambda text: self._field("condition", text),
            "value": lambda text: self._field("value", text),
            "pick": self._pick,
            "undo": lambda _: self._say(self._desk.undo()),
            "redo": lambda _: self._say(self._desk.redo()),
            "clash": lambda _: self._next_clash(),
            "left": lambda text: self._settle("first", text),
            "right": lambda text: self._settle("second", text),
            "both": lambda text: self._settle("both", text),
            "file": lambda text: self._file(text, anyway=False),
            "file-without": lambda text: self._file(text, anyway=True),
            "help": lambda _: iter(HELP),
            "quit": lambda _: self._quit(),
        }

    def greeting(self) -> Answer:
        yield from self._where()
        yield "Type help for the commands, quit to leave. Everything is kept at once."
        yield from self._line()

    def answer(self, typed: str) -> Answer:
        """What to say to one typed line. What can't be done is said, and changes nothing."""
        word, _, rest = typed.strip().partition(" ")
        command = self._commands.get(word.lower())
        if command is None:
            yield f"There is no command {word}. Type help."
            return
        try:
            yield from command(rest.strip())
        except BenchvoiceError as error:
            yield f"{error.what} {error.hint}".strip()

    # Where we are

    @property
    def _rows(self) -> tuple[Row, ...]:
        return self._desk.rows()

    @property
    def _row(self) -> Row:
        rows = self._rows
        if not rows:
            raise BenchvoiceError("Nothing was heard yet.")
        self._at = max(0, min(self._at, len(rows) - 1))
        return rows[self._at]

    @property
    def _entry(self) -> Entry:
        entries = self._row.entries
        if not entries:
            raise BenchvoiceError("This line has no finding.")
        return entries[min(self._chosen, len(entries) - 1)]

    def _line(self) -> Answer:
        row = self._row
        yield f"Line {self._at + 1}: {row.text or 'added by hand'}"
        against = {name for found in self._desk.contradictions for name in (found.first.id, found.second.id)}
        for number, entry in enumerate(row.entries, start=1):
            doubts = ", ".join(d.value.replace("_", " ") for d in doubts_of_entry(entry, self._engine, against))
            which = f"finding {number}, " if len(row.entries) > 1 else ""
            yield f"{which}{STATUS[entry.status]}: {self._desk.phrase(entry.finding)}" + (
                f"; doubtful: {doubts}" if doubts else ""
            )
        if not row.entries:
            yield row.state.value.replace("_", " ")

    @property
    def _engine(self) -> Engine | None:
        return self._desk.record.engine

    def _where(self) -> Answer:
        self._desk.rows()
        counts = self._desk.counts
        clashes = len(self._desk.contradictions)
        yield (
            f"{self._desk.review.stock}: {counts.rows} lines, {counts.waiting} findings wait, "
            f"{counts.doubtful} lines are doubtful, {clashes} clash{'' if clashes == 1 else 'es'}."
        )

    def _step(self, by: int) -> Answer:
        if not 0 <= self._at + by < len(self._rows):
            yield "That was the last line." if by > 0 else "This is the first line."
            return
        self._at, self._chosen = self._at + by, 0
        yield from self._line()

    def _seek(self, wanted: Callable[[Row], bool], none: str) -> Answer:
        rows = self._rows
        order = [*range(self._at + 1, len(rows)), *range(min(self._at + 1, len(rows)))]
        found = next((i for i in order if wanted(rows[i])), None)
        if found is None:
            yield none
            return
        self._at, self._chosen = found, 0
        yield from self._line()

    def _go(self, text: str) -> Answer:
        self._at, self._chosen = _whole(text) - 1, 0
        yield from self._line()

    def _find(self, text: str) -> Answer:
        keys = self._desk.search(text)
        yield from self._seek(lambda row: row.key in keys, "No line has these words.")

    def _pick(self, text: str) -> Answer:
        self._chosen = max(0, _whole(text) - 1)
        yield self._desk.phrase(self._entry.finding)

    # Changes

    def _say(self, text: str) -> Answer:
        yield text
        yield from self._line()

    def _accept(self) -> Answer:
        yield self._desk.accept([self._row])
        yield from self._step(1)

    def _drop(self, text: str) -> Answer:
        if text:
            self._chosen = max(0, _whole(text) - 1)
        yield self._desk.drop([self._entry])

    def _words(self, text: str) -> Answer:
        if not text:
            raise BenchvoiceError("Type the words after it.")
        yield from self._say(self._desk.reword(self._row, text))

    def _number(self, text: str) -> Answer:
        entry = self._entry
        key = "journal" if entry.finding.place.journal is not None else "cylinder"
        yield self._desk.correct(entry, with_choice(entry.finding, key, text, self._desk.lexicon))

    def _field(self, field: str, text: str) -> Answer:
        entry, row = self._entry, self._row
        others = self._desk.other_findings(row)
        offered = choices_for(field, entry.finding, self._desk.lexicon, self._desk.record.engine, others)
        choices: list[Choice] = narrowed(offered, text)
        if not text:
            yield "Instead: " + ", ".join(choice.label for choice in choices[:8])
            return
        value = choices[0].value if choices else text if field == "value" else ""
        if not value:
            raise BenchvoiceError(f"The grammar has no {field} like {text}.")
        after = with_choice(entry.finding, field, value, self._desk.lexicon)
        yield self._desk.correct(entry, after)

    # Clashes and filing

    def _next_clash(self) -> Answer:
        self._desk.rows()
        found = self._desk.contradictions
        self._clash = found[0] if found else None
        if self._clash is None:
            yield "Nothing contradicts anything."
            return
        yield f"Left: {self._desk.phrase(self._clash.first.finding)}, from: {self._clash.first.finding.text}"
        yield f"Right: {self._desk.phrase(self._clash.second.finding)}, from: {self._clash.second.finding.text}"
        yield "Say left, right, or both and a reason."

    def _settle(self, decision: str, reason: str) -> Answer:
        if self._clash is None:
            raise BenchvoiceError("Ask for a clash first.")
        yield self._desk.settle(self._clash.first, self._clash.second, decision, reason)
        yield from self._next_clash()

    def _file(self, by: str, *, anyway: bool) -> Answer:
        filed = self._desk.file(by, anyway=anyway).filed
        yield f"Filed as revision {filed.revision}: {len(filed.finding_ids)} findings, sealed {filed.sha256[:12]}."

    def _quit(self) -> Answer:
        self.over = True
        yield "Everything is kept."


def _whole(text: str) -> int:
    if not text.isascii() or not text.isdigit():
        raise BenchvoiceError("Type a number after it.")
    return int(text)
