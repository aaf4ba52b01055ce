"""`restock` and `keep_range`: what to reorder, and which thicknesses to keep."""

from __future__ import annotations

from concurrent.futures import Executor
from datetime import date
from functools import cached_property
from typing import Any

import pandas as pd
from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.facts.book_records import Books
from stackopt.choose.choice_records import Request
from stackopt.choose.patience import Patience
from stackopt.problems import InputError, Place, Problem
from stackopt.report.range.document import range_document
from stackopt.report.reorder.document import restock_document
from stackopt.shop.ledger import Ledger
from stackopt.stocking.range.answer import drawn_from, find_range, tied_up_today_cents
from stackopt.stocking.range.outlook import LEAST_PAST_ENGINES, Outlook, families_of_past
from stackopt.stocking.range.range_records import RangeAnswer
from stackopt.stocking.reorder.answer import restock as restocked
from stackopt.stocking.reorder.restock_records import Policy, Restock
from stackopt.tables.answers import order_rows
from stackopt.tables.call import at_least, day_of, in_words_of_calls, seconds_of, shown
from stackopt.tables.frames import frame
from stackopt.tables.notebook import tables_html
from stackopt.tables.source import Given, source_of

__all__ = ["Policy", "RangeTables", "RestockTables", "keep_range", "restock"]


class RestockTables(Struct, frozen=True, dict=True):
    """What to reorder, as frames; `document` is the JSON document of `stackopt restock --json`."""

    records: Restock
    today: date

    @cached_property
    def document(self) -> dict[str, Any]:
        """The whole answer as plain values."""
        return restock_document(self.records, self.today)

    @cached_property
    def parts(self) -> pd.DataFrame:
        """A row a part: what is free, needed and on order, its reorder point, how many to order, and why."""
        return frame("parts", self.document["parts"])

    @cached_property
    def orders(self) -> pd.DataFrame:
        """A row a line of an order; `freight_cents`, `total_cents` and `order_by` are those of the whole order."""
        return frame("orders", order_rows(self.document["orders"]))

    @cached_property
    def asks(self) -> pd.DataFrame:
        """A row for each thing to ask suppliers about, as nobody lists it by a number."""
        return frame("asks", self.document["ask"])

    @cached_property
    def service(self) -> pd.DataFrame:
        """A row a part and supplier: of the lead times that are over, how many the shelf bridged."""
        return frame("service", self.document["service"])

    def __repr__(self) -> str:
        """Return how far the answer is proven, and what it comes to."""
        paid_cents = sum(order.total_cents for order in self.records.orders)
        return f"RestockTables({self.document['status']}, {len(self.orders)} lines to order, {paid_cents} cents)"

    def _repr_html_(self) -> str:
        return tables_html({"to order": self.orders, "parts": self.parts, "to ask about": self.asks})


class RangeTables(Struct, frozen=True, dict=True):
    """Which thicknesses to keep, as frames; `document` is the JSON document of `stackopt range --json`."""

    records: RangeAnswer
    today: date

    @cached_property
    def document(self) -> dict[str, Any]:
        """The whole answer as plain values."""
        return range_document(self.records, self.today)

    @cached_property
    def parts(self) -> pd.DataFrame:
        """A row a part: how many to keep, to buy and to sell off."""
        return frame("kept", self.document["parts"])

    @cached_property
    def curve(self) -> pd.DataFrame:
        """A row a range on the way to this one: the money tied up, and the share of engines that it builds."""
        return frame("curve", self.document["curve"])

    @property
    def share_built(self) -> float:
        """The share of engines to come that are built from the chosen range, 0 to 1."""
        return float(self.document["ranges"]["chosen"]["share_built"])

    def __repr__(self) -> str:
        """Return how much of what is to come is built from the range."""
        return f"RangeTables({self.document['status']}, {self.share_built:.0%} built, {len(self.parts)} parts)"

    def _repr_html_(self) -> str:
        return tables_html({"keep": self.parts, "what more money builds": self.curve})


