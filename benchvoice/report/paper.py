"""A sheet of paper with our fonts: what the report's PDF and the labels share. The only place that knows fpdf2."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from fpdf import FPDF

from benchvoice.errors import BenchvoiceError

FONT_FILES = {
    ("body", ""): "DejaVuSerif.ttf",
    ("body", "B"): "DejaVuSerif-Bold.ttf",
    ("body", "I"): "DejaVuSerif-Italic.ttf",
    ("head", ""): "DejaVuSans.ttf",
    ("head", "B"): "DejaVuSans-Bold.ttf",
}
"""DejaVu has the signs that the built-in PDF fonts lack (inch mark, less-or-equal, curly quotes)."""
PAPERS = {"a4": "A4", "letter": "Letter"}
UNKNOWN = "\ufffd"


@cache
def font_folder() -> Path:
    """The folder of the DejaVu fonts that matplotlib ships; found without importing it."""
    spec = find_spec("matplotlib")
    for home in (spec.submodule_search_locations or ()) if spec else ():
        folder = Path(home) / "mpl-data" / "fonts" / "ttf"
        if (folder / FONT_FILES[("body", "")]).is_file():
            return folder
    raise BenchvoiceError("The fonts for PDF files are missing.", hint="Install matplotlib again: it brings them.")


class Paper(FPDF):
    """Text in our two typefaces. A sign that they lack is drawn as the replacement sign, never as something else."""

    def __init__(self, *, paper: str = "a4", title: str, language: str, made_at: datetime, footer: str = "") -> None:
        if paper not in PAPERS:
            raise BenchvoiceError(f"There is no paper size {paper!r}.", hint=f"There are: {', '.join(PAPERS)}.")
        super().__init__(unit="mm", format=PAPERS[paper])
        self._footer = footer
        self._widths: dict[tuple[str, str, float, str], float] = {}
        for (family, style), name in FONT_FILES.items():
            self.add_font(family, style, font_folder() / name)
        self.set_title(title)
        self.set_lang(language)
        self.set_creator("benchvoice")
        self.set_creation_date(made_at)
        self.set_display_mode("fullwidth")
        self.set_compression(True)

    def footer(self) -> None:
        """The running foot: what this is, and the page of how many."""
        if not self._footer:
            return
        self.set_y(-13)
        self.set_font("head", size=7.5)
        self.set_text_color(95)
        left, right = self._footer.split("\t")
        self.cell(self.epw * 0.7, 4, self.known(left))
        self.cell(self.epw * 0.3, 4, right.format(page=self.page_no(), pages="{nb}"), align="R")
        self.set_text_color(0)

    def known(self, text: str) -> str:
        """The text with signs that the current font can draw."""
        glyphs = self.current_font.cmap  # type: ignore[union-attr]
        return "".join(sign if ord(sign) in glyphs or sign in " \n" else UNKNOWN for sign in text)

    def wrapped(self, text: str, width: float, *, most: int | None = None) -> list[str]:
        """The text in lines of the current font, at most `width` mm wide; a longer word is cut. With `most`, the last
        line ends in an ellipsis if more would follow.
        """
        lines: list[str] = []
        current, used = "", 0.0
        space = self._width(" ")
        for word in self.known(text).split():
            for piece in self._pieces(word, width):
                need = self._width(piece)
                if current and used + space + need > width:
                    lines.append(current)
                    current, used = piece, need
                elif current:
                    current, used = f"{current} {piece}", used + space + need
                else:
                    current, used = piece, need
        lines.append(current)
        if most is not None and len(lines) > most:
            last = lines[most - 1]
            while last and self._width(last + "…") > width:
                last = last[:-1]
            lines = [*lines[: most - 1], last.rstrip() + "…"]
        return lines

    def lines(self, texts: Sequence[str], x: float, y: float, width: float, step: float, align: str = "L") -> None:
        """Lines below each other, the first one's box beginning at y. Cheaper than cells, which measure every time."""
        rise = step / 2 + 0.3 * self.font_size
        for place, text in enumerate(texts):
            if text:
                shift = width - self._width(text) if align == "R" else 0.0
                self.text(x + shift, y + place * step + rise, text)

    def _pieces(self, word: str, width: float) -> list[str]:
        if self._width(word) <= width:
            return [word]
        out: list[str] = []
        current = ""
        for sign in word:
            if current and self._width(current + sign) > width:
                out.append(current)
                current = ""
            current += sign
        return [*out, current]

    def _width(self, text: str) -> float:
        key = (self.font_family, self.font_style, self.font_size_pt, text)
        found = self._widths.get(key)
        if found is None:
            found = self._widths[key] = self.get_string_width(text)
        return found
