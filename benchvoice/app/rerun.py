"""Old sittings read again with newer grammars. What a person decided or corrected stays on top."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from benchvoice.app.reread import Change, read_sitting
from benchvoice.domain.events import Body, ReadAgain
from benchvoice.interpret import Reader
from benchvoice.journal import Journal
from benchvoice.lexicon import Lexicon

Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rerun:
    """What the grammars of today read differently. `applied`: it is in the journal, as one step that can be undone."""

    stock: str
    read: int
    changes: tuple[Change, ...]
    applied: bool


def rerun(
    journal: Journal,
    stock: str,
    lexicon: Lexicon,
    *,
    sitting: str | None = None,
    apply: bool = False,
    progress: Progress | None = None,
) -> Rerun:
    """Read an engine's sittings again, or one of them; without `apply` nothing is written.

    Findings that were accepted, dropped or corrected stay as they are; those that nobody decided about are replaced
    by what is read now.
    """
    own = journal.canonical(stock)
    record = journal.record(own)
    reader = Reader(lexicon, record.engine)
    names = [name for name in record.sittings if sitting in (None, name)]
    changes: list[Change] = []
    for done, name in enumerate(names):
        if progress is not None:
            progress(name, done / len(names))
        changes += read_sitting(record, name, reader)
    if apply and changes:
        bodies: list[Body] = [
            ReadAgain(sitting=item.sitting, n=item.n, reading=item.after, grammar=lexicon.hash) for item in changes
        ]
        journal.append(bodies, own, batch=True)
    count = sum(name in names for name, _ in record.said)
    return Rerun(stock=own, read=count, changes=tuple(changes), applied=apply and bool(changes))
