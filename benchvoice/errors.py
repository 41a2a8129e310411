"""The one family of errors that a person is meant to read."""

from __future__ import annotations

from collections.abc import Sequence


class BenchvoiceError(Exception):
    """Something failed that the person can act on.

    what: one sentence, what happened. hint: what to do about it. The command line prints both on one line and
    leaves with `exit_status`; a screen shows them in a box.
    """

    exit_status = 1

    def __init__(self, what: str, *, hint: str = "") -> None:
        self.what = what
        self.hint = hint
        super().__init__(f"{what} {hint}".strip())


class SoundError(BenchvoiceError):
    """A sound file or a sound device can't be used."""


class GrammarError(BenchvoiceError):
    """Grammar files can't be used; the message names the file and the line. `problems` are all of them, one by one."""

    def __init__(self, what: str, *, hint: str = "", problems: Sequence[str] = ()) -> None:
        self.problems = tuple(problems)
        super().__init__(what, hint=hint)


class JournalError(BenchvoiceError):
    """The journal can't be opened, read or written."""


class UnknownStockError(BenchvoiceError):
    """No engine has that stock number."""


class UnknownSittingError(BenchvoiceError):
    """No engine has a sitting of that name."""


class UnreviewedError(BenchvoiceError):
    """Filing was asked for while findings wait for a decision."""
