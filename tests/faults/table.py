"""Rows of the fault table."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One kind of fault: how often it was brought about, how often all was as it must be, and what was measured.

    `wrong` says what was not. runs 0: it could not be tried here, `figures` says why.
    """

    fault: str
    runs: int
    good: int
    figures: str
    wrong: tuple[str, ...] = field(default=())

    @property
    def passed(self) -> bool:
        return self.good == self.runs and not self.wrong

    def __str__(self) -> str:
        state = "not run" if not self.runs else "ok" if self.passed else "FAILED"
        return f"| {self.fault} | {self.runs} | {self.good} | {state} | {self.figures} |"


HEAD = "| fault | times | as it must be | | measured |\n| --- | ---: | ---: | --- | --- |"
