"""``stackopt shop ask`` and ``answered``: what stands in no list, asked on the telephone, and what was said."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from stackopt.choose.asking import Refused, calls, what_to_ask
from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import plan
from stackopt.cli.amounts import Money
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import MOST_PIECES, looking_options, noted_options
from stackopt.cli.printing import print_json
from stackopt.cli.shop_commands.board import today_option
from stackopt.cli.shop_commands.lengths import Length
from stackopt.parts.part_records import ANY_FAMILY, Kind, Offer, Part, PriceTier
from stackopt.report.shop.calls import calls_document, calls_text
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import Ledger, open_ledger
from stackopt.units import money

ASKED_ABOUT = [kind.value for kind in (Kind.BASE_GASKET, Kind.HEAD_GASKET, Kind.BASE_SHIM)]
MOST_DAYS = 3650


@click.command()
@looking_options
@today_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of text.")
def ask(ledger: str, today: date, *, as_json: bool) -> None:
    """Say what to telephone about: the gaskets in no list that would finish an engine, and who sells the like.

    Every run of thicknesses that would do is told, and the best of them; nothing is told that was not solved.
    """
    opened = open_ledger(ledger)
    engines = opened.engines()
    supply = opened.supply(asking=[engine.name for engine in engines], today=today, at="")
    request = Request(engines, today)
    wanted = what_to_ask(request, supply, plan(request, supply)) if engines else ()
    found = calls(wanted, supply, opened.refused())
    if as_json:
        print_json(calls_document(found))
    else:
        click.echo(calls_text(found))


@click.command(
    epilog=examples(
        "shop answered Varnik HG-045 --kind 'head gasket' --fits KV82 --thickness '0.45 mm' --price 24.00 --days 12",
        "shop answered Varnik --does-not-make 'head gasket' KV82 '0.45 mm'",
    )
)
@noted_options
@today_option
@click.option("--kind", type=click.Choice(ASKED_ABOUT), help="What the part is; not needed for one that is listed.")
@click.option("--fits", metavar="FAMILIES", help="The families it fits, ; between them.")
@click.option("--thickness", type=Length(), metavar="LENGTH", help="Installed thickness with its unit, as '0.45 mm'.")
@click.option("--opening", type=Length(), metavar="LENGTH", help="Diameter of a head gasket's opening.")
@click.option("--price", type=Money(), metavar="MONEY", help="What a pack costs.")
@click.option("--days", type=click.IntRange(0, MOST_DAYS), metavar="N", help="Calendar days until it is here.")
@click.option("--pack", type=click.IntRange(1, MOST_PIECES), default=1, show_default=True, help="Pieces in a pack.")
@click.option(
    "--does-not-make",
    "no",
    type=(click.Choice(ASKED_ABOUT), str, Length()),
    metavar="KIND FAMILY THICKNESS",
    help="He does not make this kind for this family in this thickness.",
)
@click.argument("supplier")
@click.argument("part", required=False)
def answered(ledger: str, note: Note, today: date, supplier: str, part: str | None, **said: Any) -> None:
    """Write down what was said on the telephone: an offer (special order) from then on, or a no."""
    opened = open_ledger(ledger)
    if said["no"] is not None:
        _store_no(opened, note, supplier, part, said)
        return
    if part is None:
        raise click.UsageError("Say which part was offered, by a number of yours or his; or --does-not-make.")
    missing = [f"--{name}" for name in ("price", "days") if said[name] is None]
    if missing:
        raise click.UsageError(f"Say what was offered: {' and '.join(missing)} is missing.")
    offer = Offer(
        supplier, part, (PriceTier(1, said["price"]),), pack=said["pack"], lead_days=said["days"], special_order=True
    )
    opened.answered(_part(opened, part, said), offer, note, today)
    price = f"{money(said['price'])} a pack of {said['pack']}"
    click.echo(f"{supplier} offers {part}: {price}, {said['days']} days, special order.")


def _store_no(opened: Ledger, note: Note, supplier: str, part: str | None, said: dict[str, Any]) -> None:

    given = [
        f"--{name}" for name in ("kind", "fits", "thickness", "opening", "price", "days") if said[name] is not None
    ]
    if part is not None or given:
        raise click.UsageError(f"A no has no part and no price: leave out {', '.join(given) or part}.")
    kind, family, thickness_mm = said["no"]
    opened.does_not_make(Refused(supplier, Kind(kind), family, thickness_mm), note)
    click.echo(
        f"{supplier} does not make a {Kind(kind)} of {thickness_mm:g} mm for {family}; he is not asked for it again."
    )


def _part(opened: Ledger, number: str, said: dict[str, Any]) -> Part:
    """Return the part that was offered: as the ledger lists it, with what was said of it beside."""
    known = opened.supply(as_listed=True).parts.get(number)
    missing = [f"--{name}" for name in ("kind", "fits", "thickness") if said[name] is None]
    if known is None and missing:
        raise click.UsageError(f"{number} is not listed yet. Say what it is: {', '.join(missing)} is missing.")
    kind = known.kind if known and said["kind"] is None else Kind(said["kind"])
    thickness_mm = known.thickness_mm if known and said["thickness"] is None else said["thickness"]
    families = known.families if known else _families(said["fits"])
    return Part(number, kind, families, thickness_mm, opening_mm=said["opening"])


def _families(written: str) -> frozenset[str]:
    return frozenset(family.strip() for family in written.split(";") if family.strip()) or frozenset({ANY_FAMILY})
