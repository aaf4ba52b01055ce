"""The card as a PDF: one engine on one sheet, A4 or Letter, black and white enough."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator, Sequence
from pathlib import Path

import segno
from fpdf import FPDF
from msgspec.structs import replace

from stackopt.problems import InputError, Place, Problem
from stackopt.report.card.drawn import plain, put_drawing
from stackopt.report.card.sheet import CardSheet, SheetCylinder
from stackopt.report.card.words import heading_words, piece_words, result_words, steps_words
from stackopt.report.wording import written_date

SIZES = ("a4", "letter")
MARGIN_MM, CODE_MM, GAP_MM = 10.0, 20.0, 6.0
LINE_MM, ROW_MM, HAND_ROWS = 3.9, 7.0, 4
HEAD_MM = 24.0
HAND_HEADS = ("where", "with what", "quench read")
FONT = "card"
# Cylinders side by side on a page: of more, words would be cut.
A_PAGE = 2
# Smaller letters are read by nobody at the bench.
LEAST_POINTS = 7.0
# Below it the words of the map are smaller than 5 points.
LEAST_SCALE = 0.6


def card_pdf(sheet: CardSheet, size: str = "a4", address: str = "") -> bytes:
    """Return the card of an engine as a PDF.

    Parameters
    ----------
    sheet
        What stands on it.
    size
        ``a4`` or ``letter``.
    address
        Where the engine's page is, for the code that opens it; none is drawn without.

    Raises
    ------
    InputError
        When a name holds letters that no font here has.
    """
    pdf = FPDF(format=size, unit="mm")
    pdf.set_auto_page_break(auto=False)
    pdf.set_margin(MARGIN_MM)
    pdf.set_title(f"Card for {sheet.engine}")
    pdf.set_author("stackopt")
    _choose_font(pdf, sheet)
    pages = [sheet.cylinders[first : first + A_PAGE] for first in range(0, len(sheet.cylinders), A_PAGE)] or [()]
    for number, cylinders in enumerate(pages, start=1):
        of_several = f", page {number} of {len(pages)}" if len(pages) > 1 else ""
        _page(pdf, replace(sheet, cylinders=tuple(cylinders)), address, of_several)
    return bytes(pdf.output())


def _page(pdf: FPDF, sheet: CardSheet, address: str, of_several: str) -> None:
    """Put as many cylinders on a page as can be read there, each with its boxes; head and cautions on every page."""
    pdf.add_page()
    top = _head(pdf, sheet, address, of_several)
    bottom = pdf.h - MARGIN_MM - _foot_height(pdf, sheet)
    width = _column_width(pdf, sheet)
    for number, cylinder in enumerate(sheet.cylinders):
        _column(pdf, cylinder, (MARGIN_MM + number * (width + GAP_MM), top), (width, bottom))
    _foot(pdf, sheet, bottom)


def _column_width(pdf: FPDF, sheet: CardSheet) -> float:
    columns = max(1, len(sheet.cylinders))
    return float((pdf.epw - GAP_MM * (columns - 1)) / columns)


def _choose_font(pdf: FPDF, sheet: CardSheet) -> None:
    """Take the font that every reader has; where a name needs more letters, one that lies on this machine."""
    words = plain("".join(_all_words(sheet)))
    if all(ord(letter) < 256 for letter in words):
        pdf.set_font("helvetica", size=9)
        return
    found = _wide_font()
    if found is None:
        foreign = "".join(sorted({letter for letter in words if ord(letter) > 255}))
        mend = "Write the card as .html, or install matplotlib, which brings a font along: pip install matplotlib"
        raise InputError(Problem(Place(sheet.engine), foreign, "letters that a font on this machine has", mend))
    pdf.add_font(FONT, style="", fname=found)
    pdf.add_font(FONT, style="B", fname=found.with_name("DejaVuSans-Bold.ttf"))
    pdf.set_font(FONT, size=9)


def _wide_font() -> Path | None:
    """Return a font with many letters: the one that matplotlib brings along, or that of the system."""
    spec = importlib.util.find_spec("matplotlib")
    folders = [Path("/usr/share/fonts/truetype/dejavu")]
    if spec is not None and spec.origin is not None:
        folders.insert(0, Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf")
    return next((folder / "DejaVuSans.ttf" for folder in folders if (folder / "DejaVuSans.ttf").exists()), None)


def _all_words(sheet: CardSheet) -> Iterator[str]:
    yield from (sheet.engine, heading_words(sheet), *sheet.cautions, *steps_words(sheet))
    for cylinder in sheet.cylinders:
        yield from (cylinder.name, *(words for pair in cylinder.read for words in pair), *result_words(cylinder))
        yield from (words for piece in cylinder.pieces for words in piece_words(piece))
        drawings = [drawing for drawing in (cylinder.section, cylinder.map) if drawing is not None]
        yield from (label.words for drawing in drawings for label in drawing.labels)


def _head(pdf: FPDF, sheet: CardSheet, address: str, of_several: str) -> float:
    """Write who the card is for; return where what follows begins."""
    _text(pdf, (MARGIN_MM, MARGIN_MM + 6), f"Card for {sheet.engine}{of_several}", 18, bold=True)
    _text(pdf, (MARGIN_MM, MARGIN_MM + 12), heading_words(sheet), 9.5)
    _text(pdf, (MARGIN_MM, MARGIN_MM + 17), " ".join(steps_words(sheet)), 8.5)
    if address:
        _code(pdf, address, (pdf.w - MARGIN_MM - CODE_MM, MARGIN_MM))
    pdf.set_line_width(0.4)
    pdf.line(
        MARGIN_MM, MARGIN_MM + HEAD_MM - 2, pdf.w - MARGIN_MM - (CODE_MM + 2 if address else 0), MARGIN_MM + HEAD_MM - 2
    )
    return MARGIN_MM + HEAD_MM


def _code(pdf: FPDF, address: str, corner: tuple[float, float]) -> None:
    """Draw the code that opens the engine's page, a quiet zone of four modules around it (ISO/IEC 18004)."""
    rows = [bytes(row) for row in segno.make(address, error="m", micro=False).matrix_iter(border=4)]
    module = CODE_MM / len(rows)
    pdf.set_fill_color(0)
    for down, row in enumerate(rows):
        for across, dark in enumerate(row):
            if dark:
                # A hair wider than a module, so that no reader sees white lines between them.
                pdf.rect(
                    corner[0] + across * module, corner[1] + down * module, module * 1.02, module * 1.02, style="F"
                )


