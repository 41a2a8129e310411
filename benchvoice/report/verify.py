"""Checks an evidence pack. A pack comes from outside: nothing in it is trusted, nothing is unpacked."""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from benchvoice.errors import BenchvoiceError
from benchvoice.report.clean import clean
from benchvoice.report.pack import FORMAT, MANIFEST, SUMS, fingerprint

MOST_FILES = 50_000
MOST_MANIFEST = 64 * 1024 * 1024
BLOCK = 1 << 20
_SHA = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What a check of a pack found. `problems` is empty if every file is as the manifest says, and none is missing or
    too many. `fingerprint` is to be compared with the one that the seller gives by another way: whoever changes a file
    can write a new manifest, too.
    """

    stock: str
    revision: int | None
    files: int
    clips: int
    fingerprint: str
    problems: tuple[str, ...]

    @property
    def ok(self) -> bool:
        return not self.problems


class _Source(Protocol):
    """Where a pack's files are read from; digest reads at most `most` bytes and one more."""

    def names(self) -> list[str]: ...
    def read(self, name: str, most: int) -> bytes: ...
    def digest(self, name: str, most: int) -> tuple[int, str]: ...


def verify(pack: Path) -> Checked:
    """Check a pack, a folder or a ZIP file. Raises BenchvoiceError if it is no pack at all, or can't be read."""
    if pack.is_dir():
        return _check(_Folder(pack))
    if not pack.exists():
        raise BenchvoiceError(f"There is no pack at {pack}.")
    try:
        with zipfile.ZipFile(pack) as archive:
            return _check(_Zip(archive))
    except (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, OSError) as problem:
        raise BenchvoiceError(f"{pack} is neither a folder nor a sound ZIP file: {clean(problem)}.") from problem


def _check(source: _Source) -> Checked:
    names = source.names()
    if len(names) > MOST_FILES:
        raise BenchvoiceError(f"The pack holds {len(names)} files; no pack of ours does.")
    if MANIFEST not in names:
        raise BenchvoiceError(f"There is no {MANIFEST}: this is no evidence pack.")
    raw = source.read(MANIFEST, MOST_MANIFEST)
    manifest = _parsed(raw)
    problems = [f"{clean(name)}: the name leads out of the pack." for name in names if not _safe(name)]
    problems += [f"{clean(name)}: there twice." for name in sorted({name for name in names if names.count(name) > 1})]
    listed = _listed(manifest, problems)
    for name, (size, sha) in listed.items():
        if name not in names:
            problems.append(f"{clean(name)}: missing.")
        elif _safe(name) and (fault := _compare(source, name, size, sha)):
            problems.append(f"{clean(name)}: {fault}")
    extra = sorted(set(names) - set(listed) - {MANIFEST, SUMS})
    problems += [f"{clean(name)}: not in the manifest." for name in extra]
    problems += _sums(source, names, raw, listed)
    clips = manifest.get("clips")
    filed = manifest.get("filed")
    revision = filed.get("revision") if isinstance(filed, dict) else None
    return Checked(
        stock=clean(manifest.get("stock", "")),
        revision=revision if isinstance(revision, int) else None,
        files=len(listed),
        clips=len(clips) if isinstance(clips, list) else 0,
        fingerprint=fingerprint(raw),
        problems=tuple(problems),
    )


def _parsed(raw: bytes) -> dict[str, Any]:
    try:
        manifest = json.loads(raw)
    except (ValueError, RecursionError) as problem:
        raise BenchvoiceError(f"{MANIFEST} can't be read: {clean(problem)}.") from problem
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise BenchvoiceError(f"{MANIFEST} is not one of an evidence pack.")
    version = str(manifest.get("version", ""))
    if version.split(".", maxsplit=1)[0] != "1":
        raise BenchvoiceError(
            f"The pack is of version {clean(version)!r}, and this program knows version 1.", hint="Update benchvoice."
        )
    return manifest


