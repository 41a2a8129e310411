"""The signs of the screens: a shape and a word for every state, so that nothing hangs on colour alone.

Wording lies in wording.toml beside this file. The names of the styles are component classes of the widgets.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from rich.style import Style
from rich.text import Text

from benchvoice.app.glance import Seen
from benchvoice.app.log import Row, RowState
from benchvoice.domain.doubts import Doubt
from benchvoice.domain.record import Status
from benchvoice.tui.safe import shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """shape: one cell wide. short: a word of at most eight letters, tiny: of at most four. says: a plain sentence."""

    shape: str
    short: str
    says: str
    tiny: str = ""


@cache
def wording() -> dict[str, Any]:
    """The screens' words, as the file gives them."""
    return tomllib.loads((files("benchvoice.tui") / "wording.toml").read_text(encoding="utf-8"))


@cache
def _marks(section: str) -> dict[str, Mark]:
    return {name: Mark(**fields) for name, fields in wording()[section].items()}


def of_doubt(doubt: Doubt) -> Mark:
    return _marks("doubt")[doubt.value]


def of_state(state: RowState) -> Mark:
    return _marks("state")[state.value]


def of_status(status: Status) -> Mark:
    return _marks("status")[status.value]


def of_seen(seen: Seen) -> Mark:
    return _marks("seen")[seen.value]


def help_of(topic: str) -> str:
    """The page of help for a screen."""
    return str(wording()["help"][topic])


def clock(seconds: float | None) -> str:
    """Time in a sitting, five cells wide until the first hour is over.

    >>> clock(750.4)
    '12:30'
    >>> clock(None)
    '    ·'
    """
    if seconds is None:
        return "    ·"
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes:2d}:{rest:02d}"


def plain(text: str, style: str | Style = "") -> Text:
    """Text for a widget: harmless, and never read as markup."""
    return Text(shown(text), style=style, end="")


def when(row: Row) -> str:
    """Where a row stands in time; typed words have a number in its place."""
    if row.t0 is not None:
        return clock(row.t0)
    return f"{'#' + str(row.n):>5}" if row.n is not None else " hand"
