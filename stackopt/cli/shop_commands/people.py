"""``stackopt shop who``: whom the shop knows, and what each may do."""

from __future__ import annotations

import click

from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import noted_options
from stackopt.cli.printing import print_json
from stackopt.cli.tables import print_table
from stackopt.shop.database.note import Note
from stackopt.shop.database.rights import HOW_TO_BEGIN, Person, Right
from stackopt.shop.ledger import Ledger, open_ledger


@click.command(
    epilog=examples("shop who", "shop who ana take order undo settle", "shop who ben take", "shop who ben --forget")
)
@noted_options
@click.option("--forget", is_flag=True, help="Know this name no more.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of a table.")
@click.argument("name", required=False)
@click.argument("rights", nargs=-1, type=click.Choice([right.value for right in Right]), metavar="[RIGHT...]")
def who(  # noqa: PLR0913 - one for each option
    ledger: str, note: Note, *, forget: bool, as_json: bool, name: str | None, rights: tuple[str, ...]
) -> None:
    """List whom the shop knows and what each may do, or say what NAME may do from now on.

    look: read everything. take: hold, release, use, return, receive, measure. order: draft, send, confirm, cancel, what
    was said on the telephone. undo: take back what one may do oneself. settle: load, count, correct, scrap, adopt,
    close, and say who may do what. Everybody who is known may look; while nobody is, everybody may do everything.
    """
    opened = open_ledger(ledger)
    if forget and (name is None or rights):
        raise click.UsageError("Say whom to forget, and nothing else: stackopt shop who NAME --forget")
    if name is not None and name.strip() and (forget or rights):
        _change(opened, note, name.strip(), rights, forget=forget)
        return
    people = [each for each in opened.people() if name is None or each.name == name]
    if as_json:
        print_json([_document(each) for each in people])
    elif people:
        print_table(("name", "may"), [(each.name, each.words) for each in people])
    elif name is None:
        click.echo(f"No name is known: everybody may do everything. Begin: {HOW_TO_BEGIN}")
    else:
        click.echo(f"The shop does not know {name}. To let him look: stackopt shop who {name} look")


def _change(opened: Ledger, note: Note, name: str, rights: tuple[str, ...], *, forget: bool) -> None:
    if forget:
        opened.forget(name, note)
        click.echo(f"{name} is no longer known." + ("" if opened.people() else " Everybody may do everything again."))
        return
    person = Person(name, frozenset(Right(right) for right in rights))
    first = not opened.people()
    opened.allow(person, note)
    click.echo(f"{name} may {person.words}." + (" Nobody else may do anything until he is named." if first else ""))


def _document(person: Person) -> dict[str, object]:
    return {"name": person.name, "may": [right.value for right in Right if right in {*person.rights, Right.LOOK}]}