def _column(pdf: FPDF, cylinder: SheetCylinder, corner: tuple[float, float], room: tuple[float, float]) -> None:
    """Write one cylinder: what was read, what goes on it, what comes out, then its drawings in what room is left."""
    (left, y), (width, bottom) = corner, room
    _text(pdf, (left, y + 4), cylinder.name, 13, bold=True)
    y += 9
    for name, words in cylinder.read:
        _pair(pdf, (left, y), name, words, width)
        y += LINE_MM
    y += 1.5
    for piece in cylinder.pieces:
        what, source = piece_words(piece)
        _put(pdf, (left, y, width), what, 10, bold=True)
        _put(pdf, (left + 4, y + LINE_MM, width - 4), source, 8.5)
        y += 2 * LINE_MM + 0.8
    for words in (*cylinder.work, *result_words(cylinder)):
        _put(pdf, (left, y, width), words, 9)
        y += LINE_MM + 0.3
    _drawings(pdf, cylinder, (left, y - 1), (width, bottom - 1))


def _drawings(pdf: FPDF, cylinder: SheetCylinder, corner: tuple[float, float], room: tuple[float, float]) -> None:
    """Draw the section as wide as the column; the map below it where its words can be read, else it is on the page."""
    drawings = [drawing for drawing in (cylinder.section, cylinder.map) if drawing is not None]
    (left, y), (width, bottom) = corner, room
    for number, drawing in enumerate(drawings):
        scale = min(width / drawing.width_mm, (bottom - y) / drawing.height_mm)
        if number and scale < LEAST_SCALE:
            return
        put_drawing(pdf, drawing, (left, y), scale)
        y += drawing.height_mm * scale


