"""The ledger as a supply: what the choice works with when no book is given."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from datetime import date
from typing import Any

from msgspec.structs import asdict, replace

from stackopt.parts.own import with_own_thickness
from stackopt.parts.part_records import ANY_FAMILY, Kind, Kit, Part, StockLine, Supply, UnderWay
from stackopt.parts.spare import spare_limits, spare_lines
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot, current_rows
from stackopt.shop.entries.agreement import check_search_agrees, check_sums_agree
from stackopt.shop.entries.bins import names_of, read_parts_in_bins
from stackopt.shop.entries.branches import MAIN, Branches, read_branches
from stackopt.shop.entries.rows import (
    KIT_FIELDS,
    OFFER_FIELDS,
    PART_FIELDS,
    SERVICE_FIELDS,
    SUPPLIER_FIELDS,
    kit_of,
    offer_of,
    part_of,
    service_of,
    stock_of,
    supplier_of,
)
from stackopt.shop.standing.lots import with_measured_lots
from stackopt.shop.standing.order_reading import read_open_orders
from stackopt.shop.standing.placed import free_under_way
from stackopt.shop.standing.places import BranchLine, Seen, at_branch, coming_to, read_branch_lines, read_shelves


def read_supply(  # noqa: PLR0913 - one for each thing that narrows it
    snapshot: Snapshot,
    families: Collection[str] | None = None,
    asking: Collection[str] = (),
    *,
    as_listed: bool = False,
    today: date | None = None,
    at: str | None = None,
) -> Supply:
    """Read parts, shelf, offers, suppliers, kits and services, and what is under way.

    Parameters
    ----------
    snapshot
        The ledger at one moment.
    families
        Read only what may fit engines of these families, which is faster; None: everything.
    asking
        Engines that are planned anew: what is held for them, and what they wait for, counts as free.
    as_listed
        Give the thicknesses that the lists say, also where the shop goes by its own.
    today
        The day from which the arrival of a draft counts; None: what is under way is not read.
    at
        The branch that asks, the empty text for the main one: its shelf counts, and what lies at others is under way.
        None: the shop as a whole.
    """
    names = SentenceParameters()
    branches = read_branches(snapshot)
    branch = None if at is None else branches.code(at)
    kits = {row.number: kit_of(row) for row in current_rows(snapshot, "kit", KIT_FIELDS)}
    fitting = "1 = 1" if families is None else _may_fit(snapshot, families, kits, names)
    among = f"IN (SELECT number FROM part WHERE {fitting})"
    wanted, offered = "1 = 1", "1 = 1"
    if families is not None:
        wanted = f"part {among}"
        offered = f"{wanted} OR part IN (SELECT part FROM offer WHERE superseded_by {among})"
    check_search_agrees(snapshot, fitting, names)
    rows = {row.number: row for row in current_rows(snapshot, "part", PART_FIELDS, fitting, names)}
    check_sums_agree(snapshot, wanted, names)
    shelves = read_shelves(snapshot, wanted, names, asking)
    sums = at_branch(shelves, branch)
    coming: Iterable[UnderWay] = ()
    if today is not None and branch is not None:
        coming = coming_to(snapshot, Seen(branches, branch, today, asking), shelves, kits)
    elif today is not None:
        coming = free_under_way(read_open_orders(snapshot), today, asking)
    supply = Supply(
        parts=_described(rows) if as_listed else _as_the_shop_knows_them(snapshot, rows),
        stock={
            number: stock_of(row, *sums.get(number, (0, 0)))
            for number, row in rows.items()
            if row.stocked or number in sums
        }
        if not branch
        else _stock_at(snapshot, branch, rows, sums),
        offers=tuple(offer_of(row) for row in current_rows(snapshot, "offer", OFFER_FIELDS, offered, names)),
        suppliers={row.name: supplier_of(row) for row in current_rows(snapshot, "supplier", SUPPLIER_FIELDS)},
        services={row.name: service_of(row) for row in current_rows(snapshot, "service", ("name", *SERVICE_FIELDS))},
        kits={number: held for number, held in kits.items() if families is None or number in rows},
        ordered=tuple(each for each in coming if each.part in rows),
    )
    supply = replace(supply, stock=_in_bins(snapshot, supply.stock, branches, branch))
    supply = supply if as_listed else with_measured_lots(snapshot, supply, asking, branch)
    return supply if families is None else _with_spare_lines(snapshot, supply)


def _with_spare_lines(snapshot: Snapshot, supply: Supply) -> Supply:
    """Add the lines of other parts that could fill an order."""
    limits = spare_limits(supply)
    if not limits:
        return supply
    names = SentenceParameters()
    sellers = names.among("supplier", limits)
    if math.isfinite(most := max(limits.values())):
        # Tiers read 1:4130;3:3900: of one price alone the length tells whether it may be low enough.
        shortest = f"LENGTH(tiers) <= {len(f'1:{most:.0f}')} OR tiers LIKE {names.add('%;%')}"
        sellers = f"{sellers} AND ({shortest})"
    rows = current_rows(snapshot, "offer", OFFER_FIELDS, sellers, names)
    wanted = {offer.part for offer in supply.offers}
    spare = spare_lines((offer_of(row) for row in rows if row.part not in wanted), limits)
    return replace(supply, offers=(*supply.offers, *spare))


def _in_bins(
    snapshot: Snapshot, stock: Mapping[str, StockLine], branches: Branches, branch: str | None
) -> dict[str, StockLine]:
    """Return a shelf with the bins of what lies in several; of several branches together nothing is said."""
    if branch is None and branches.others:
        return dict(stock)
    lying = read_parts_in_bins(snapshot, stock)
    bins = {part: found for (part, where), found in lying.items() if where == (branch or MAIN)}
    return {
        number: replace(line, bin=names_of(bins[number]), bins=bins[number]) if bins.get(number) else line
        for number, line in stock.items()
    }


def _stock_at(
    snapshot: Snapshot, branch: str, rows: Mapping[str, Any], sums: Mapping[str, tuple[int, int]]
) -> dict[str, StockLine]:
    """Return the shelf of a branch other than the main one, whose bins and levels are its own list's."""
    said, nothing = read_branch_lines(snapshot, branch), BranchLine("", None, None)
    return {
        number: replace(stock_of(row, *sums.get(number, (0, 0))), **asdict(said.get(number, nothing)))
        for number, row in rows.items()
        if number in said or number in sums
    }


