"""The evidence pack: report, data, clips and hashes, in a folder or a ZIP file that a buyer can be given."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC
from pathlib import Path
from typing import Any

from benchvoice.errors import BenchvoiceError
from benchvoice.report import tabular, webpage
from benchvoice.report.clean import name_for_file
from benchvoice.report.clips import Clip
from benchvoice.report.model import Format, Report
from benchvoice.report.write import make, put

FORMAT, VERSION = "benchvoice-pack", "1.0"
MANIFEST, SUMS = "manifest.json", "SHA256SUMS"
CLIPS = "clips/"
CONTENT = (Format.MARKDOWN, Format.PDF, Format.CSV)
EPOCH = (1980, 1, 1, 0, 0, 0)
"""The date of every file in the ZIP: the same report gives the same bytes."""


def content(report: Report, clips: Sequence[Clip] = ()) -> dict[str, bytes]:
    """All files of a pack by their path inside it, the manifest and the list of sums included."""
    stem = name_for_file(report.stock)
    where = {entry: CLIPS + clip.name for clip in clips for entry in clip.entries}
    files = make(report, _timed(report))
    files[f"{stem}-report.html"] = webpage.render(report, clips=where).encode()
    files[f"{stem}-report.json"] = tabular.to_json(report).encode()
    files |= {CLIPS + clip.name: clip.data for clip in clips}
    manifest = json.dumps(_manifest(report, files, clips), ensure_ascii=False, indent=1) + "\n"
    files[MANIFEST] = manifest.encode()
    files[SUMS] = "".join(f"{_sha(data)}  {name}\n" for name, data in sorted(files.items())).encode()
    return files


def write_pack(
    report: Report, target: Path, *, clips: Sequence[Clip] = (), as_zip: bool = True, overwrite: bool = False
) -> Path:
    """Write the pack into the folder `target` as `STOCK-pack.zip`, or as the folder `STOCK-pack`.

    Raises BenchvoiceError if it is already there (a folder is never written over), or can't be written.
    """
    name = f"{name_for_file(report.stock)}-pack"
    path = target / (f"{name}.zip" if as_zip else name)
    if (path.exists() or path.is_symlink()) and not (overwrite and as_zip):
        raise BenchvoiceError(f"{path.name} is already in {target}.", hint="Choose another folder.")
    files = content(report, clips)
    try:
        target.mkdir(parents=True, exist_ok=True)
        if as_zip:
            put(path, _zipped(files))
        else:
            _unfold(path, files)
    except OSError as problem:
        raise BenchvoiceError(f"The pack can't be written to {target}: {problem.strerror or problem}.") from problem
    return path


def fingerprint(manifest: bytes) -> str:
    """What names this pack and no other: the SHA-256 of its manifest, in groups of eight."""
    digest = _sha(manifest)
    return " ".join(digest[place : place + 8] for place in range(0, 64, 8))


def _timed(report: Report) -> Iterable[Format]:
    return (*CONTENT, Format.BLURB, *((Format.VTT, Format.SRT, Format.CHAPTERS) if report.tracks else ()))


def _manifest(report: Report, files: Mapping[str, bytes], clips: Sequence[Clip]) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "version": VERSION,
        "stock": report.stock,
        "title": report.title,
        "notice": report.badge,
        "made_at": report.made_at.astimezone(UTC).isoformat(timespec="seconds"),
        "filed": {"revision": report.revision, "sha256": report.sealed} if report.revision is not None else None,
        "left_out": list(report.left_out),
        "files": [
            {"path": name, "bytes": len(data), "sha256": _sha(data)} for name, data in sorted(files.items())
        ],
        "clips": [
            {"path": CLIPS + clip.name, "entries": list(clip.entries), "t0": round(clip.t0, 3), "t1": round(clip.t1, 3)}
            for clip in clips
        ],
    }  # fmt: skip


def _zipped(files: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in sorted(files.items()):
            info = zipfile.ZipInfo(name, EPOCH)
            info.external_attr = 0o644 << 16
            info.compress_type = zipfile.ZIP_STORED if name.endswith((".flac", ".pdf")) else zipfile.ZIP_DEFLATED
            archive.writestr(info, data)
    return out.getvalue()


def _unfold(path: Path, files: Mapping[str, bytes]) -> None:
    path.mkdir()
    for name, data in files.items():
        place = path / name
        place.parent.mkdir(exist_ok=True)
        put(place, data)


def _sha(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
