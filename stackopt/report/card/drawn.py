"""Drawings on a sheet of paper: each shape by the PDF library's own strokes, so that they stay sharp at any size."""

from __future__ import annotations

from fpdf import FPDF
from fpdf.enums import RenderStyle

from stackopt.report.drawings.shapes import TONES, Area, Circle, Drawing, Label, Line, Point, Shape, Tone
from stackopt.units import MM_PER_INCH

POINTS_PER_INCH = 72.0
# How far below the middle of a line of letters its foot lies, in parts of their height.
FOOT = 0.35


def put_drawing(pdf: FPDF, drawing: Drawing, corner: Point, scale: float) -> None:
    """Put a drawing on the page, its upper left at a place in mm, so many times its own size."""
    for shape in drawing.shapes:
        _put(pdf, shape, corner, scale)
    pdf.set_draw_color(0)
    pdf.set_text_color(0)


def _put(pdf: FPDF, shape: Shape, corner: Point, scale: float) -> None:
    match shape:
        case Line():
            _stroke(pdf, shape.tone, shape.width_mm * scale)
            if shape.dashed:
                pdf.set_dash_pattern(dash=1.6 * scale, gap=1.2 * scale)
            pdf.polyline([_at(point, corner, scale) for point in shape.points])
            pdf.set_dash_pattern()
        case Area():
            points = [_at(point, corner, scale) for point in shape.points]
            pdf.set_fill_color(*TONES[shape.fill])
            _stroke(pdf, shape.edge or shape.fill, shape.width_mm * scale)
            pdf.polygon(points, style=RenderStyle.DF if shape.edge else RenderStyle.F)
        case Circle():
            x, y = _at(shape.centre, corner, scale)
            pdf.set_fill_color(*TONES[shape.fill or Tone.PAPER])
            _stroke(pdf, shape.edge, shape.width_mm * scale)
            style = RenderStyle.D if shape.fill is None else RenderStyle.DF
            pdf.circle(x=x, y=y, radius=shape.radius_mm * scale, style=style)
        case Label():
            _label(pdf, shape, corner, scale)


def _label(pdf: FPDF, label: Label, corner: Point, scale: float) -> None:
    pdf.set_font(style="B" if label.bold else "", size=label.size_mm * scale / MM_PER_INCH * POINTS_PER_INCH)
    pdf.set_text_color(*TONES[label.tone])
    x, y = _at(label.at, corner, scale)
    words = plain(label.words)
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor] * pdf.get_string_width(words)
    pdf.text(x - back, y + FOOT * label.size_mm * scale, words)


def _stroke(pdf: FPDF, tone: Tone, width_mm: float) -> None:
    pdf.set_draw_color(*TONES[tone])
    pdf.set_line_width(width_mm)


def _at(point: Point, corner: Point, scale: float) -> Point:
    return corner[0] + point[0] * scale, corner[1] + point[1] * scale


def plain(words: str) -> str:
    """Return words with signs that every font here has in place of some that few have."""
    return words.replace("–", "-").replace("…", "...").replace("−", "-").replace("’", "'")
