"""``stackopt shop use``: what goes into an engine, as it was chosen or as the builder says that he took it."""

from __future__ import annotations

from collections.abc import Sequence

import click
from msgspec.structs import replace

from stackopt.choose.tried.hand import pieces_in_hand
from stackopt.choose.tried.stacks import Tried
from stackopt.choose.tried.taken import as_measured, as_taken, parts_taken, tried_in_hand
from stackopt.cli.agreeing import check_agreed
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import noted_options
from stackopt.cli.tables import print_pieces
from stackopt.problems import InputError
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import Ledger, open_ledger


@click.command(
    epilog=examples("shop use J-104", "shop use J-104 --took front=BG-050+HG-050 --took 'rear=0.51 mm+HG-050'")
)
@noted_options
@click.option("--yes", is_flag=True, help="Take it without being asked, though a piece is lacking or a limit broken.")
@click.option(
    "--took",
    metavar="CYLINDER=BASE+HEAD",
    multiple=True,
    help="What was really taken for a cylinder in place of what was chosen: part numbers, or measured thicknesses as "
    "'0.51 mm' of pieces that no list has. Once for each cylinder.",
)
@click.argument("engine")
def use(ledger: str, note: Note, engine: str, *, yes: bool, took: tuple[str, ...]) -> None:
    """Take what an engine holds off the shelf for good: it is being fitted. What it lacks is named and asked.

    With --took the builder says what he took: that leaves the shelf, what was chosen in its place is free again, and
    what is measured later is learned of the parts that were taken. It also mends an earlier use.
    """
    opened = open_ledger(ledger)
    if took:
        _use_taken(opened, note, engine, took, yes=yes)
        return
    lacks = opened.lacking(engine)
    if lacks and not yes:
        said = ", ".join(f"{quantity} of {number}" for number, quantity in lacks.items())
        check_agreed(f"{engine} lacks {said}, which its choice needs. Take the rest all the same?")
    print_pieces(f"Into {engine}", opened.use(engine, note))


def _use_taken(opened: Ledger, note: Note, engine: str, took: Sequence[str], *, yes: bool) -> None:
    chosen, supply = opened.build(engine).chosen, opened.supply(asking=[engine], at=opened.build(engine).chosen.branch)
    try:
        hand = as_measured(pieces_in_hand(chosen.engine, supply, took))
    except InputError as error:
        raise _of_this_option(error) from None
    tried = tried_in_hand(chosen, supply, hand)
    broken = [words for one in tried for words in _broken(one)]
    for words in broken:
        click.echo(words, err=True)
    if broken and not yes:
        check_agreed(f"What was taken for {engine} breaks a limit. Write it down all the same?")
    taken = replace(chosen, fitted=as_taken(chosen.fitted, tried), parts=parts_taken(chosen, tried))
    into = opened.use_taken(taken, frozenset(hand), note)
    print_pieces(f"Into {engine}", into)
    for one in tried:
        if one.cylinder in hand and one.quench_mm is not None:
            pieces = " + ".join(part.number for part in one.pieces)
            click.echo(f"{one.cylinder}: {pieces}, quench {one.quench_mm:.3f} mm")


def _broken(tried: Tried) -> list[str]:
    return [f"{tried.cylinder}: {words}" for words in tried.broken]


def _of_this_option(error: InputError) -> InputError:
    return InputError(*(replace(each, place=replace(each.place, item="--took")) for each in error.problems))
