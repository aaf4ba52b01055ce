"""The card as HTML: a part of a page, or a page of its own that needs nothing else."""

from __future__ import annotations

from importlib.resources import files

import segno
from jinja2 import Environment, PackageLoader
from markupsafe import Markup

from stackopt.report.card.sheet import CardSheet
from stackopt.report.card.words import heading_words, piece_words, result_words, steps_words
from stackopt.report.drawings.svg import svg_text
from stackopt.report.wording import written_date

PAGES = Environment(
    loader=PackageLoader("stackopt.report.card", "."), autoescape=True, trim_blocks=True, lstrip_blocks=True
)


def card_part(sheet: CardSheet, address: str = "") -> Markup:
    """Return the card of an engine as a part of a page; `address` is where the engine's page is, empty for no code."""
    return Markup(PAGES.get_template("part.html.j2").render(**_content(sheet, address)))


def card_page(sheet: CardSheet, address: str = "") -> str:
    """Return the card of an engine as a page of its own, its style with it."""
    style = Markup(files("stackopt.report.card").joinpath("card.css").read_text(encoding="utf-8"))
    return PAGES.get_template("page.html.j2").render(sheet=sheet, part=card_part(sheet, address), style=style)


def _content(sheet: CardSheet, address: str) -> dict[str, object]:
    return {
        "sheet": sheet,
        "heading": heading_words(sheet),
        "steps": " ".join(steps_words(sheet)),
        "piece_words": piece_words,
        "result_words": result_words,
        "svg": lambda drawing, name: Markup(svg_text(drawing, name)),
        "code": Markup(_code(address)) if address else "",
        "address": address,
        "printed": written_date(sheet.day),
        "hand_rows": range(3),
    }


def _code(address: str) -> str:
    return segno.make(address, error="m", micro=False).svg_inline(
        border=4, omitsize=True, svgclass="code", lineclass=None
    )
