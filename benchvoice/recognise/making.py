"""Models that are made at first use, kept in the cache under the hash of what they came from.

A model is made in a process of its own: it takes hundreds of MB that a long sitting should not carry on. The finished
folder is moved into place in one step, so that two programs that start at once, or one that is killed, leave no
half-made one behind.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from benchvoice import paths
from benchvoice.errors import BenchvoiceError
from benchvoice.recognise.base import Progress


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """How a model is made and known again.

    module: run with the folder to fill; prints the share that is done, and ends with a line on standard error when it
    can't. what: the model as a sentence begins with it. doing: what a person is told meanwhile. hint: what to do when
    it can't be made. kept: how many of them, the newest, stay in the cache.
    """

    folder: str
    key: str
    module: str
    is_complete: Callable[[Path], bool]
    what: str
    doing: str
    hint: str
    kept: int


def place(recipe: Recipe) -> Path:
    """Where the model lies once it is made."""
    return paths.cache() / recipe.folder / recipe.key


def make(recipe: Recipe, tell: Progress) -> None:
    """Makes the model. Raises BenchvoiceError with what to do when the maker or the disk says no."""
    target = place(recipe)
    base = target.parent
    work: Path | None = None
    try:
        base.mkdir(parents=True, exist_ok=True)
        work = Path(tempfile.mkdtemp(prefix=".making-", dir=base))
        _run(recipe, work, tell)
        _put(recipe, work, target)
    except OSError as error:
        raise BenchvoiceError(
            f"{recipe.what} can't be written to {base}: {error.strerror or error}.",
            hint="Free some space there, or set BENCHVOICE_HOME to another folder.",
        ) from error
    finally:
        if work is not None:
            shutil.rmtree(work, ignore_errors=True)
    _forget_old(target, recipe.kept)


def _run(recipe: Recipe, work: Path, tell: Progress) -> None:
    tell(recipe.doing, 0.0)
    command = [sys.executable, "-m", recipe.module, str(work)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as maker:
        assert maker.stdout is not None
        assert maker.stderr is not None
        for line in maker.stdout:
            with contextlib.suppress(ValueError):
                tell(recipe.doing, float(line))
        complaint = maker.stderr.read().strip()
    if maker.returncode or not recipe.is_complete(work):
        why = complaint.splitlines()[-1] if complaint else f"status {maker.returncode}"
        raise BenchvoiceError(f"{recipe.what} can't be made: {why}", hint=recipe.hint)


def _put(recipe: Recipe, work: Path, target: Path) -> None:
    """The finished folder in its place; if another program was quicker, its model is as good."""
    for path in work.iterdir():
        with path.open("rb") as file:
            os.fsync(file.fileno())
    try:
        work.rename(target)
    except OSError:
        if not recipe.is_complete(target):
            shutil.rmtree(target, ignore_errors=True)
            work.rename(target)


def _forget_old(current: Path, kept: int) -> None:
    """Only the newest few models stay."""
    base = current.parent
    others = [path for path in base.iterdir() if path.is_dir() and path != current and not path.name.startswith(".")]
    for path in sorted(others, key=lambda item: item.stat().st_mtime, reverse=True)[kept - 1 :]:
        shutil.rmtree(path, ignore_errors=True)
