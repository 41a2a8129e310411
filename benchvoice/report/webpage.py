"""The report as one self-contained HTML page: styles and charts inside, no script, no request to anywhere."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from benchvoice.report import charts
from benchvoice.report.common import kind, shown_refs, where
from benchvoice.report.model import Report


@cache
def _template() -> Template:
    environment = Environment(
        loader=PackageLoader("benchvoice.report", "templates"), undefined=StrictUndefined, autoescape=True
    )  # fmt: skip
    return environment.get_template("report.html.j2")


@cache
def _css() -> Markup:
    return Markup((files("benchvoice.report") / "templates" / "report.css").read_text(encoding="utf-8").strip())


def render(report: Report, *, clips: Mapping[str, str] | None = None) -> str:
    """The page. clips: the address of the sound behind an entry, relative or `data:`, by entry id."""
    text = _template().render(
        report=report, words=report.words, css=_css(), clips=clips or {}, kind_of=kind, draw=charts.draw,
        shown_refs=shown_refs, chart_width=charts.WIDTH, chart_height=charts.HEIGHT,
        where=lambda item: where(item, report.words),
    )  # fmt: skip
    return text.strip() + "\n"
