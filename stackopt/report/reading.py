"""The guide's Markdown as a page on the terminal."""

from __future__ import annotations

from rich.console import Console
from rich.markdown import Markdown


def markdown_page(markdown: str) -> str:
    """Return Markdown as text for the terminal, as wide as the terminal is."""
    console = Console()
    with console.capture() as captured:
        console.print(Markdown(markdown))
    return captured.get()