def _listed(manifest: Mapping[str, Any], problems: list[str]) -> dict[str, tuple[int, str]]:
    out: dict[str, tuple[int, str]] = {}
    files = manifest.get("files")
    for item in files if isinstance(files, list) else ():
        match item:
            case {"path": str(path), "bytes": int(size), "sha256": str(sha)} if _SHA.fullmatch(sha) and size >= 0:
                out[path] = (size, sha)
            case _:
                problems.append(f"{MANIFEST}: an entry of its list of files makes no sense.")
    if not out:
        problems.append(f"{MANIFEST}: it lists no files.")
    return out


def _compare(source: _Source, name: str, size: int, sha: str) -> str:
    """What is wrong with a file, "" if it is as it should be."""
    try:
        length, digest = source.digest(name, size)
    except (OSError, zipfile.BadZipFile, zlib.error, RuntimeError, EOFError, NotImplementedError):
        return "can't be read."
    if length != size:
        return f"{'longer' if length > size else 'shorter'} than the {size} bytes of the manifest."
    return "" if digest == sha else "changed: its SHA-256 is not the one of the manifest."


def _sums(source: _Source, names: list[str], raw: bytes, listed: Mapping[str, tuple[int, str]]) -> list[str]:
    """The list of sums must say the same as the manifest, and name the manifest itself."""
    if SUMS not in names:
        return [f"{SUMS}: missing."]
    wanted = {name: sha for name, (_, sha) in listed.items()} | {MANIFEST: hashlib.sha256(raw).hexdigest()}
    lines = source.read(SUMS, MOST_MANIFEST).decode("utf-8", "replace").splitlines()
    found = {line[66:]: line[:64] for line in lines if line[64:66] == "  "}
    return [] if found == wanted else [f"{SUMS}: says something else than the manifest."]


def _safe(name: str) -> bool:
    """True for a plain relative path with forward slashes and no step upwards."""
    steps = name.split("/")
    return bool(name) and "\\" not in name and ":" not in name and "\0" not in name and all(
        step not in ("", ".", "..") for step in steps
    )  # fmt: skip


class _Folder:
    def __init__(self, root: Path) -> None:
        self._root = root

    def names(self) -> list[str]:
        out: list[str] = []
        for folder, folders, files in os.walk(self._root):
            for name in (*folders, *files):
                path = Path(folder) / name
                mode = path.lstat().st_mode
                if stat.S_ISDIR(mode):
                    continue
                if not stat.S_ISREG(mode):
                    raise BenchvoiceError(f"{clean(path)} is no plain file: a pack has no links in it.")
                out.append(path.relative_to(self._root).as_posix())
        return sorted(out)

    def read(self, name: str, most: int) -> bytes:
        with (self._root / name).open("rb") as file:
            return file.read(most)

    def digest(self, name: str, most: int) -> tuple[int, str]:
        with (self._root / name).open("rb") as file:
            return _digest(file, most)


class _Zip:
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive

    def names(self) -> list[str]:
        return [info.filename for info in self._archive.infolist() if not info.is_dir()]

    def read(self, name: str, most: int) -> bytes:
        try:
            with self._archive.open(name) as file:
                return file.read(most)
        except (zipfile.BadZipFile, zlib.error, RuntimeError, EOFError) as problem:
            raise BenchvoiceError(f"{name} in the pack can't be read: {clean(problem)}.") from problem

    def digest(self, name: str, most: int) -> tuple[int, str]:
        with self._archive.open(name) as file:
            return _digest(file, most)


def _digest(file: Any, most: int) -> tuple[int, str]:
    """(length, SHA-256); stops behind `most` bytes, so that a packed bomb can't fill the machine."""
    digest, length = hashlib.sha256(), 0
    while length <= most and (block := file.read(min(BLOCK, most + 1 - length) or 1)):
        digest.update(block)
        length += len(block)
    return length, digest.hexdigest()
