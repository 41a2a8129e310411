"""The report as Markdown. Foreign text is escaped sign by sign: no heading, link, image or HTML comes out of it."""

from __future__ import annotations

import re
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template

from benchvoice.report.common import kind, shown_refs, where
from benchvoice.report.model import Report, Sentence, Table

_ACTIVE = re.compile(r"([\\`*_{}\[\]#|~$])|(?<==)(=)|(:)(?=//)|(?i:(?<=www))(\.)")
"""Signs that begin markup in CommonMark or its common extensions (tables, strikes, maths, marks, bare links)."""
_LINE_START = re.compile(r"^(?:([-+=])|(\d+)([.)])(?=\s|$))")


def escape(text: str) -> str:
    """The text as plain Markdown text: read back, it is the same."""
    out = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    out = _ACTIVE.sub(lambda found: "\\" + found.group(), out)
    return _LINE_START.sub(lambda found: f"\\{found[1]}" if found[1] else f"{found[2]}\\{found[3]}", out)


def line(sentence: Sentence) -> str:
    numbers, more = shown_refs(sentence.refs)
    written = [str(number) for number in numbers] + ([f"+{more}"] if more else [])
    refs = f" [{', '.join(written)}]" if written else ""
    return escape(sentence.text) + refs


def table(block: Table) -> str:
    """Rows one below the other: a blank line would end the table."""
    rules = ["---:" if column.numeric else "---" for column in block.columns]
    rows = [[escape(column.title) for column in block.columns], rules]
    rows += [[escape(cell) for cell in row.cells] for row in block.rows]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


@cache
def _template() -> Template:
    environment = Environment(
        loader=PackageLoader("benchvoice.report", "templates"), undefined=StrictUndefined, autoescape=False,
        trim_blocks=False, keep_trailing_newline=True,
    )  # fmt: skip
    environment.filters |= {"t": escape, "line": line, "kind": kind, "table": table}
    return environment.get_template("report.md.j2")


def render(report: Report) -> str:
    """The whole report, UTF-8 text with "\\n" line ends."""
    text = _template().render(report=report, words=report.words, where=lambda item: where(item, report.words))
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"
