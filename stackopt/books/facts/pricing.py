"""The columns of a price list that say what a pack costs, how many pieces it has, how long it takes."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import cast

from stackopt.books.asked.far.amounts import OF_DAYS, OF_MONEY, OF_PIECES, asked_where_far
from stackopt.books.asked.naming import ASIDE
from stackopt.books.tables.columns import ReadColumn, Reader
from stackopt.books.words import asides, counts, prices
from stackopt.books.words.counts import Count
from stackopt.books.words.headers import readings
from stackopt.books.words.prices import CellPrice
from stackopt.books.words.roles import TIER_START
from stackopt.problems import Question, UndecidedError, plain_key
from stackopt.units import money

_NAMES_DAYS = re.compile(r"\bd(?:ays?)?\b|\btage?\b|\bjours?\b", re.IGNORECASE)
FIRST_TIER = 1
Numbers = Sequence[int | None]
OF_EACH, OF_ALL = "each of them", "all of them together"
BEFORE, AFTER = "the price is before the discount", "the price is after the discount"


def pieces_a_pack(reader: Reader) -> Sequence[int]:
    """Return how many pieces a pack has, 1 where nothing is said."""
    read = asked_where_far(reader, "pack", counts.pieces_a_pack(reader.table.mark), OF_PIECES)
    return reader.filled_column("pack", read, 1)


def price_per_pack(reader: Reader, pack: Sequence[int]) -> Numbers:
    """Return the price of one pack, cents: as listed, or worked out where the price is for so many pieces."""
    name = "price" if reader.has("price") else "price each"
    if name == "price each" and reader.has("pack"):
        reader.table.account.said.append("prices are for one piece; a pack costs pieces times that")
    return _priced(reader, name, pack, each=name == "price each")


def _priced(reader: Reader, name: str, pack: Sequence[int], *, each: bool = False) -> Numbers:
    full = _with_surcharge(reader, _as_listed(reader, name, pack, each))
    if not reader.has("discount"):
        return full
    off = reader.column("discount", asides.discount)
    if not any(off):
        return full
    doubt = UndecidedError("a discount", "to know whether the price is before or after it", (BEFORE, AFTER))
    if reader.ask_column("discount", "meaning", doubt) != BEFORE:
        return full
    return [
        None if cents is None else round(cents * (1 - (share or 0))) for cents, share in zip(full, off, strict=True)
    ]


def _with_surcharge(reader: Reader, listed: Numbers) -> Numbers:
    """Return prices with what a note adds to all of them, as the user explained it."""
    if not reader.has("surcharge"):
        return listed
    shares = reader.column("surcharge", asides.discount)
    return [
        None if cents is None else round(cents * (1 + (more or 0))) for cents, more in zip(listed, shares, strict=True)
    ]


def _as_listed(reader: Reader, name: str, pack: Sequence[int], each: bool) -> Numbers:
    sizes = pack if reader.has("pack") and not each else None
    read = reader.column(name, asked_where_far(reader, name, prices.price(reader.marks), OF_MONEY, sizes))
    said = [price for price in read.said.values() if price is not None]
    if not each and not any(price.pieces for price in said):
        _say_rounded(reader, (price.cents for price in said))
        cents = {cell: None if price is None else round(price.cents) for cell, price in read.said.items()}
        return ReadColumn(read.cells, cents)
    if any(price.pieces or price.pack for price in said):
        reader.table.account.said.append(f"{name}: what a price is for is read from its cell or the one beside it")
    exact = [
        None if price is None else _of_a_pack(price, pieces, each) for price, pieces in zip(read, pack, strict=True)
    ]
    _say_rounded(reader, (cents for cents in exact if cents is not None))
    return [None if cents is None else round(cents) for cents in exact]


def _of_a_pack(price: CellPrice, pack: int, each: bool) -> Fraction:
    """Return the exact cents of one pack."""
    if price.pack or not (each or price.pieces):
        return price.cents
    return price.cents * pack / (price.pieces or 1)


def _say_rounded(reader: Reader, exact: Iterable[Fraction]) -> None:
    """Say that prices of a pack which are no whole cents are rounded; half a cent goes to the even side."""
    odd = next((cents for cents in exact if cents.denominator != 1), None)
    if odd is not None:
        shown = f"{float(odd / 100):g} as {money(round(odd))}"
        reader.table.account.said.append(f"the price of a pack is rounded to whole cents: {shown}")


def minimum_packs(reader: Reader, pack: Sequence[int]) -> Sequence[int]:
    """Return the least number of packs, as listed or enough for the least number of pieces."""
    read = counts.at_least(reader.table.mark)
    packs = [_in_packs(amount, size) for amount, size in zip(reader.column("minimum packs", read), pack, strict=True)]
    if reader.has("minimum order"):
        packs = _least_order(reader, packs, pack)
    if not reader.has("minimum quantity"):
        return packs
    pieces = reader.column("minimum quantity", read)
    least = [
        _least_pieces(reader, position, amount, size)
        for position, (amount, size) in enumerate(zip(pieces, pack, strict=True))
    ]
    return list(map(max, packs, least))


def _in_packs(amount: Count | None, pack: int) -> int:
    if amount is None or amount.number == 0:
        return 1
    return math.ceil(amount.number / pack) if amount.pieces else amount.number


def _least_pieces(reader: Reader, position: int, amount: Count | None, pack: int) -> int:
    """Return the packs that a least number of pieces takes; asks where it is no whole number of packs."""
    if amount is None or amount.number == 0:
        return 1
    if amount.packs:
        return amount.number
    if amount.pieces or amount.number % pack == 0 or amount.number == 1:
        return math.ceil(amount.number / pack)
    key = plain_key(f"minimum quantity {amount.number} of packs of {pack}")
    found = f"{amount.number}, in packs of {pack}"
    expected = "to know whether it counts packs or pieces"
    place = reader.table.place(position, "minimum quantity")
    answer = reader.table.inquiry.ask(Question(place, found, expected, ("packs", "pieces"), key))
    if answer is None:
        reader.refused.add(position)
    return amount.number if answer == "packs" else math.ceil(amount.number / pack)


def _least_order(reader: Reader, packs: list[int], pack: Sequence[int]) -> list[int]:
    """Return the least number of packs by a column of least orders: what it counts is asked if no cell says it."""
    amounts = reader.column("minimum order", counts.counted(0, reader.table.mark))
    bare = next((one.number for one in amounts if one and one.number > 1 and not (one.packs or one.pieces)), None)
    counted = "packs"
    if bare is not None:
        doubt = UndecidedError(str(bare), "to know whether it counts packs or pieces", ("packs", "pieces", ASIDE))
        counted = reader.ask_column("minimum order", "what is counted", doubt) or ASIDE
    if counted == ASIDE:
        return packs
    told = [_told(amount, counted) for amount in amounts]
    return [max(least, _in_packs(one, size)) for least, one, size in zip(packs, told, pack, strict=True)]


def _told(amount: Count | None, counted: str) -> Count | None:
    if amount is None or amount.number == 0:
        return None
    return amount if amount.packs or amount.pieces else Count(amount.number, pieces=counted == "pieces")


def lead_days(reader: Reader) -> Sequence[int]:
    """Return lead times, days; where none is said 0 is taken, and said so."""
    table = reader.table
    read = counts.days(table.units.get("lead days", ""), table.mark)
    days = reader.column("lead days", asked_where_far(reader, "lead days", read, OF_DAYS))
    matched = table.layout.columns.get("lead days")
    if matched is not None and "lead days" not in table.units and not _NAMES_DAYS.search(matched.title) and any(days):
        table.account.said.append(f"{matched.title!r} says no unit; days taken where its cells say none")
    if None not in days:
        return cast(Sequence[int], days)
    if not reader.has("lead days"):
        table.account.said.append("no lead times are said; 0 days taken")
    else:
        silent = sum(day is None and position not in reader.refused for position, day in enumerate(days))
        if silent:
            table.account.said.append(f"{silent} row{'s say' if silent > 1 else ' says'} no lead time; 0 days taken")
    return [0 if day is None else day for day in days]


def price_breaks(reader: Reader, first: Numbers, pack: Sequence[int]) -> Sequence[tuple[Numbers, Numbers]]:
    """Read the pairs of columns ``packs from N`` and ``price N``; breaks must rise in packs.

    A break that costs more than the price before it is said.
    """
    numbers = sorted(int(name.split()[-1]) for name in reader.table.cells if name.startswith("packs from "))
    breaks = []
    below: Sequence[int] = [FIRST_TIER] * len(reader.table.rows)
    cheaper = first
    for number in numbers:
        read = reader.column(f"packs from {number}", counts.counted(1, reader.table.mark))
        counted = _counted_in(reader, f"packs from {number}", pack)
        told = [None if one is None else _told(one, counted) for one in read]
        starts = [None if one is None else _in_packs(one, size) for one, size in zip(told, pack, strict=True)]
        costs = _priced(reader, f"price {number}", pack, each=not reader.has("price"))
        _blame_breaks(reader, number, starts, costs, below)
        _say_dearer(reader, number, costs, cheaper)
        breaks.append((starts, costs))
        below = [last if start is None else start for start, last in zip(starts, below, strict=True)]
        cheaper = [last if cost is None else cost for cost, last in zip(costs, cheaper, strict=True)]
    return [*breaks, *_headed_breaks(reader, pack, first)]


def _headed_breaks(reader: Reader, pack: Sequence[int], first: Numbers) -> Iterator[tuple[Numbers, Numbers]]:
    """Yield the price breaks of columns whose headers say how many must be bought, as ``Price 5+``."""
    names = [name for name in reader.table.layout.columns if name.startswith("break ")]
    for name in sorted(names, key=lambda one: int(one.split()[1])):
        costs = _priced(reader, name, pack)
        start = int(name.split()[1])
        counted = name.split()[-1]
        if counted == str(start):
            counted = _asked_of_break(reader, name, pack)
        packs = [math.ceil(start / size) if counted == "pieces" else start for size in pack]
        if _is_of_all(reader, name, start, costs, first):
            costs = [None if cost is None else round(cost / least) for cost, least in zip(costs, packs, strict=True)]
        yield [None if cost is None else least for cost, least in zip(costs, packs, strict=True)], costs


def _is_of_all(reader: Reader, name: str, start: int, costs: Numbers, first: Numbers) -> bool:
    """Tell whether a price break that is above the price before it is what all cost together, as the user says."""
    dearer = [
        cost for cost, one in zip(costs, first, strict=True) if cost is not None and one is not None and cost > one
    ]
    if not dearer or start == FIRST_TIER:
        return False
    found = f"{money(dearer[0])} from {start} on, above the price of one"
    doubt = UndecidedError(found, "to know what it is the price of", (OF_EACH, OF_ALL))
    return reader.ask_column(name, "what it costs", doubt) == OF_ALL


def _counted_in(reader: Reader, name: str, pack: Sequence[int]) -> str:
    """Return whether the starts of price breaks count packs or pieces, as their header says; packs under our own."""
    matched = reader.table.layout.columns.get(name)
    words = "" if matched is None else readings(matched.title)[0].words
    if matched is None or "pack" in words or (TIER_START.fullmatch(words) and "quantity" not in words):
        return "packs"
    return "pieces" if "piece" in words else _asked_of_break(reader, name, pack)


def _asked_of_break(reader: Reader, name: str, pack: Sequence[int]) -> str:
    """Ask whether a price break counts packs or pieces, where any pack holds more than one."""
    if all(size == 1 for size in pack):
        return "packs"
    doubt = UndecidedError(name, "to know whether the price break counts packs or pieces", ("packs", "pieces"))
    return reader.ask_column(name, "meaning", doubt) or "packs"


def _blame_breaks(reader: Reader, number: int, starts: Numbers, costs: Numbers, below: Sequence[int]) -> None:
    """Note price breaks of which one half is missing, and those that do not rise."""
    start_name, price_name = f"packs from {number}", f"price {number}"
    for position, (start, price, last) in enumerate(zip(starts, costs, below, strict=True)):
        if start is None:
            if price is not None and position not in reader.refused:
                reader.blame(position, start_name, "", f"how many packs {price_name} starts from", "Fill the cell in.")
        elif position in reader.refused:
            continue
        elif price is None:
            reader.blame(position, price_name, "", f"the price from {start} packs on", "Fill the cell in.")
        elif start <= last:
            reader.blame(position, start_name, str(start), "more packs than the price break before it")


def _say_dearer(reader: Reader, number: int, costs: Numbers, before: Numbers) -> None:
    for position, (cost, last) in enumerate(zip(costs, before, strict=True)):
        if cost is not None and last is not None and cost > last and position not in reader.refused:
            row = reader.table.rows[position] + 1
            said = f"row {row}: price {number} of {money(cost)} for more packs is above {money(last)} for fewer"
            reader.table.account.said.append(said)
