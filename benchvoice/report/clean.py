"""Foreign text made harmless before it enters the report: one place, so that no exporter has to think of it."""

from __future__ import annotations

import re
import unicodedata

MAX_TEXT = 2000
"""Characters kept of one foreign string: a report is no place for a smuggled book."""

_SPACE = re.compile(r"\s+")
_GONE = {"Cc", "Cf", "Cs", "Co", "Cn"}
"""Control, format (direction marks, zero width), surrogate, private and unassigned characters."""
_KEPT_FORMAT = {"\u200c", "\u200d"}
"""Joiners that Persian and Indic scripts need to be read."""


def clean(text: object) -> str:
    """One line, composed (NFC), without control, direction or invisible characters, at most MAX_TEXT long."""
    whole = unicodedata.normalize("NFC", str(text)[: 4 * MAX_TEXT])
    spaced = _SPACE.sub(" ", whole)
    kept = "".join(sign for sign in spaced if sign in _KEPT_FORMAT or unicodedata.category(sign) not in _GONE)
    return kept[:MAX_TEXT].strip()


def name_for_file(text: str, *, fallback: str = "engine") -> str:
    """A piece of a file name that is safe on every system: ASCII letters, digits, "-" and "_", 1..60 characters.

    No dots, so there is no extension, no parent folder and no hidden file; names that Windows keeps for devices get an
    underscore.
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    name = re.sub(r"[^A-Za-z0-9_-]+", "-", plain).strip("-_")[:60].strip("-_") or fallback
    if re.fullmatch(r"(?i)con|prn|aux|nul|com\d|lpt\d", name):
        name += "_"
    return name
