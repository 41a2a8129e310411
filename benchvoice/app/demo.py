"""The demo: the whole job on an invented engine, from sound to report, in a folder of its own."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, replace
from importlib.resources import as_file
from pathlib import Path
from typing import Any

from benchvoice import lexicon as words
from benchvoice import resources
from benchvoice.app import filing, intake
from benchvoice.app.kept import hear_and_keep, hear_file
from benchvoice.app.reporting import Wanted, report
from benchvoice.app.review import Review
from benchvoice.errors import BenchvoiceError
from benchvoice.journal import Journal
from benchvoice.report import EVERYDAY, Format, Options

Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Demo:
    """Where everything is, and what came of it."""

    stock: str
    folder: Path
    journal: Path
    files: tuple[Path, ...]
    utterances: int
    accepted: int
    left: int
    """Doubtful findings, left for a person to look at."""
    settled: int
    """Contradictions that were decided for what was said last."""
    notes: tuple[str, ...]


def run_demo(folder: Path, *, recogniser: str | None = None, progress: Progress | None = None) -> Demo:
    """Hear the narration, keep what it says, accept what is not doubtful, file it and write the report.

    The folder is a home of its own (see BENCHVOICE_HOME), so that the person's record isn't touched. BenchvoiceError
    if it is there already.
    """
    tell = progress or (lambda text, done: None)
    if folder.exists() and any(folder.iterdir()):
        raise BenchvoiceError(f"{folder} is there already.", hint="Name another folder with --to.")
    with ExitStack() as stack:
        material = stack.enter_context(as_file(resources.folder("demo_audio")))
        shop, engine, narration = _material(material)
        lexicon = words.load()
        journal = stack.enter_context(Journal.open(folder / "journal.db"))
        intake.take_in(journal, intake.checked(engine))
        stock = engine.stock
        sound = material / f"{narration}.flac"
        utterances = hear_file(sound, recogniser=recogniser, progress=_part(tell, 0.02, 0.85))
        readings = list(hear_and_keep(journal, stock, sound, utterances, lexicon, folder))
        tell("Accepting what is certain", 0.86)
        review = Review(journal, stock, lexicon)
        settled = _decide(review)
        left = len(review.unreviewed())
        tell("Filing", 0.88)
        filing.file(journal, stock, lexicon.opposites, by=shop, leave_unreviewed=True)
        wanted = Wanted(
            formats=(*EVERYDAY, Format.PDF),
            options=Options(seller=shop),
            sheet=material / "spec.toml",
            prices=material / "prices.toml",
        )
        written = report(journal, stock, folder / "report", lexicon, wanted, _part(tell, 0.9, 1.0))
        return Demo(
            stock=stock,
            folder=folder,
            journal=folder / "journal.db",
            files=written.files,
            utterances=len(readings),
            accepted=len(journal.record(stock).accepted()),
            left=left,
            settled=settled,
            notes=written.notes,
        )


def free_folder(base: Path) -> Path:
    """The folder, or the first of its name with a number that isn't there yet."""
    candidates = (base if k == 1 else base.with_name(f"{base.name}-{k}") for k in range(1, 10_000))
    return next(folder for folder in candidates if not folder.exists())


def _material(folder: Path) -> tuple[str, Any, str]:
    """The shop, its first engine, and the narration about it."""
    data = tomllib.loads((folder / "intake.toml").read_text(encoding="utf-8"))
    first = dict(data["engine"][0])
    narration = first.pop("narrations")[0]
    engine = intake.engine_from(first | {"currency": data["currency"]}, where="The demo's intake")
    sheet = str(folder / first["spec_sheet"]) if "spec_sheet" in first else None
    return data["shop"], replace(engine, spec_sheet=sheet), narration


def _decide(review: Review) -> int:
    """Accept every finding without a doubt, and settle contradictions for what was said last. How many were settled."""
    review.accept(entry.id for entry in review.unreviewed() if not entry.finding.flags)
    found = review.contradictions()
    for item in found:
        review.settle(item, "second", "The demo keeps what was said last.")
    return len(found)


def _part(tell: Progress, start: float, end: float) -> Progress:
    """Progress of one stretch of the whole."""
    return lambda text, done: tell(text, start + (end - start) * done)
