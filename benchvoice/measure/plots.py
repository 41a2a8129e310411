"""Figures as pictures for reports: SVG text, drawn without a screen, the same bytes for the same figures.

Letters are drawn as paths and nothing is hatched, so that the pictures survive being put into a PDF.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from benchvoice.domain.figures import Figure, Verdict
from benchvoice.measure import conformity, units
from benchvoice.measure.tables import load
from benchvoice.measure.wording import Wording

COLOURS = {
    Verdict.WITHIN: "#2f6f4f",
    Verdict.BEYOND: "#a8322a",
    Verdict.CANT_TELL: "#b07a12",
    Verdict.NO_LIMIT: "#4a5560",
}
SHAPES = {Verdict.WITHIN: "o", Verdict.BEYOND: "X", Verdict.CANT_TELL: "D", Verdict.NO_LIMIT: "o"}
_COLDEST_SCALE = 750.0
"""deg_C at the right end of a heat map of an engine on which nothing hotter is proved."""
_LEVELS = {"top": 2.0, "middle": 1.0, "bottom": 0.0}
INK, FAINT = "#22282e", "#c8ccd0"
SERIES = ("#0072b2", "#d55e00", "#009e73", "#cc79a7", "#56b4e9", "#e69f00", "#5a5a5a", "#8c6bb1")
"""Okabe and Ito's colours, told apart by most colour-blind people; each comes with a marker of its own."""
_MARKERS = ("o", "s", "^", "D", "v", "P", "X", "*")
_STYLE: Any = {
    "svg.fonttype": "path", "svg.hashsalt": "benchvoice", "font.size": 9.0, "axes.spines.top": False,
    "axes.spines.right": False, "axes.edgecolor": "#7a828a", "text.color": INK, "axes.labelcolor": INK,
    "axes.titlesize": 10.0, "axes.titlelocation": "left", "axes.titleweight": "bold", "grid.color": "#e6e8ea",
    "axes.axisbelow": True, "lines.linewidth": 1.4,
}  # fmt: skip


def draw(figures: Sequence[Figure], wording: Wording) -> dict[str, str]:
    """All pictures that the figures allow, name -> SVG: "bores", "clearances", "compression", "heat".

    Empty for figures of which nothing can be drawn.
    """
    found = {
        "bores": bore_profiles(figures, wording),
        "clearances": clearances(figures, wording),
        "compression": compression(figures, wording),
        "heat": heat_map(figures, wording),
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
        for index, (name, points) in enumerate(sorted(series.items())):
            values, errors, levels = zip(*sorted(points, key=lambda point: point[2]), strict=True)
            colour = SERIES[index % len(SERIES)]
            axes.errorbar(values, levels, xerr=errors, color=colour, capsize=2.5, elinewidth=0.9)
            marker = _MARKERS[index % len(_MARKERS)]
            axes.plot(values, levels, linestyle="none", marker=marker, color=colour, label=f"bore {name}")
        axes.set_title(wording.plot("bores"))
        axes.set_yticks(list(_LEVELS.values()), list(_LEVELS))
        axes.set_ylim(-0.4, 2.4)
        axes.set_xlabel(f"{wording.plot('diameter')}, {units.symbol(unit)}")
        axes.ticklabel_format(axis="x", useOffset=False)
        axes.grid(visible=True, axis="x")
        axes.margins(x=0.08)
        _limit_lines(axes, taken, unit, wording)
        axes.legend(frameon=False, fontsize=8, loc="upper left", bbox_to_anchor=(1.0, 1.0))
    return svg[0]


def _limit_lines(axes: Any, figures: Sequence[Figure], unit: str, wording: Wording) -> None:
    seen = set()
    for figure in figures:
        if figure.limit is None:
            continue
        for end in conformity.limits_in(figure.limit, unit):
            if end is not None and end not in seen:
                seen.add(end)
                axes.axvline(float(end), color=COLOURS[Verdict.BEYOND], linestyle="--", linewidth=1)
                axes.annotate(
                    f"{wording.plot('limit')} {end.normalize():f}", (float(end), 1.0), (-3, -2), color=INK, fontsize=7,
                    xycoords=("data", "axes fraction"), textcoords="offset points", ha="right", va="top", rotation=90,
                )  # fmt: skip


def clearances(figures: Sequence[Figure], wording: Wording) -> str:
    """Every length that has an upper limit, as a share of what is allowed, so that all fit one scale; "" if there is
    none. 0 is the lower limit (or nothing), 1 the upper one.
    """
    judged = [figure for figure in figures if figure.limit and figure.value is not None and _share(figure)]
    if not judged:
        return ""
    with _sheet(6.8, 1.1 + 0.22 * len(judged)) as (_, axes, svg):
        seen: dict[Verdict, Any] = {}
        for row, figure in enumerate(reversed(judged)):
            share = _share(figure)
            if share is None:
                continue
            verdict = figure.verdict or Verdict.NO_LIMIT
            colour = COLOURS[verdict]
            axes.errorbar([share[0]], [row], xerr=[share[1]], color=colour, capsize=2.5, elinewidth=1)
            (seen[verdict],) = axes.plot(
                [share[0]], [row], linestyle="none", marker=SHAPES[verdict], markersize=6, color=colour
            )
        labels = [_label(figure, wording) for figure in reversed(judged)]
        axes.set_title(wording.plot("clearances"))
        axes.set_yticks(range(len(labels)), labels, fontsize=7)
        axes.set_ylim(-0.7, len(labels) - 0.3)
        axes.axvline(1.0, color=COLOURS[Verdict.BEYOND], linestyle="--", linewidth=1)
        axes.axvline(0.0, color=FAINT, linewidth=1)
        axes.xaxis.set_major_formatter(lambda value, _: f"{100 * value:.0f} %")
        axes.set_xlabel(wording.plot("share"))
        axes.grid(visible=True, axis="x")
        shown = [verdict for verdict in (Verdict.WITHIN, Verdict.CANT_TELL, Verdict.BEYOND) if verdict in seen]
        axes.legend(
            [seen[verdict] for verdict in shown], [wording.word(verdict) for verdict in shown], frameon=False,
            fontsize=8, ncols=len(shown), loc="lower right", bbox_to_anchor=(1.0, 1.0), borderaxespad=0.2,
        )  # fmt: skip
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
                color=COLOURS[verdict], width=0.62, ecolor=INK, error_kw={"elinewidth": 1},
            )  # fmt: skip
            label = wording.word(verdict) if figure.limit else ""
            text = f"{figure.shown()}\n{label}"
            axes.annotate(text, (str(figure.place.cylinder), 0), (0, 4), textcoords="offset points", ha="center",
                          va="bottom", color="white", fontsize=7)  # fmt: skip
        for end in conformity.limits_in(taken[0].limit, unit) if taken[0].limit else ():
            if end is not None:
                axes.axhline(float(end), color=COLOURS[Verdict.BEYOND], linestyle="--", linewidth=1)
                axes.annotate(
                    f"{wording.plot('limit')} {end.normalize():f}", (1.0, float(end)), (2, 0), fontsize=7,
                    xycoords=("axes fraction", "data"), textcoords="offset points", va="center",
                )  # fmt: skip
        axes.set_title(wording.plot("compression"))
        axes.grid(visible=True, axis="y")
        axes.set_xlabel(wording.plot("cylinder"))
        axes.set_ylabel(units.symbol(unit))
    return svg[0]


