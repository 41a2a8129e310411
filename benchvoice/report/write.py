"""A report becomes files. Names are safe everywhere, and nothing that is there is written over unless asked."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from benchvoice.errors import BenchvoiceError
from benchvoice.report.clean import name_for_file
from benchvoice.report.model import Format, Report

EVERYDAY = (Format.MARKDOWN, Format.HTML, Format.CSV, Format.JSON)
"""What is written unless other formats are named."""

Maker = Callable[[Report], Mapping[str, bytes]]
"""Makes files: what comes behind the stem of the name, and the bytes."""


def _markdown(report: Report) -> Mapping[str, bytes]:
    from benchvoice.report import markdown

    return {"report.md": markdown.render(report).encode()}


def _html(report: Report) -> Mapping[str, bytes]:
    from benchvoice.report import webpage

    return {"report.html": webpage.render(report).encode()}


def _csv(report: Report) -> Mapping[str, bytes]:
    from benchvoice.report import tabular

    return {"findings.csv": tabular.to_csv(report).encode("utf-8-sig")}


def _json(report: Report) -> Mapping[str, bytes]:
    from benchvoice.report import tabular

    return {"report.json": tabular.to_json(report).encode()}


def _blurb(report: Report) -> Mapping[str, bytes]:
    return {"listing.txt": f"{report.blurb}\n".encode()}


def _pdf(report: Report) -> Mapping[str, bytes]:
    from benchvoice.report import pdf

    return {"report.pdf": pdf.render(report)}


def _labels(report: Report) -> Mapping[str, bytes]:
    from benchvoice.report import labelsheet

    return {"labels.pdf": labelsheet.render(report)}


def _vtt(report: Report) -> Mapping[str, bytes]:
    from benchvoice.report import timed

    return timed.files(report, "captions.vtt", timed.to_vtt)


def _srt(report: Report) -> Mapping[str, bytes]:
    from benchvoice.report import timed

    return timed.files(report, "captions.srt", timed.to_srt)


def _chapters(report: Report) -> Mapping[str, bytes]:
    from benchvoice.report import timed

    text = timed.files(report, "chapters.txt", timed.chapters_text)
    return {**text, **timed.files(report, "chapters.vtt", timed.chapters_vtt)}


MAKERS: dict[Format, Maker] = {
    Format.MARKDOWN: _markdown,
    Format.HTML: _html,
    Format.CSV: _csv,
    Format.JSON: _json,
    Format.BLURB: _blurb,
    Format.PDF: _pdf,
    Format.LABELS: _labels,
    Format.VTT: _vtt,
    Format.SRT: _srt,
    Format.CHAPTERS: _chapters,
}


def make(report: Report, formats: Iterable[Format | str]) -> dict[str, bytes]:
    """File names and their bytes, nothing written. Raises BenchvoiceError for an unknown format."""
    stem = name_for_file(report.stock)
    out: dict[str, bytes] = {}
    for wanted in dict.fromkeys(_format(item) for item in formats):
        for end, content in MAKERS[wanted](report).items():
            out[f"{stem}-{end}"] = content
    return out


def write(
    report: Report, folder: Path, formats: Iterable[Format | str] = EVERYDAY, *, overwrite: bool = False
) -> list[Path]:
    """Write the files into the folder (made if missing) and return their paths, in order.

    All or nothing: if one name is taken and `overwrite` is False, BenchvoiceError is raised before anything is written.
    """
    content = make(report, formats)
    paths = {folder / name: data for name, data in content.items()}
    taken = [path.name for path in paths if path.exists() or path.is_symlink()]
    if taken and not overwrite:
        raise BenchvoiceError(
            f"{', '.join(taken)} {'is' if len(taken) == 1 else 'are'} already in {folder}.",
            hint="Choose another folder, or say that it may be written over.",
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, data in paths.items():
            put(path, data)
    except OSError as problem:
        raise BenchvoiceError(f"The report can't be written to {folder}: {problem.strerror or problem}.") from problem
    return list(paths)


def put(path: Path, data: bytes) -> None:
    """Write a file whole or not at all: first beside its place, then moved onto it."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=".benchvoice-", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def _format(item: Format | str) -> Format:
    try:
        return Format(item)
    except ValueError:
        known = ", ".join(one.value for one in Format)
        raise BenchvoiceError(f"There is no report format {str(item)!r}.", hint=f"There are: {known}.") from None
