"""The work that the word "rebuilt" stands for, read from a checklist file, point by point."""

from __future__ import annotations

import tomllib
from dataclasses import fields
from pathlib import Path

from benchvoice.errors import BenchvoiceError
from benchvoice.report.clean import clean
from benchvoice.report.model import Rebuilt


def load(path: Path) -> Rebuilt:
    """The checklist in a TOML file: `done_by = "..."`, the other keys true or false; what is missing is not done.

    Raises BenchvoiceError, naming the key, for anything that is not part of the list.
    """
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as problem:
        raise BenchvoiceError(f"{path} can't be read: {problem.strerror or problem}.") from problem
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        raise BenchvoiceError(f"{path} is no TOML: {clean(problem)}.") from problem
    names = [item.name for item in fields(Rebuilt)]
    for key, value in raw.items():
        if key not in names:
            raise BenchvoiceError(f"{path}: {clean(key)} is not part of the list.", hint=f"Known: {', '.join(names)}.")
        if not isinstance(value, str if key == "done_by" else bool):
            wanted = "a name in quotes" if key == "done_by" else "true or false"
            raise BenchvoiceError(f"{path}: {key} must be {wanted}.")
    return Rebuilt(**raw)
