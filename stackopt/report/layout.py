"""How every table on the terminal is laid out: one look, so that 80 columns and no colour are enough."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from msgspec import Struct
from rich import box
from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

INDENT = 2


def table(*columns: str, right: tuple[str, ...] = (), whole: tuple[str, ...] = (), heads: bool = True) -> Table:
    """Return an empty table with these column heads; those named in `right` are set flush right.

    The cells of those named in `whole` stay on one line each: a length is not parted from its unit.
    """
    laid = Table(
        box=box.SIMPLE_HEAD,
        show_header=heads,
        show_edge=False,
        pad_edge=False,
        padding=(0, 1, 0, 0),
        header_style="bold",
    )
    for head in columns:
        justify: Literal["left", "right"] = "right" if head in right else "left"
        laid.add_column(head, justify=justify, vertical="top", no_wrap=head in whole)
    return laid


def bullets(lines: Iterable[str]) -> Table:
    """Return one line each after a dash; what does not fit on a line goes on under its words, not under the dash."""
    laid = table("", "", heads=False)
    for line in lines:
        laid.add_row("-", line)
    return laid


class Indented(Struct, frozen=True):
    """Content set in from the left edge, and otherwise as it would stand: nothing measures it a second time."""

    content: Table | Text

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Yield the lines of the content, each after its indent."""
        inner = options.update(width=options.max_width - INDENT)
        for line in console.render_lines(self.content, inner, pad=False):
            yield Segment(" " * INDENT)
            yield from line
            yield Segment.line()


def indented(content: Table | Text) -> Indented:
    """Set content in from the left edge, under its heading."""
    return Indented(content)


def heading(words: str, style: str = "bold") -> Text:
    """Return a heading that stands out with and without colour."""
    return Text(words, style=style)


def captured_text(console: Console, sections: Iterable[Sequence[RenderableType]]) -> str:
    """Return sections as text for a console, a blank line after each; empty ones are left out."""
    with console.capture() as captured:
        for section in sections:
            for content in section:
                console.print(content)
            if section:
                console.print()
    return "\n".join(line.rstrip() for line in captured.get().rstrip().splitlines())
