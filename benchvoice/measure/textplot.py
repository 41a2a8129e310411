"""Figures drawn in text: a dot with its error bar on a common axis, limits as upright strokes.

cylinder 1   --o--      |     0.0007 +/- 0.0003 in
cylinder 6              | -o- 0.0029 +/- 0.0003 in
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from benchvoice.domain.figures import Figure, Verdict
from benchvoice.measure import conformity
from benchvoice.measure.wording import Wording, also_text, limit_text, value_text

MARKS = {Verdict.WITHIN: " ", Verdict.BEYOND: "!", Verdict.CANT_TELL: "?", Verdict.NO_LIMIT: " "}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """The signs that a drawing is made of."""

    dot: str = "●"
    bar: str = "─"
    limit: str = "│"
    both: str = "┼"
    onward: tuple[str, str] = ("◄", "►")


PLAIN = Ink(dot="o", bar="-", limit="|", both="+", onward=("<", ">"))
"""For terminals without Unicode."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """What `width` columns stand for."""

    low: float
    high: float
    width: int

    def column(self, value: float) -> int:
        """The column of a value, kept on the paper.

        >>> Axis(low=0.0, high=10.0, width=11).column(5.0), Axis(low=0.0, high=10.0, width=11).column(99.0)
        (5, 10)
        """
        share = (value - self.low) / (self.high - self.low)
        return min(self.width - 1, max(0, round(share * (self.width - 1))))


def _ends(figure: Figure) -> tuple[float, float]:
    u = figure.uncertainty or 0.0
    if figure.value is not None:
        return float(figure.value) - u, float(figure.value) + u
    ends = [float(end) for end in (figure.low, figure.high) if end is not None]
    return (min(ends), max(ends)) if ends else (0.0, 0.0)


def _limits(figure: Figure) -> list[float]:
    limit = figure.limit or figure.thumb
    if limit is None:
        return []
    return [float(end) for end in conformity.limits_in(limit, figure.unit) if end is not None]


def axis_for(figures: Sequence[Figure], width: int) -> Axis:
    """An axis on which all the figures and their limits lie, never of no length."""
    values = [end for figure in figures for end in (*_ends(figure), *_limits(figure))]
    low, high = min(values), max(values)
    pad = (high - low) * 0.04 or max(abs(high) * 0.01, 1e-6)
    return Axis(low=low - pad, high=high + pad, width=width)


def strip(figure: Figure, axis: Axis, ink: Ink) -> str:
    """One figure on the axis.

    >>> from decimal import Decimal
    >>> figure = Figure(name="x", part="block", unit="in", value=Decimal(5), uncertainty=2.0)
    >>> strip(figure, Axis(low=0.0, high=10.0, width=11), PLAIN)
    '   --o--   '
    """
    cells = [" "] * axis.width
    first, last = (axis.column(end) for end in _ends(figure))
    for column in range(first, last + 1):
        cells[column] = ink.bar
    for limit in _limits(figure):
        column = axis.column(limit)
        cells[column] = ink.both if cells[column] == ink.bar else ink.limit
    if figure.value is not None:
        cells[axis.column(float(figure.value))] = ink.dot
    elif figure.low is None or figure.high is None:
        _open(cells, figure, axis, ink)
    return "".join(cells)


def _open(cells: list[str], figure: Figure, axis: Axis, ink: Ink) -> None:
    """An interval that is bounded on one side only runs to the edge of the paper and ends in an arrow."""
    first, last = (axis.column(end) for end in _ends(figure))
    if figure.low is None:
        cells[: last + 1] = [ink.onward[0], *[ink.bar] * last]
    else:
        cells[first:] = [*[ink.bar] * (axis.width - first - 1), ink.onward[1]]


def lines(figures: Sequence[Figure], wording: Wording, *, width: int = 100, ink: Ink | None = None) -> list[str]:
    """All figures as text, group by group: one strip a figure, then limits and notes once."""
    signs = ink or Ink()
    out: list[str] = []
    group = None
    for block in _blocks(figures):
        if block[0].group != group:
            group = block[0].group
            out += ["", wording.group(group).upper()]
        out += _block(block, wording, width, signs)
    return out[1:]


def _blocks(figures: Sequence[Figure]) -> list[list[Figure]]:
    out: list[list[Figure]] = []
    for figure in figures:
        key = (figure.group, figure.part, figure.name, figure.quantity, figure.unit)
        if out:
            first = out[-1][0]
            if key == (first.group, first.part, first.name, first.quantity, first.unit):
                out[-1].append(figure)
                continue
        out.append([figure])
    return out


def _block(block: Sequence[Figure], wording: Wording, width: int, ink: Ink) -> list[str]:
    part = block[0].part.replace("_", " ")
    title = f"  {part}: {wording.name(block[0])}"
    labels = [figure.region or wording.place(figure.place) for figure in block]
    values = [_both(figure) for figure in block]
    wide, long = (max(len(text) for text in texts) for texts in (labels, values))
    room = max(12, min(44, width - wide - long - 34))
    drawn = any(map(_limits, block)) or len({_ends(figure) for figure in block}) > 1
    axis = axis_for(block, room)
    shared = [note for note in block[0].notes if all(note in figure.notes for figure in block)]
    out = [title]
    for figure, label, value in zip(block, labels, values, strict=True):
        mark = MARKS[figure.verdict] if figure.verdict else " "
        picture = strip(figure, axis, ink) if drawn else ""
        chance = _chance(figure)
        said = f"{value:<{long}}  {wording.verdict(figure)}{chance}"
        out.append("  ".join(cell for cell in (f"  {mark} {label:<{wide}}", picture, said) if cell).rstrip())
        own = [note for note in figure.notes if note not in shared]
        out += [f"      {' ' * wide}  {text}" for text in map(wording.note, own)]
    out += [f"      {wording.note(note)}" for note in shared]
    out += [f"      {text}" for text in dict.fromkeys(_limit_texts(block))]
    return out


def _both(figure: Figure) -> str:
    also = also_text(figure)
    return f"{value_text(figure)} ({also})" if also else value_text(figure)


def _chance(figure: Figure) -> str:
    """How likely it conforms, where the verdict is open."""
    if figure.verdict is not Verdict.CANT_TELL or figure.probability is None:
        return ""
    return f", {min(max(figure.probability, 0.01), 0.99):.0%} likely within"


def _limit_texts(block: Sequence[Figure]) -> list[str]:
    found = [figure.limit or figure.thumb for figure in block]
    return [limit_text(limit) for limit in found if limit is not None]