def read_parts(snapshot: Snapshot, numbers: Collection[str]) -> dict[str, Part]:
    """Return parts by number as the choice goes by them; numbers that the ledger does not list are left out."""
    names = SentenceParameters()
    rows = current_rows(snapshot, "part", PART_FIELDS, names.among("number", numbers), names)
    return _as_the_shop_knows_them(snapshot, {row.number: row for row in rows})


def _described(rows: Mapping[str, Any]) -> dict[str, Part]:
    return {number: part_of(row) for number, row in rows.items()}


def _as_the_shop_knows_them(snapshot: Snapshot, rows: Mapping[str, Any]) -> dict[str, Part]:
    """Return the parts, with the shop's own thickness where it goes by it.

    Single pieces still vary by the listed tolerance, and their mean is not known exactly. A thickness listed anew
    ends the shop's own for the old one.
    """
    parts = _described(rows)
    for row in current_rows(snapshot, "adopted", ("part", "listed_mm", "own_mm", "measurements")):
        listed = parts.get(row.part)
        if listed is not None and listed.thickness_mm == row.listed_mm:
            parts[row.part] = with_own_thickness(listed, row.own_mm, row.measurements)
    return parts


def _may_fit(snapshot: Snapshot, families: Collection[str], kits: Mapping[str, Kit], names: SentenceParameters) -> str:
    """Return the condition for parts of these families, for kits that hold one of them, and for all those kits hold."""
    loose = f"kind <> '{Kind.KIT}' AND ({_fits(families, names)})"
    own = SentenceParameters()
    contents = {number for each in kits.values() for number in each.contents}
    held = f"{own.among('number', contents)} AND kind <> '{Kind.KIT}' AND ({_fits(families, own)})"
    check_search_agrees(snapshot, held, own)
    fitting = {row.number for row in current_rows(snapshot, "part", ("number",), held, own)}
    wanted = [each for each in kits.values() if fitting.intersection(each.contents)]
    brought = {each.number for each in wanted} | {number for each in wanted for number in each.contents}
    return f"({loose}) OR {names.among('number', brought)}"


def _fits(families: Collection[str], names: SentenceParameters) -> str:
    # LIKE takes no notice of case on SQLite, which lets a few more parts through; the choice looks again.
    patterns = (f"%;{_literal(family)};%" for family in (*families, ANY_FAMILY))
    return " OR ".join(f"families LIKE {names.add(pattern)} ESCAPE '!'" for pattern in patterns)


def _literal(family: str) -> str:
    return family.replace("!", "!!").replace("%", "!%").replace("_", "!_")
