"""Plain tables on the terminal, for what the ledger says."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import click

LONGEST_RULE = 60


def print_table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Print rows under their heads, columns aligned; numbers are set flush right.

    Lines are as long as they need: nothing is cut off, since a part number cut off is another part. Only the rules
    under the heads stop where they have underlined enough.
    """
    laid = list(rows)
    texts = [[" ".join(str(cell).splitlines()) for cell in row] for row in laid]
    widths = [max(len(line[column]) for line in [heads, *texts]) for column in range(len(heads))]
    numeric = [all(isinstance(row[column], int | float) for row in laid) for column in range(len(heads))]
    for line in [list(heads), ["─" * min(width, LONGEST_RULE) for width in widths], *texts]:
        cells = (
            text.rjust(w) if right else text.ljust(w) for text, w, right in zip(line, widths, numeric, strict=True)
        )
        click.echo("  ".join(cells).rstrip())


def print_pieces(words: str, pieces: Mapping[str, int]) -> None:
    """Print how many pieces of which parts."""
    said = ", ".join(f"{quantity} of {number}" for number, quantity in pieces.items())
    click.echo(f"{words}: {said or 'nothing'}")
