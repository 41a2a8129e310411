"""The report as PDF: selectable text, outline, table headings on every page, page numbers, links to the evidence."""

from __future__ import annotations

from collections.abc import Sequence

from fpdf.enums import XPos, YPos

from benchvoice.report import charts
from benchvoice.report.common import shown_refs, where
from benchvoice.report.model import Block, Bullets, Chart, Column, Length, Paragraph, Report, Section, Sentence, Table
from benchvoice.report.paper import Paper

BODY, LEADING = 9.6, 5.0
SMALL, SMALL_LEADING = 8.0, 4.1
SCALES = (1.0, 0.93, 0.86, 0.79, 0.72)
"""The one-page report is set smaller until it is one page; at the last size it is still read without a glass."""
SOFT, RULE, MARK = (95, 95, 95), (200, 200, 196), (122, 59, 18)
SERIES = ((38, 79, 120), (164, 85, 30), (76, 122, 52), (107, 74, 134))
BULLET_INDENT = 4.5
GAP = 3.2
"""Between two columns of a table."""


class _Page(Paper):
    """A report being set. body and small are type sizes in points, the leadings are in mm."""

    def __init__(self, report: Report, scale: float = 1.0) -> None:
        self.scale = scale
        self.body, self.leading = BODY * scale, LEADING * scale
        self.small, self.small_leading = SMALL * scale, SMALL_LEADING * scale
        foot = f"{report.title} · {report.words['date']}\t{report.words['page']}"
        super().__init__(
            paper=report.paper, title=report.title, language=report.language, made_at=report.made_at, footer=foot
        )
        self.report = report
        self.linked = any(section.key == "method" for section in report.sections) and bool(report.evidence)
        """The list of evidence is printed, and can be pointed to: not on the one-page report."""
        self.set_margins(20, 18, 20)
        self.c_margin = 0
        self.set_auto_page_break(True, margin=19)
        self.set_subject(report.subtitle)
        self.add_page()

    def space(self, height: float) -> None:
        """Go on to the next page unless `height` mm are left on this one."""
        if self.get_y() + height > self.page_break_trigger:
            self.add_page()

    def anchor(self, number: int) -> str:
        """The address inside the file of one row of the evidence list."""
        return f"#e{number}" if self.linked else ""

    def rule(self, weight: float, color: tuple[int, int, int] = (0, 0, 0)) -> None:
        self.set_line_width(weight)
        self.set_draw_color(*color)
        self.line(self.l_margin, self.get_y(), self.l_margin + self.epw, self.get_y())


def render(report: Report) -> bytes:
    """The whole PDF file."""
    for scale in SCALES if report.length is Length.PAGE else SCALES[:1]:
        page = _set(report, scale)
        if page.pages_count == 1:
            break
    return bytes(page.output())


def _set(report: Report, scale: float) -> _Page:
    page = _Page(report, scale)
    _front(page)
    for section in report.sections:
        _section(page, section)
    if page.linked:
        _evidence(page)
    return page


