"""Sheets that lie over the log: which one a wish needs, and what its answer asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchvoice.app.choices import Choice, choices_for, with_choice
from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.domain.record import Entry
from benchvoice.errors import BenchvoiceError
from benchvoice.tui import asks
from benchvoice.tui.finding import FindingScreen
from benchvoice.tui.logscreen import LogScreen, sift_choices
from benchvoice.tui.marks import clock, wording
from benchvoice.tui.pick import Pick
from benchvoice.tui.say_again import SayAgain
from benchvoice.tui.words import WordsScreen

if TYPE_CHECKING:
    from benchvoice.tui.app import ReviewApp

FIELDS = ("part", "condition", "value", "quantity")


class Wants:
    """Opens the sheet for one wish of the log's and passes on what comes of it."""

    def __init__(self, app: ReviewApp, log: LogScreen) -> None:
        self.app = app
        self.log = log
        self.desk = app.desk

    def open(self, wanted: LogScreen.Wanted) -> None:
        name = "field" if wanted.what in FIELDS else wanted.what.replace(" ", "_")
        try:
            getattr(self, f"_open_{name}")(wanted)
        except BenchvoiceError as error:
            self.app.tell(f"{error.what} {error.hint}".strip(), wrong=True)

    # Words

    def _open_say_again(self, wanted: LogScreen.Wanted) -> None:
        def done(text: str | None) -> None:
            if text is not None:
                self._open_words(wanted, first=text)

        self.app.push_screen(SayAgain(self.app.listen), done)

    def _open_words(self, wanted: LogScreen.Wanted, first: str = "") -> None:
        row = wanted.row
        if row is None or row.said is None:
            self.app.tell("This line was added by hand and has no words.")
            return
        read = self.desk.reader_of(row)
        screen = WordsScreen(
            row, lambda _, text: read(text), self.desk.phrase, others=self.desk.other_words(row), first=first
        )

        def done(text: str | None) -> None:
            if text is not None:
                self.log.post_message(asks.Reword(row, text))

        self.app.push_screen(screen, done)

    def _open_offers(self, wanted: LogScreen.Wanted) -> None:
        row = wanted.row
        texts = [] if row is None else self.desk.other_words(row)
        if row is None or not texts:
            self.app.tell("There is no other reading of this line.")
            return
        read = self.desk.reader_of(row)
        choices = [
            Choice(value=text, label=text, hint="; ".join(map(self.desk.phrase, read(text).findings))) for text in texts
        ]

        def done(text: str | None) -> None:
            if text is not None:
                self.log.post_message(asks.Reword(row, text))

        self.app.push_screen(Pick(f"Instead of “{row.text}”", choices, free=True), done)

    def _open_cut(self, wanted: LogScreen.Wanted) -> None:
        row = wanted.row
        words = row.text.split() if row is not None else []
        if row is None or len(words) < 2:
            self.app.tell("There is nothing to split.")
            return
        middle = len(words) / 2
        order = sorted(range(1, len(words)), key=lambda at: abs(at - middle))
        choices = [
            Choice(value=str(at), label=f"{' '.join(words[at:])}", hint=f"after “{' '.join(words[:at])}”")
            for at in order
        ]

        def done(value: str | None) -> None:
            if value is not None:
                self.log.post_message(asks.Split(row, int(value)))

        self.app.push_screen(Pick("The second line begins with", choices), done)

    # Findings

    def _open_edit(self, wanted: LogScreen.Wanted) -> None:
        entry = wanted.entry
        if entry is None:
            self._open_add(wanted)
            return
        self._edit(entry, wanted, first=None)

    def _edit(self, entry: Entry, wanted: LogScreen.Wanted, first: str | None) -> None:
        others = self.desk.other_findings(wanted.row) if wanted.row is not None else []
        engine = self.desk.record.engine
        title = f"Finding at {clock(entry.finding.t0).strip()}"
        screen = FindingScreen(
            entry.finding, self.desk.lexicon, engine, self.desk.phrase, title=title, others=others, first=first
        )

        def done(after: Finding | None) -> None:
            if after is not None:
                self.log.post_message(asks.Correct(entry, after))

        self.app.push_screen(screen, done)

    def _open_field(self, wanted: LogScreen.Wanted) -> None:
        entry, field = wanted.entry, wanted.what
        if entry is None:
            self._open_add(wanted)
            return
        if field == "value" and entry.finding.kind is not Kind.MEASUREMENT:
            self.app.tell("This finding has no value: e changes its kind.")
            return
        others = self.desk.other_findings(wanted.row) if wanted.row is not None else []
        lexicon = self.desk.lexicon
        if field == "condition" and entry.finding.kind is Kind.MEASUREMENT:
            field = "quantity"
        choices = choices_for(field, entry.finding, lexicon, self.desk.record.engine, others)
        title = f"{wording()['field'][field]} instead of: {self.desk.phrase(entry.finding)}"

        def done(value: str | None) -> None:
            if value is None:
                return
            try:
                after = with_choice(entry.finding, field, value, lexicon)
            except BenchvoiceError as error:
                self.app.tell(f"{error.what} {error.hint}", wrong=True)
                return
            self.log.post_message(asks.Correct(entry, after))

        self.app.push_screen(Pick(title, choices, free=field == "value"), done)

    def _open_add(self, wanted: LogScreen.Wanted) -> None:
        row = wanted.row
        near = row.entries[-1].finding if row is not None and row.entries else None
        draft = Finding(kind=Kind.CONDITION, part=near.part if near else "", place=near.place if near else Place())
        screen = FindingScreen(
            draft, self.desk.lexicon, self.desk.record.engine, self.desk.phrase,
            title="A finding by hand", first=None if near else "part",
            others=self.desk.other_findings(row) if row is not None else [],
        )  # fmt: skip

        def done(after: Finding | None) -> None:
            if after is not None:
                self.log.post_message(asks.Add(after, row))

        self.app.push_screen(screen, done)

    def _open_move(self, wanted: LogScreen.Wanted) -> None:
        entries = [entry for row in wanted.rows for entry in row.entries if entry.counts]
        if len(wanted.rows) == 1 and wanted.entry is not None:
            entries = [wanted.entry]
        if not entries:
            self.app.tell("There is no finding here to move.")
            return
        places = _places(entries, self.app)
        choices = [Choice(value=str(i), label=label) for i, (label, _) in enumerate(places)]
        what = self.desk.phrase(entries[0].finding) if len(entries) == 1 else f"{len(entries)} findings"

        def done(value: str | None) -> None:
            if value is not None:
                self.log.post_message(asks.Move(entries, places[int(value)][1]))

        self.app.push_screen(Pick(f"Move {what} to", choices), done)

    # The rest

    def _open_sift(self, wanted: LogScreen.Wanted) -> None:
        sifts = sift_choices(self.log.view.rows)
        choices = [Choice(value=str(i), label=label) for i, (label, _) in enumerate(sifts)]

        def done(value: str | None) -> None:
            if value is not None:
                self.log.sift = sifts[int(value)][1]

        self.app.push_screen(Pick("Show only", choices), done)

    def _open_copy(self, wanted: LogScreen.Wanted) -> None:
        lines = []
        for row in wanted.rows:
            found = "; ".join(self.desk.phrase(entry.finding) for entry in row.entries if entry.counts)
            lines.append(" | ".join(part for part in (clock(row.t0).strip(), row.text, found) if part))
        self.app.copy_to_clipboard("\n".join(lines))
        self.app.tell("Copied, if your terminal lets programs reach the clipboard (OSC 52).")


def _places(entries: list[Entry], app: ReviewApp) -> list[tuple[str, Place]]:
    """Places to move to: what these findings are numbered by comes first."""
    engine = app.desk.record.engine
    counted = {"cylinder": 16, "journal": 9}
    if engine is not None:
        counted = {"cylinder": engine.cylinders, "journal": engine.main_count}
    by_journal = any(entry.finding.place.journal is not None for entry in entries)
    out: list[tuple[str, Place]] = []
    for key in ("journal", "cylinder") if by_journal else ("cylinder", "journal"):
        out += [(f"{key} {n}", Place.from_dict({key: n})) for n in range(1, counted[key] + 1)]
    for key, words in (("bank", ("left", "right")), ("end", ("front", "rear")), ("valve", ("intake", "exhaust"))):
        out += [(f"{word} {key}", Place.from_dict({key: word})) for word in words]
    return out
