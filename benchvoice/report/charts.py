"""A chart as lines, dots and words in a plain coordinate system, so that every exporter draws the same picture."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from benchvoice.report.model import Chart, Point

WIDTH, HEIGHT = 640.0, 215.0
LEFT, RIGHT, TOP, BOTTOM = 64.0, 14.0, 16.0, 34.0
LABELLED = 8
"""With more points than this their values are not written beside them."""
TICKS = 4
CROWDED = 24.0
"""A word closer than this to a limit's line goes to the other side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    x1: float
    y1: float
    x2: float
    y2: float
    role: str
    """ "grid", "limit", "error" or "axis"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dot:
    x: float
    y: float
    series: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    x: float
    y: float
    text: str
    anchor: str = "middle"
    """ "start", "middle" or "end"."""
    role: str = "tick"
    """ "tick", "value", "limit" or "legend"."""


Shape = Line | Dot | Text


def nice_step(span: float) -> float:
    """A step of 1, 2 or 5 times a power of ten that cuts the span in about TICKS."""
    if span <= 0:
        return 1.0
    rough = span / TICKS
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= rough)


def draw(chart: Chart) -> list[Shape]:
    """Shapes in a WIDTH by HEIGHT space, y downwards; the scale does not start at zero, as the text says."""
    labels = list(dict.fromkeys(point.label for point in chart.points))
    groups = list(dict.fromkeys(point.group for point in chart.points))
    low, high, step = _scale(chart)
    places = max(0, -math.floor(math.log10(step) + 1e-9))

    def y_of(value: float) -> float:
        return TOP + (high - value) / (high - low) * (HEIGHT - TOP - BOTTOM)

    def x_of(point: Point) -> float:
        slot = (WIDTH - LEFT - RIGHT) / len(labels)
        shift = (groups.index(point.group) - (len(groups) - 1) / 2) * min(14.0, slot / (len(groups) + 1))
        return LEFT + (labels.index(point.label) + 0.5) * slot + shift

    out: list[Shape] = list(_grid(low, high, step, places, y_of))
    slot = (WIDTH - LEFT - RIGHT) / len(labels)
    out += [
        Text(x=LEFT + (place + 0.5) * slot, y=HEIGHT - BOTTOM + 17, text=label) for place, label in enumerate(labels)
    ]
    for label, value in chart.limits:
        if low <= value <= high:
            out.append(Line(x1=LEFT, y1=y_of(value), x2=WIDTH - RIGHT, y2=y_of(value), role="limit"))
            crowded = abs(y_of(chart.points[-1].value) - y_of(value)) < CROWDED
            x, anchor = (LEFT + 4, "start") if crowded else (WIDTH - RIGHT, "end")
            out.append(Text(x=x, y=y_of(value) - 5, text=label, anchor=anchor, role="limit"))
    for point in chart.points:
        if point.low is not None and point.high is not None:
            out.append(Line(x1=x_of(point), y1=y_of(point.low), x2=x_of(point), y2=y_of(point.high), role="error"))
        out.append(Dot(x=x_of(point), y=y_of(point.value), series=groups.index(point.group)))
        if len(chart.points) <= LABELLED:
            written = f"{point.value:.10g}"
            y = y_of(point.value)
            under = any(0 <= y - y_of(value) < CROWDED for _, value in chart.limits)
            out.append(Text(x=x_of(point), y=y + 18 if under else y - 9, text=written, role="value"))
    out += _legend(groups, chart.unit)
    return out


def _scale(chart: Chart) -> tuple[float, float, float]:
    values = [point.value for point in chart.points]
    values += [end for point in chart.points for end in (point.low, point.high) if end is not None]
    values += [value for _, value in chart.limits]
    low, high = min(values), max(values)
    span = high - low or abs(high) * 0.1 or 1.0
    step = nice_step(span * 1.3)
    low, high = math.floor((low - 0.12 * span) / step) * step, math.ceil((high + 0.18 * span) / step) * step
    return (0.0 if low < 0 <= min(values) else low), high, step


def _grid(low: float, high: float, step: float, places: int, y_of: object) -> Iterator[Shape]:
    assert callable(y_of)
    for number in range(round((high - low) / step) + 1):
        value = low + number * step
        if value > high + step / 1000:
            return
        y = float(y_of(value))
        yield Line(x1=LEFT, y1=y, x2=WIDTH - RIGHT, y2=y, role="axis" if number == 0 else "grid")
        yield Text(x=LEFT - 8, y=y + 4, text=f"{value:.{places}f}", anchor="end")


def _legend(groups: list[str], unit: str) -> list[Shape]:
    out: list[Shape] = [Text(x=LEFT - 8, y=HEIGHT - BOTTOM + 17, text=unit, anchor="end")]
    x = LEFT
    for series, name in enumerate(groups):
        if name:
            out.append(Dot(x=x + 4, y=HEIGHT - 5, series=series))
            out.append(Text(x=x + 13, y=HEIGHT - 1, text=name, anchor="start", role="legend"))
            x += 30 + 7 * len(name)
    return out