def _front(page: _Page) -> None:
    report, words = page.report, page.report.words
    page.set_font("head", "B", 17 * page.scale)
    for text in page.wrapped(report.title, page.epw):
        page.cell(0, 8.4 * page.scale, text, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
    page.set_font("body", size=10.5 * page.scale)
    for text in page.wrapped(report.subtitle, page.epw):
        page.cell(0, 5.6 * page.scale, text, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
    state = words["draft"] if report.revision is None else words["revision"].format(revision=report.revision)
    page.set_font("head", size=page.small)
    page.set_text_color(*SOFT)
    page.cell(0, 5, f"{state} · {words['made'].format(date=words['date'])}", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
    page.ln(2.5)
    page.set_draw_color(*MARK)
    page.set_text_color(*MARK)
    page.set_line_width(0.5)
    page.set_font("head", "B", 9)
    page.multi_cell(0, 7.5, page.known(report.badge), border=1, padding=(0, 3), new_x=XPos.LMARGIN, new_y=YPos.NEXT)
    page.ln(2.5)
    for name, value in report.identity:
        page.set_font("head", size=page.small)
        page.set_text_color(*SOFT)
        top = page.get_y()
        page.cell(42, page.leading, name, new_x=XPos.RIGHT, new_y=YPos.TOP)
        page.set_font("body", size=page.body)
        page.set_text_color(0)
        texts = page.wrapped(value, page.epw - 42)
        page.lines(texts, page.l_margin + 42, top, page.epw - 42, page.leading)
        page.set_xy(page.l_margin, top + page.leading * len(texts))


def _heading(page: _Page, title: str, level: int) -> None:
    page.space((24 if level == 1 else 17) * page.scale)
    if level == 1:
        page.ln(4.5 * page.scale)
        page.rule(0.5)
        page.ln(1.6 * page.scale)
        page.set_font("head", "B", 11.5 * page.scale)
    else:
        page.ln(1.6)
        page.set_font("head", "B", 9)
        page.set_text_color(*SOFT)
    page.start_section(page.known(title), level=level - 1)
    page.cell(0, (6.2 if level == 1 else 5.2) * page.scale, page.known(title), new_x=XPos.LMARGIN, new_y=YPos.NEXT)
    page.set_text_color(0)


def _section(page: _Page, section: Section) -> None:
    if section.new_page:
        page.add_page()
    _heading(page, section.title, section.level)
    for block in section.blocks:
        _block(page, block)


def _block(page: _Page, block: Block) -> None:
    if isinstance(block, Paragraph):
        page.space(2 * page.leading)
        _flow(page, block.sentences, lead=block.lead)
        page.ln(1.8)
    elif isinstance(block, Bullets):
        for item in block.items:
            page.space(page.leading)
            _flow(page, item.sentences, bullet="•")
            page.ln(0.7)
        page.ln(1)
    elif isinstance(block, Table):
        _table(page, block)
    elif isinstance(block, Chart):
        _chart(page, block)


def _flow(page: _Page, sentences: Sequence[Sentence], *, lead: str = "", bullet: str = "") -> None:
    """Sentences as running text, the numbers of their evidence behind them in small print, linked."""
    page.set_font("body", size=page.body)
    with (
        page.text_columns(line_height=page.leading / page.body * 72 / 25.4) as columns,
        columns.paragraph(indent=BULLET_INDENT if bullet else 0, bullet_string=bullet) as text,
    ):
        if lead:
            page.set_font("head", "B", page.small + 0.6)
            text.write(page.known(f"{lead}. "))
        for place, sentence in enumerate(sentences):
            page.set_font("body", size=page.body)
            text.write(page.known((" " if place else "") + sentence.text))
            page.set_font("head", size=6.2)
            refs, more = shown_refs(sentence.refs)
            for turn, number in enumerate(refs):
                before = " [" if turn == 0 else " "
                after = "," if turn < len(refs) - 1 else f", +{more}]" if more else "]"
                text.write(f"{before}{number}{after}", link=page.anchor(number) or None)
    page.set_font("body", size=page.body)


def _table(page: _Page, table: Table) -> None:
    widths = _widths(page, table.columns)
    page.space(26)
    page.ln(1)
    page.set_font("head", "B", page.small + 0.4)
    page.cell(0, 5.4, page.known(table.title), new_x=XPos.LMARGIN, new_y=YPos.NEXT)
    _table_head(page, table.columns, widths)
    for row in table.rows:
        page.set_font("body", size=page.small)
        cells = [page.wrapped(cell, width - GAP) for cell, width in zip(row.cells, widths, strict=True)]
        height = page.small_leading * max(len(lines) for lines in cells) + 1.2
        if page.get_y() + height > page.page_break_trigger:
            page.add_page()
            _table_head(page, table.columns, widths)
            page.set_font("body", size=page.small)
        _row(page, table.columns, widths, cells, height)
    page.ln(3.5)


def _widths(page: _Page, columns: Sequence[Column]) -> list[float]:
    whole = sum(column.weight for column in columns)
    return [page.epw * column.weight / whole for column in columns]


def _table_head(page: _Page, columns: Sequence[Column], widths: Sequence[float]) -> None:
    page.set_font("head", "B", page.small - 1)
    page.set_text_color(*SOFT)
    titles = [page.wrapped(column.title, width - GAP) for column, width in zip(columns, widths, strict=True)]
    height = page.small_leading * max(len(lines) for lines in titles)
    x, y = page.l_margin, page.get_y()
    for column, width, lines in zip(columns, widths, titles, strict=True):
        page.lines(lines, x, y, width - GAP, page.small_leading, "R" if column.numeric else "L")
        x += width
    page.set_xy(page.l_margin, y + height + 0.5)
    page.rule(0.3)
    page.set_text_color(0)
    page.ln(0.8)


def _row(
    page: _Page, columns: Sequence[Column], widths: Sequence[float], cells: Sequence[Sequence[str]], height: float
) -> None:
    x, y = page.l_margin, page.get_y()
    for column, width, lines in zip(columns, widths, cells, strict=True):
        page.lines(lines, x, y, width - GAP, page.small_leading, "R" if column.numeric else "L")
        x += width
    page.set_xy(page.l_margin, y + height - 0.4)
    page.rule(0.1, RULE)
    page.set_xy(page.l_margin, y + height)


def _chart(page: _Page, chart: Chart) -> None:
    scale = page.epw / charts.WIDTH
    height = charts.HEIGHT * scale
    page.space(height + 8)
    page.ln(1)
    page.set_font("head", "B", page.small + 0.4)
    page.cell(0, 5.4, page.known(chart.title), new_x=XPos.LMARGIN, new_y=YPos.NEXT)
    left, top = page.l_margin, page.get_y()
    for shape in charts.draw(chart):
        if isinstance(shape, charts.Line):
            _stroke(page, shape, left, top, scale)
        elif isinstance(shape, charts.Dot):
            page.set_fill_color(*SERIES[shape.series % len(SERIES)])
            page.circle(left + shape.x * scale, top + shape.y * scale, 4.5 * scale, style="F")
        else:
            _word(page, shape, left, top, scale)
    page.set_text_color(0)
    page.set_xy(left, top + height + 3)


def _stroke(page: _Page, shape: charts.Line, left: float, top: float, scale: float) -> None:
    color = {"grid": RULE, "limit": MARK}.get(shape.role, SOFT)
    page.set_draw_color(*color)
    page.set_line_width(0.35 if shape.role == "limit" else 0.15)
    if shape.role == "limit":
        page.set_dash_pattern(dash=1.6, gap=1.1)
    page.line(left + shape.x1 * scale, top + shape.y1 * scale, left + shape.x2 * scale, top + shape.y2 * scale)
    page.set_dash_pattern()


def _word(page: _Page, shape: charts.Text, left: float, top: float, scale: float) -> None:
    page.set_font("head", size=7)
    page.set_text_color(*(MARK if shape.role == "limit" else (0, 0, 0) if shape.role == "value" else SOFT))
    text = page.known(shape.text)
    width = page.get_string_width(text)
    shift = {"start": 0.0, "middle": width / 2, "end": width}[shape.anchor]
    page.text(left + shape.x * scale - shift, top + shape.y * scale, text)


def _evidence(page: _Page) -> None:
    """The list of evidence: number, time, words, and what they were read as."""
    words = page.report.words
    _heading(page, words["evidence"], 1)
    columns = (
        Column(title=words["column_number"], numeric=True, weight=0.6),
        Column(title=words["column_time"], weight=0.9),
        Column(title=words["column_words"], weight=3.4),
        Column(title=words["column_finding"], weight=3.6),
    )
    widths = _widths(page, columns)
    _table_head(page, columns, widths)
    for item in page.report.evidence:
        page.set_font("body", size=page.small)
        said = f"“{item.words}”" if item.words else f"({words['words_left_out']})"
        if item.heard:
            said += f" ({words['heard_as'].format(words=item.heard)})"
        texts = (str(item.number), where(item, words), said, item.says)
        cells = [page.wrapped(text, width - GAP) for text, width in zip(texts, widths, strict=True)]
        height = page.small_leading * max(len(lines) for lines in cells) + 1.2
        if page.get_y() + height > page.page_break_trigger:
            page.add_page()
            _table_head(page, columns, widths)
            page.set_font("body", size=page.small)
        page.set_link(name=f"e{item.number}", y=page.get_y())
        _row(page, columns, widths, cells, height)
