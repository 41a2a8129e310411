"""Use case: the report on an engine. What was filed is what is reported, as it stood when it was filed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from benchvoice import paths
from benchvoice.app import filing
from benchvoice.app.figures import work
from benchvoice.app.judging import engine_of, judge
from benchvoice.domain.record import Record
from benchvoice.errors import BenchvoiceError
from benchvoice.journal import Journal
from benchvoice.lexicon import Lexicon
from benchvoice.report import EVERYDAY, Format, Options, Report, build, write
from benchvoice.report.clips import cut
from benchvoice.report.pack import write_pack
from benchvoice.report.verify import verify

Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A report's files, and what the person should know about it."""

    report: Report
    files: tuple[Path, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What to write. revision None: the newest one, or what is accepted while nothing is filed."""

    revision: int | None = None
    formats: tuple[Format, ...] = EVERYDAY
    options: Options = field(default_factory=Options)
    sheet: Path | None = None
    prices: Path | None = None
    pack: bool = False
    """An evidence pack besides: narrative, data, sound clips and their hashes in one ZIP file."""
    overwrite: bool = False


def to_report(journal: Journal, stock: str, revision: int | None = None) -> Record:
    """The record that a report is made of: as it was filed, with what is known of its sound and films today."""
    now = journal.record(stock)
    if revision is None and not now.revisions:
        return now
    filed = filing.as_filed(journal, stock, revision or len(now.revisions))
    return replace(filed, sittings={name: now.sittings[name] for name in filed.sittings})


def report(
    journal: Journal,
    stock: str,
    folder: Path,
    lexicon: Lexicon,
    wanted: Wanted | None = None,
    progress: Progress | None = None,
) -> Written:
    """Write the report on an engine into a folder.

    BenchvoiceError if there is nothing to report, or a file is there already and may not be written over.
    """
    wanted = wanted or Wanted()
    tell = progress or (lambda text, done: None)
    own = journal.canonical(stock)
    record = to_report(journal, own, wanted.revision)
    entries = record.filed_entries()
    if not entries:
        raise BenchvoiceError(
            f"{own} has no accepted finding to report.", hint=f"Accept findings in `benchvoice review {own}`."
        )
    notes = _notes(journal, own, record)
    tell("Computing figures", 0.1)
    worked = work(record, sheet=wanted.sheet, filed=True)
    if worked.missing:
        notes.append(f"{worked.missing} The figures are made without a sheet.")
    tell("Judging", 0.3)
    judgement = judge(record, prices=wanted.prices, sheet=wanted.sheet, filed=True)
    tell("Composing", 0.5)
    made = build(
        record, engine_of(record), lexicon, figures=worked.figures, judgement=judgement, options=wanted.options
    )
    tell("Writing", 0.7)
    files = write(made, folder, wanted.formats, overwrite=wanted.overwrite)
    if wanted.pack:
        tell("Cutting the sound", 0.8)
        clips = cut(made.evidence, record, paths.data())
        pack = write_pack(made, folder, clips=clips, overwrite=wanted.overwrite)
        files.append(pack)
        notes.append(f"Fingerprint of {pack.name}, to give the buyer by another way: {verify(pack).fingerprint}")
    tell("Done", 1.0)
    return Written(report=made, files=tuple(files), notes=tuple(notes))


def formats_of(names: Iterable[str]) -> tuple[Format, ...]:
    """Formats by name; BenchvoiceError lists the known ones."""
    out = []
    for name in names:
        try:
            out.append(Format(name))
        except ValueError:
            known = ", ".join(item.value for item in Format)
            raise BenchvoiceError(f"There is no report format {name}.", hint=f"Known: {known}.") from None
    return tuple(out)


def _notes(journal: Journal, stock: str, record: Record) -> list[str]:
    if not record.revisions:
        waiting = len(record.unreviewed())
        more = f", {waiting} findings wait for a decision and are left out" if waiting else ""
        return [f"Nothing of {stock} is filed yet: this is a draft of what was accepted{more}."]
    notes = []
    number = record.revisions[-1].filed.revision
    now = journal.record(stock)
    if len(now.revisions) > number:
        notes.append(f"Revision {number} is not the newest of {stock}: there are {len(now.revisions)}.")
    elif not filing.last_look(now, {}).unchanged:
        notes.append(f"{stock} has changed since revision {number} was filed; the report keeps to the revision.")
    if not filing.seal_holds(journal, stock, number):
        notes.append(f"What was filed no longer gives the hash of revision {number}: words were removed since.")
    return notes
