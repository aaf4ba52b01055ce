"""A drawing as SVG text for a page: no style of its own, so that the page's sheet decides on light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from stackopt.report.drawings.shapes import TONES, Area, Circle, Drawing, Label, Line, Point, Shape, Tone

FONT = "system-ui, 'Liberation Sans', sans-serif"


def svg_text(drawing: Drawing, name: str) -> str:
    """Return a drawing as an SVG element; `name` tells its parts from those of others on the same page.

    A screen reader reads title and description. Tones are classes, with a plain colour where no sheet names them.
    """
    size = f'viewBox="0 0 {_number(drawing.width_mm)} {_number(drawing.height_mm)}"'
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" width="{_number(drawing.width_mm)}mm" '
        f'height="{_number(drawing.height_mm)}mm" {size} font-family="{FONT}" '
        f'aria-labelledby="{name}-title" aria-describedby="{name}-says">'
    )
    told = (
        f'<title id="{name}-title">{escape(drawing.title)}</title><desc id="{name}-says">{escape(drawing.says)}</desc>'
    )
    paper = f'<rect width="100%" height="100%" {_paint("fill", Tone.PAPER)}/>'
    return "\n".join([head, told, paper, *_elements(drawing.shapes), "</svg>"])


def _elements(shapes: tuple[Shape, ...]) -> Iterator[str]:
    for shape in shapes:
        match shape:
            case Line():
                dashes = ' stroke-dasharray="1.6 1.2"' if shape.dashed else ""
                yield (
                    f'<polyline points="{_points(shape.points)}" fill="none" {_paint("stroke", shape.tone)} '
                    f'stroke-width="{shape.width_mm}"{dashes}/>'
                )
            case Area():
                yield f'<polygon points="{_points(shape.points)}" {_inked(shape.fill, shape.edge, shape.width_mm)}/>'
            case Circle():
                x, y = shape.centre
                yield (
                    f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(shape.radius_mm)}" '
                    f"{_inked(shape.fill, shape.edge, shape.width_mm)}/>"
                )
            case Label():
                yield _label(shape)


def _label(label: Label) -> str:
    x, y = label.at
    weight = ' font-weight="700"' if label.bold else ""
    return (
        f'<text x="{_number(x)}" y="{_number(y + 0.35 * label.size_mm)}" font-size="{label.size_mm}" '
        f'text-anchor="{label.anchor}"{weight} {_paint("fill", label.tone)}>{escape(label.words)}</text>'
    )


def _inked(fill: Tone | None, edge: Tone | None, width_mm: float) -> str:
    filled = 'fill="none"' if fill is None else _paint("fill", fill)
    if edge is None:
        return filled
    # An element has one class attribute: both paints stand in it.
    filled_class = "" if fill is None else f"fill-{fill} "
    plain = 'fill="none"' if fill is None else f'fill="{_colour(fill)}"'
    return f'class="{filled_class}stroke-{edge}" {plain} stroke="{_colour(edge)}" stroke-width="{width_mm}"'


def _paint(what: str, tone: Tone) -> str:
    return f'class="{what}-{tone}" {what}="{_colour(tone)}"'


def _colour(tone: Tone) -> str:
    return "#{:02x}{:02x}{:02x}".format(*TONES[tone])


def _points(points: tuple[Point, ...]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
