"""Finds data folders in a wheel, an editable install or a checkout."""

from __future__ import annotations

from importlib.abc import Traversable
from importlib.resources import files
from pathlib import Path

from benchvoice.errors import BenchvoiceError


def folder(name: str) -> Traversable:
    """The data folder `name` ("grammars", "demo_audio").

    An editable install copies force-included data once and then goes stale, so the copy inside the package only exists
    in a built wheel; everywhere else the folder beside the package is the living one.
    """
    inside = files("benchvoice") / name
    if inside.is_dir():
        return inside
    beside = Path(__file__).resolve().parent.parent / name
    if beside.is_dir():
        return beside
    raise BenchvoiceError(f"The folder {name} is missing from this installation.", hint="Install benchvoice again.")