@in_words_of_calls
def restock(
    books: Given | None = None,
    *,
    stock: pd.DataFrame | None = None,
    offers: pd.DataFrame | None = None,
    suppliers: pd.DataFrame | None = None,
    kits: pd.DataFrame | None = None,
    usage: pd.DataFrame | None = None,
    engines: pd.DataFrame | None = None,
    today: date | None = None,
    policy: Policy | None = None,
    executor: Executor | None = None,
) -> RestockTables:
    """Say what to reorder: what open engines lack, what is at its reorder point, and what is worth taking along.

    Parameters
    ----------
    books
        What `read_books` or `open_ledger` returned; or, in its place, frames with the columns of `books.stock` and so
        on.
    stock, offers, suppliers, kits, usage, engines
        Those frames. A row of `usage` is one time that pieces left the shelf; more than one a day and part may stand
        there.
    today
        The day to count from; else today.
    policy
        The shop's service level and costs; else the usual ones.
    executor
        Who solves the groups of open engines that share no part: as in `plan`.

    Raises
    ------
    InputError
        When a frame cannot be read, or an engine is of a family that no part names.
    """
    frames = {
        "stock": stock,
        "offers": offers,
        "suppliers": suppliers,
        "kits": kits,
        "usage": usage,
        "engines": engines,
    }
    source = source_of(books, frames)
    day = day_of(today)
    if policy is not None and not isinstance(policy, Policy):
        mend = "As: stackopt.Policy(service_level=0.9, review_days=14)."
        raise InputError(Problem(Place(item="policy"), shown(policy), "a policy", mend))
    supply = source.supply_for(source.engines, day)
    request = Request(source.engines, day, executor=executor)
    deliveries = source.records.deliveries(day) if isinstance(source.records, Ledger) else ()
    answer = restocked(request, supply, source.usage, policy or Policy(), deliveries)
    return RestockTables(answer, day)


@in_words_of_calls
def keep_range(
    books: Given | None = None,
    *,
    stock: pd.DataFrame | None = None,
    offers: pd.DataFrame | None = None,
    engines: pd.DataFrame | None = None,
    budget_cents: int | None = None,
    scenarios: int | None = None,
    engines_to_come: int | None = None,
    seed: int | None = None,
    time_limit: float | None = 60.0,
    today: date | None = None,
    executor: Executor | None = None,
) -> RangeTables:
    """Say which thicknesses to keep, and how many of each, so that most engines to come are built from the shelf.

    Parameters
    ----------
    books
        What `read_books` or `open_ledger` returned: its engines are the shop's past ones, at least three of a family.
        Or frames:
    stock, offers, engines
        Those frames.
    budget_cents
        The most money that may lie on the shelf; else what lies there today.
    scenarios, engines_to_come, seed
        How many draws of engines, how many engines a draw, and which draws: the same seed draws the same engines.
    time_limit
        Seconds to search, None for no limit; the answer says how far it can be off.
    today
        The day that stands on the answer.
    executor
        Who searches other budgets and further draws, and families that share no part where there are many ways to fill
        their seats: as in `plan`.

    Raises
    ------
    InputError
        When a frame cannot be read, there are too few past engines, or there is no money to spend.
    """
    source = source_of(books, {"stock": stock, "offers": offers, "engines": engines})
    past = source.engines if isinstance(source.records, Books) else source.records.known_engines()
    families, _ = families_of_past(past)
    if not families:
        raise InputError(
            Problem(Place(item="engines"), f"{len(past)}", f"{LEAST_PAST_ENGINES} past engines of a family")
        )
    usual = Outlook(families)
    outlook = replace(
        usual,
        seed=usual.seed if seed is None else at_least(0, "seed", seed),
        scenarios=usual.scenarios if scenarios is None else at_least(1, "scenarios", scenarios),
        engines=usual.engines if engines_to_come is None else at_least(1, "engines_to_come", engines_to_come),
    )
    drawn = drawn_from(outlook, source.whole_supply)
    budget = tied_up_today_cents(drawn) if budget_cents is None else at_least(1, "budget_cents", budget_cents)
    if budget <= 0:
        raise InputError(Problem(Place(item="budget_cents"), "", "whole cents, as nothing lies on the shelf today"))
    found = find_range(drawn, budget, Patience.of_seconds(seconds_of(time_limit)), executor=executor)
    return RangeTables(found, day_of(today))
