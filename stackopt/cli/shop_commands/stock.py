"""``stackopt shop stock``: what lies on the shelf; where the shop has several branches, at which."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import click

from stackopt.cli.ledger_options import looking_options
from stackopt.cli.printing import print_json
from stackopt.cli.tables import print_table
from stackopt.parts.part_records import InBin, StockLine
from stackopt.problems import InputError, Place, Problem
from stackopt.shop.database.acts import Balance
from stackopt.shop.entries.bins import names_of
from stackopt.shop.ledger import Ledger, open_ledger

Row = dict[str, Any]


@click.command()
@looking_options
@click.option("--at", metavar="BRANCH", default=None, help="At one branch alone; else at all of them.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of a table.")
@click.argument("parts", nargs=-1, metavar="[PART...]")
def stock(ledger: str, at: str | None, as_json: bool, parts: tuple[str, ...]) -> None:
    """Print what lies on the shelf: of these parts, or of all; where there are several branches, how many at each."""
    opened = open_ledger(ledger)
    sums, lines = opened.balances() if at is None else {}, dict(opened.supply(at=at).stock)
    lines |= {number: StockLine(number, each.on_hand, each.held) for number, each in _unlisted(sums, lines)}
    if any(number not in lines for number in parts):
        offered = opened.supply().parts
        lines |= {number: StockLine(number, 0) for number in parts if number in offered and number not in lines}
    unknown = [number for number in parts if number not in lines]
    if unknown:
        raise InputError(*(Problem(Place(opened.shown), number, "a part number of the ledger") for number in unknown))
    places = _places(opened) if at is None else None
    rows = [_row(lines[number], sums, places) for number in sorted(lines) if not parts or number in parts]
    if as_json:
        print_json({"parts": rows})
    else:
        _print(rows)


def _row(line: StockLine, sums: Mapping[str, Balance], places: Mapping[str, list[Row]] | None) -> Row:
    row = {
        "part": line.part,
        "on_hand": line.on_hand,
        "held": line.reserved,
        "free": line.free,
        "on_order": sums[line.part].on_order if line.part in sums else 0,
        "bin": line.bin,
        "bins": bins_rows(line.bins or _one_bin(line.bin, line.on_hand)),
    }
    return row if places is None else row | {"places": places.get(line.part, [])}


def _one_bin(name: str, on_hand: int) -> tuple[InBin, ...]:
    return (InBin(name, on_hand),) if on_hand else ()


def _places(opened: Ledger) -> dict[str, list[Row]] | None:
    """Return how many of each part lie at each branch; None where the shop has one branch alone."""
    known = opened.branches()
    if not known.others:
        return None
    bins, heaps = opened.bins(), opened.heaps()
    places: dict[str, list[Row]] = {}
    for (part, name), sums in sorted(opened.places().items(), key=lambda each: known.names.index(each[0][1])):
        if sums.on_hand or sums.held:
            row = {"branch": name, "on_hand": sums.on_hand, "held": sums.held, "free": sums.free}
            usual = bins.get((part, name), "")
            lying = heaps.get((part, name)) or _one_bin(usual, sums.on_hand)
            row |= {"bin": names_of(lying) or usual, "bins": bins_rows(lying)}
            places.setdefault(part, []).append(row)
    return places


def _print(rows: list[Row]) -> None:
    last = "where" if any("places" in row for row in rows) else "bin"
    heads = ("part", "on hand", "held", "free", "on order", last)
    print_table(heads, [(*list(row.values())[:5], _where(row)) for row in rows])


def _where(row: Row) -> str:
    return ", ".join(map(_at, row["places"])) if "places" in row else _bins(row)


def _bins(row: Row) -> str:
    """Return the bin of a row; of several, how many pieces lie in each."""
    several = [InBin(**each) for each in row["bins"]]
    return bins_words(several) if len(several) > 1 else str(row["bin"])


def _at(place: Row) -> str:
    told = [f"{place['held']} held"] if place["held"] else []
    told += [_bins(place) if len(place["bins"]) > 1 else f"bin {place['bin']}"] if place["bin"] else []
    return f"{place['on_hand']} at {place['branch']}" + (f" ({', '.join(told)})" if told else "")


def _unlisted(sums: Mapping[str, Balance], lines: Mapping[str, StockLine]) -> Iterator[tuple[str, Balance]]:
    """Yield the parts that no list has any more, though pieces of them are on the shelf, held or on order."""
    for number, each in sums.items():
        if number not in lines and (each.on_hand or each.held or each.on_order):
            yield number, each


def bins_words(bins: Iterable[InBin]) -> str:
    """Return how many pieces lie in which bin: ``3 in A1, 2 in R7``."""
    return ", ".join(map(str, bins))


def bins_rows(bins: Iterable[InBin]) -> list[dict[str, Any]]:
    """Return the same for a JSON document."""
    return [{"bin": each.bin, "on_hand": each.on_hand} for each in bins]