def heat_map(figures: Sequence[Figure], wording: Wording) -> str:
    """The temperature interval of each region as a bar on one scale, open ends as arrows; "" without heat figures."""
    regions = [figure for figure in figures if figure.name == "temperature"]
    if not regions:
        return ""
    right = _right_end(regions)
    with _sheet(6.4, 1.3 + 0.36 * len(regions)) as (_, axes, svg):
        for row, figure in enumerate(reversed(regions)):
            _region(axes, row, figure, right)
        for code, degrees in _landmarks().items():
            value = float(degrees)
            axes.axvline(value, color="#8a929a", linestyle=":", linewidth=1, zorder=0)
            axes.annotate(
                wording.plot(code), (value, 1.0), (0, 2), xycoords=("data", "axes fraction"), fontsize=7, ha="center",
                textcoords="offset points", va="bottom",
            )  # fmt: skip
        axes.set_title(wording.plot("heat"), pad=18)
        axes.set_yticks(range(len(regions)), [figure.region for figure in reversed(regions)])
        axes.set_ylim(-0.6, len(regions) - 0.4)
        axes.set_xlim(0, right)
        axes.set_xlabel("°C")
    return svg[0]


def _landmarks() -> dict[str, Decimal]:
    """Temperatures that decide what a part is worth, by their name in the wording."""
    aluminium = load().heat.materials["aluminium"]
    marks = {"aluminium_keeps": aluminium.spoils, "aluminium_melts": aluminium.melts}
    return {code: value for code, value in marks.items() if value is not None}


def _right_end(regions: Sequence[Figure]) -> float:
    """Where the scale ends: beyond what was reached, not out at the melting point of a steel part that survived."""
    reached = max((float(figure.low) for figure in regions if figure.low is not None), default=0.0)
    bounded = [float(figure.high) for figure in regions if figure.high is not None and figure.high <= _COLDEST_SCALE]
    return max(_COLDEST_SCALE, 1.3 * reached, *bounded)


def _region(axes: Any, row: int, figure: Figure, right: float) -> None:
    low = None if figure.low is None else float(figure.low)
    high = None if figure.high is None else float(figure.high)
    contradicted = low is not None and high is not None and low > high
    ends = sorted((low or 0.0, right if high is None else high))
    first, last = ends[0], min(ends[1], right)
    colour = COLOURS[Verdict.CANT_TELL] if contradicted else _warmth(low or 0.0)
    axes.barh([row], [last - first], left=[first], color=colour, height=0.58)
    if ends[1] > right or high is None:
        axes.plot([right * 0.992], [row], marker=">", color="white", markersize=5, clip_on=False)
    unit = units.symbol(figure.unit)
    says = " to ".join(f"{end:.0f}" for end in (low, high) if end is not None)
    says = {(True, False): f"over {says}", (False, True): f"under {says}"}.get(
        (low is not None, high is not None), says
    )
    says = f"? over {low:.0f} and under {high:.0f}" if contradicted else says
    inside = last - first > right * 0.22
    axes.annotate(
        f"{says} {unit}", (first if inside else last, row), (5, 0), textcoords="offset points", va="center", fontsize=8,
        color="white" if inside else INK,
    )  # fmt: skip


def _warmth(low: float) -> tuple[float, float, float]:
    """From slate for a region of which no heat is known to dark red for one that melted aluminium."""
    share = min(1.0, low / _COLDEST_SCALE)
    cold, hot = (0.36, 0.42, 0.48), (0.62, 0.13, 0.10)
    red, green, blue = (a + (b - a) * share for a, b in zip(cold, hot, strict=True))
    return red, green, blue
