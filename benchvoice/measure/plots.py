"""Figures as pictures for reports: SVG text, drawn without a screen, the same bytes for the same figures.

Letters are drawn as paths and nothing is hatched, so that the pictures survive being put into a PDF.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from benchvoice.domain.figures import Figure, Verdict
from benchvoice.measure import conformity, units
from benchvoice.measure.wording import Wording

COLOURS = {
    Verdict.WITHIN: "#2f6f4f",
    Verdict.BEYOND: "#a8322a",
    Verdict.CANT_TELL: "#b07a12",
    Verdict.NO_LIMIT: "#4a5560",
}
SHAPES = {Verdict.WITHIN: "o", Verdict.BEYOND: "X", Verdict.CANT_TELL: "D", Verdict.NO_LIMIT: "o"}
_LEVELS = {"top": 2.0, "middle": 1.0, "bottom": 0.0}
_STYLE: Any = {"svg.fonttype": "path", "svg.hashsalt": "benchvoice", "font.size": 9.0, "axes.spines.top": False,
          "axes.spines.right": False}  # fmt: skip


def draw(figures: Sequence[Figure], wording: Wording) -> dict[str, str]:
    """All pictures that the figures allow, name -> SVG: "bores", "clearances", "compression", "heat".

    Empty for figures of which nothing can be drawn.
    """
    found = {
        "bores": bore_profiles(figures, wording),
        "clearances": clearances(figures, wording),
        "compression": compression(figures, wording),
        "heat": heat_map(figures),
    }
    return {name: svg for name, svg in found.items() if svg}


@contextmanager
def _sheet(width: float, height: float) -> Iterator[tuple[Any, Any, list[str]]]:
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure as Paper

    svg: list[str] = []
    with mpl.rc_context(_STYLE):
        paper = Paper(figsize=(width, height), layout="constrained")
        FigureCanvasSVG(paper)
        yield paper, paper.add_subplot(), svg
        out = io.StringIO()
        paper.savefig(out, format="svg", metadata={"Date": None})
        svg.append(out.getvalue())


def bore_profiles(figures: Sequence[Figure], wording: Wording) -> str:
    """Diameter by level, one line a bore and direction, with error bars; "" for fewer than two levels."""
    taken = [
        figure
        for figure in figures
        if figure.part == "cylinder_bore" and figure.quantity == "diameter" and figure.name == "reading"
    ]
    series: dict[str, list[tuple[float, float, float]]] = {}
    unit = taken[0].unit if taken else "in"
    for figure in taken:
        level = _LEVELS.get(figure.place.level or "")
        if level is not None and figure.value is not None:
            place = f"{figure.place.cylinder or '?'}" + (f" {figure.place.side}" if figure.place.side else "")
            times = float(units.factor(figure.unit, unit))
            point = (float(figure.value) * times, (figure.uncertainty or 0.0) * times, level)
            series.setdefault(place, []).append(point)
    series = {name: points for name, points in series.items() if len(points) > 1}
    if not series:
        return ""
    with _sheet(6.4, 3.2) as (_, axes, svg):
        for name, points in sorted(series.items()):
            values, errors, levels = zip(*sorted(points, key=lambda point: point[2]), strict=True)
            axes.errorbar(values, levels, xerr=errors, marker="o", capsize=3, label=f"bore {name}")
        _limit_lines(axes, taken, unit)
        axes.set_yticks(list(_LEVELS.values()), list(_LEVELS))
        axes.set_ylim(-0.4, 2.4)
        axes.set_xlabel(f"diameter, {units.symbol(unit)}")
        axes.ticklabel_format(axis="x", useOffset=False)
        axes.legend(frameon=False, fontsize=8)
    return svg[0]


def _limit_lines(axes: Any, figures: Sequence[Figure], unit: str) -> None:
    seen = set()
    for figure in figures:
        if figure.limit is None:
            continue
        for end in conformity.limits_in(figure.limit, unit):
            if end is not None and end not in seen:
                seen.add(end)
                axes.axvline(float(end), color=COLOURS[Verdict.BEYOND], linestyle="--", linewidth=1)


def clearances(figures: Sequence[Figure], wording: Wording) -> str:
    """Every length that has an upper limit, as a share of what is allowed, so that all fit one scale; "" if there is
    none. 0 is the lower limit (or nothing), 1 the upper one.
    """
    judged = [figure for figure in figures if figure.limit and figure.value is not None and _share(figure)]
    if not judged:
        return ""
    with _sheet(6.8, 0.9 + 0.24 * len(judged)) as (_, axes, svg):
        for row, figure in enumerate(reversed(judged)):
            share = _share(figure)
            if share is None:
                continue
            verdict = figure.verdict or Verdict.NO_LIMIT
            axes.errorbar(
                [share[0]], [row], xerr=[share[1]], marker=SHAPES[verdict], color=COLOURS[verdict], capsize=3,
                linestyle="none",
            )  # fmt: skip
        labels = [_label(figure, wording) for figure in reversed(judged)]
        axes.set_yticks(range(len(labels)), labels, fontsize=7)
        axes.axvline(1.0, color=COLOURS[Verdict.BEYOND], linestyle="--", linewidth=1)
        axes.axvline(0.0, color="#c8ccd0", linewidth=1)
        axes.set_xlabel("share of what the sheet allows (dashed: the limit)")
    return svg[0]


def _share(figure: Figure) -> tuple[float, float] | None:
    """Value and uncertainty on a scale where the limit is 1; None where that makes no sense."""
    if figure.limit is None or figure.value is None or figure.quantity == "diameter":
        return None
    if not units.same_kind(figure.unit, "in"):
        return None
    low, high = (None if end is None else float(end) for end in conformity.limits_in(figure.limit, figure.unit))
    value, u = float(figure.value), figure.uncertainty or 0.0
    floor = low or 0.0
    if high is None or high <= floor:
        return None
    return (value - floor) / (high - floor), u / (high - floor)


def _label(figure: Figure, wording: Wording) -> str:
    place = wording.place(figure.place)
    name = f"{figure.part.replace('_', ' ')}, {wording.name(figure)}"
    return f"{name}, {place}" if place else name


def compression(figures: Sequence[Figure], wording: Wording) -> str:
    """Compression by cylinder as bars with error bars and the limit; "" for fewer than two cylinders."""
    taken = [
        figure
        for figure in figures
        if figure.quantity == "compression"
        and figure.name == "reading"
        and figure.value is not None
        and figure.place.cylinder
    ]
    if len(taken) < 2:
        return ""
    unit = taken[0].unit
    taken.sort(key=lambda figure: figure.place.cylinder or 0)
    with _sheet(5.6, 3.0) as (_, axes, svg):
        for figure in taken:
            times = float(units.factor(figure.unit, unit))
            verdict = figure.verdict or Verdict.NO_LIMIT
            height = float(figure.value or 0) * times
            axes.bar(
                [str(figure.place.cylinder)], [height], yerr=[(figure.uncertainty or 0) * times], capsize=4,
                color=COLOURS[verdict], width=0.6,
            )  # fmt: skip
            label = wording.verdict(figure).split(" (")[0]
            text = f"{figure.shown()}\n{label}"
            axes.annotate(text, (str(figure.place.cylinder), 0), (0, 4), textcoords="offset points", ha="center",
                          va="bottom", color="white", fontsize=7)  # fmt: skip
        for figure in taken[:1]:
            for end in conformity.limits_in(figure.limit, unit) if figure.limit else ():
                if end is not None:
                    axes.axhline(float(end), color=COLOURS[Verdict.BEYOND], linestyle="--", linewidth=1)
        axes.set_xlabel("cylinder")
        axes.set_ylabel(f"compression, {units.symbol(unit)}")
    return svg[0]


def heat_map(figures: Sequence[Figure]) -> str:
    """The temperature interval of each region as a bar on one scale; "" without heat figures."""
    regions = [figure for figure in figures if figure.name == "temperature"]
    if not regions:
        return ""
    top = max([float(end) for figure in regions for end in (figure.low, figure.high) if end is not None] + [300.0])
    with _sheet(6.0, 0.9 + 0.4 * len(regions)) as (_, axes, svg):
        for row, figure in enumerate(reversed(regions)):
            low = float(figure.low) if figure.low is not None else 0.0
            high = float(figure.high) if figure.high is not None else top * 1.1
            shade = min(1.0, low / 700.0)
            axes.barh([row], [high - low], left=[low], color=(0.55 + 0.4 * shade, 0.55 - 0.4 * shade, 0.45), height=0.6)
            says = f"{low:.0f} to {high:.0f}" if figure.high is not None else f"over {low:.0f}"
            axes.annotate(says, (low, row), (4, 0), textcoords="offset points", va="center", color="white", fontsize=8)
        axes.set_yticks(range(len(regions)), [figure.region for figure in reversed(regions)])
        axes.set_xlim(0, top * 1.1)
        axes.set_xlabel("°C")
    return svg[0]
