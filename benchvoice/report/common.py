"""What exporters share: the kind of a block, clock times, and the line that says where words lie."""

from __future__ import annotations

from collections.abc import Sequence

from benchvoice.report.model import Block, Bullets, Chart, Evidence, Paragraph

MOST_REFS = 10


def kind(block: Block) -> str:
    if isinstance(block, Paragraph):
        return "paragraph"
    if isinstance(block, Bullets):
        return "bullets"
    return "chart" if isinstance(block, Chart) else "table"


def shown_refs(refs: Sequence[int]) -> tuple[Sequence[int], int]:
    """The numbers that are printed behind a sentence, and how many more there are: all of them are in the data."""
    return (refs, 0) if len(refs) <= MOST_REFS else (refs[: MOST_REFS - 2], len(refs) - MOST_REFS + 2)


def clock(seconds: float, *, hours: bool = False) -> str:
    """ "12:07" or "1:02:33"; negative times are counted back from zero."""
    sign = "-" if seconds < 0 else ""
    whole = int(abs(seconds))
    hour, minute, second = whole // 3600, whole // 60 % 60, whole % 60
    if hour or hours:
        return f"{sign}{hour}:{minute:02}:{second:02}"
    return f"{sign}{minute}:{second:02}"


def where(item: Evidence, words: dict[str, str]) -> str:
    """When it was said: the film's time if there is one, else the sitting's; or that it was entered by hand."""
    if item.film_t0 is not None:
        return clock(item.film_t0)
    if item.t0 is not None:
        return clock(item.t0)
    return words["by_hand"] if item.by_hand else "–"
