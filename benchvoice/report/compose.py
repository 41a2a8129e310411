"""What every section is made with, gathered once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from benchvoice.domain.engine import Engine
from benchvoice.domain.figures import Figure
from benchvoice.domain.judgement import Judgement
from benchvoice.domain.record import Entry, Record
from benchvoice.report.language import Wording
from benchvoice.report.model import Options, Says, Sentence
from benchvoice.report.narrate import Narrator
from benchvoice.report.phrases import Phrases
from benchvoice.report.redact import Redactor


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """The author's desk: the filed entries, the helpers that turn them into words, and what was asked for."""

    record: Record
    engine: Engine
    entries: Sequence[Entry]
    figures: tuple[Figure, ...]
    judgement: Judgement | None
    options: Options
    words: Wording
    phrases: Phrases
    narrator: Narrator
    redactor: Redactor

    def line(self, text: str, says: Says, evidence: Iterable[str] = ()) -> Sentence:
        return self.narrator.sentence(text, says, evidence)

    def say(self, group: str, key: str, says: Says, evidence: Iterable[str] = (), **values: object) -> Sentence:
        return self.line(self.words.say(group, key, 0, **values), says, evidence)

    def by_part(self) -> dict[str, list[Entry]]:
        out: dict[str, list[Entry]] = {}
        for entry in self.entries:
            out.setdefault(entry.finding.part, []).append(entry)
        return out
