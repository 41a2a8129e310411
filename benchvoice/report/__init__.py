"""Record, figures and judgement become a report, and the report becomes files.

`build` makes the report, in no format yet; `write` makes files of it. Wording lies in `wording/`, a folder a language.
"""

from __future__ import annotations

from benchvoice.report.build import build
from benchvoice.report.model import (
    Arrangement,
    Format,
    Length,
    Options,
    Rebuilt,
    Report,
    Units,
    Warranty,
)
from benchvoice.report.write import EVERYDAY, write

__all__ = [
    "EVERYDAY",
    "Arrangement",
    "Format",
    "Length",
    "Options",
    "Rebuilt",
    "Report",
    "Units",
    "Warranty",
    "build",
    "write",
]