def _foot_height(pdf: FPDF, sheet: CardSheet) -> float:
    pdf.set_font(style="", size=7.5)
    lines = sum(len(_broken(pdf, words, pdf.epw - 4)) for words in sheet.cautions)
    return ROW_MM * (HAND_ROWS + 1) + 8 + 3.3 * lines + 12


def _foot(pdf: FPDF, sheet: CardSheet, top: float) -> None:
    """Write boxes for what is measured at mock-up, the cautions, and who did it."""
    width = _column_width(pdf, sheet)
    for number, cylinder in enumerate(sheet.cylinders):
        left = MARGIN_MM + number * (width + GAP_MM)
        _text(pdf, (left, top + 4), f"{cylinder.name}: measured at mock-up", 9, bold=True)
        _boxes(pdf, left, top + 6, width)
    y = top + 8 + ROW_MM * (HAND_ROWS + 1)
    pdf.set_font(style="", size=7.5)
    for words in sheet.cautions:
        for line_number, line in enumerate(_broken(pdf, words, pdf.epw - 4)):
            _text(pdf, (MARGIN_MM, y + 2.5), f"{'- ' if not line_number else '  '}{line}", 7.5)
            y += 3.3
    y = pdf.h - MARGIN_MM - 1
    _text(pdf, (MARGIN_MM, y), f"Printed {written_date(sheet.day)}", 8)
    _text(pdf, (MARGIN_MM + 50, y), "Date", 8)
    _text(pdf, (MARGIN_MM + 105, y), "Name", 8)
    pdf.set_line_width(0.3)
    pdf.line(MARGIN_MM + 58, y, MARGIN_MM + 100, y)
    pdf.line(MARGIN_MM + 115, y, pdf.w - MARGIN_MM, y)


def _boxes(pdf: FPDF, left: float, top: float, width: float) -> None:
    pdf.set_line_width(0.25)
    cell = width / len(HAND_HEADS)
    for column, words in enumerate(HAND_HEADS):
        _text(pdf, (left + column * cell + 1, top + 4.5), words, 8)
        for row in range(HAND_ROWS + 1):
            pdf.rect(left + column * cell, top + row * ROW_MM, cell, ROW_MM)


def _pair(pdf: FPDF, at: tuple[float, float], name: str, words: str, width: float) -> None:
    _text(pdf, at, name, 8)
    _put(pdf, (at[0] + 22, at[1], width - 22), words, 8.5)


def _text(pdf: FPDF, at: tuple[float, float], words: str, points: float, *, bold: bool = False) -> None:
    pdf.set_font(style="B" if bold else "", size=points)
    pdf.text(*at, plain(words))


def _put(pdf: FPDF, at: tuple[float, float, float], words: str, points: float, *, bold: bool = False) -> None:
    """Write words in a width: smaller where they are longer, and cut, the cut shown, where they could not be read."""
    left, y, width = at
    pdf.set_font(style="B" if bold else "", size=points)
    whole = pdf.get_string_width(plain(words))
    size = max(LEAST_POINTS, min(points, points * width / whole)) if whole else points
    pdf.set_font(style="B" if bold else "", size=size)
    kept = words
    while kept and pdf.get_string_width(plain(kept if kept == words else f"{kept}…")) > width + 0.1:
        kept = kept[:-1]
    _text(pdf, (left, y), kept if kept == words else f"{kept}…", size, bold=bold)


def _broken(pdf: FPDF, words: str, width: float) -> Sequence[str]:
    """Break words into lines of a width."""
    lines = [""]
    for word in plain(words).split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and pdf.get_string_width(longer) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
