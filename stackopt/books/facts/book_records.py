"""What books hold, read and checked."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cached_property

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.books.facts.offers import OfferLines
from stackopt.books.facts.stock import StockRow
from stackopt.books.files.collector import collector_at_rest
from stackopt.books.tables.account import SheetAccount
from stackopt.books.words.remembered import Learned
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Kind, Kit, Offer, Part, Service, StockLine, Supplier, Supply, Usage
from stackopt.parts.spare import spare_limits, spare_lines
from stackopt.problems import Problem, Question


class Books(Struct, frozen=True, dict=True):
    """Everything that a set of books says.

    Parameters
    ----------
    parts, stock, suppliers, kits
        By part number, supplier name and kit number.
    offer_lines
        Price lists by column; `supply` and `supply_for` make records of them.
    stock_rows
        The rows of stock lists as they were read; `stock_sheet.stock_sheet` tells from them how the lists look.
    engines, usage, services
        Open engines, what left the shelf, and what work costs.
    refused
        Why a whole file or a whole sheet could not be read.
    problems
        What is wrong, row by row; such rows are left out.
    questions
        What only the user can say; what it concerns is left out until he does.
    sheets
        How each sheet was read, and what the reader did that the user should know.
    learned
        What the user said of columns and in answer to questions, to be remembered.
    """

    parts: Mapping[str, Part] = field(default_factory=dict)
    stock: Mapping[str, StockLine] = field(default_factory=dict)
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)
    kits: Mapping[str, Kit] = field(default_factory=dict)
    offer_lines: tuple[OfferLines, ...] = ()
    stock_rows: tuple[StockRow, ...] = ()
    engines: tuple[Engine, ...] = ()
    usage: tuple[Usage, ...] = ()
    services: tuple[Service, ...] = ()
    refused: tuple[Problem, ...] = ()
    problems: tuple[Problem, ...] = ()
    questions: tuple[Question, ...] = ()
    sheets: tuple[SheetAccount, ...] = ()
    learned: tuple[Learned, ...] = ()

    @property
    def notes(self) -> list[str]:
        """How each sheet was read, in sentences."""
        return [line for account in self.sheets for line in account.lines()]

    @cached_property
    def supply(self) -> Supply:
        """Everything that can be fitted and bought."""
        return self._supply_of(self.parts.keys())

    def supply_for(self, families: Collection[str]) -> Supply:
        """Return what can be fitted and bought for these engine families; quicker than all where a list is long.

        A kit counts when one of its pieces does, and brings all of them along. Lines of no use to them that could fill
        an order come with them.
        """
        fitting = {part.number for part in self.parts.values() if any(map(part.fits_family, families))}
        loose = {number for number in fitting if self.parts[number].kind is not Kind.KIT}
        kits = {kit.number for kit in self.kits.values() if loose.intersection(kit.contents)}
        held = {number for kit in kits for number in self.kits[kit].contents if number in self.parts}
        supply = self._supply_of(loose | kits | held)
        limits = spare_limits(supply)
        if not limits:
            return supply
        wanted = {offer.part for offer in supply.offers}
        spare = spare_lines((line for own in self.offer_lines for line in own.spare(limits, wanted)), limits)
        return replace(supply, offers=(*supply.offers, *spare))

    def _supply_of(self, numbers: Collection[str]) -> Supply:
        return Supply(
            parts={number: part for number, part in self.parts.items() if number in numbers},
            stock={number: line for number, line in self.stock.items() if number in numbers},
            offers=self._offers(numbers),
            suppliers=self.suppliers,
            kits={number: kit for number, kit in self.kits.items() if number in numbers},
            services={service.service.lower(): service for service in self.services},
        )

    def _offers(self, numbers: Collection[str]) -> tuple[Offer, ...]:
        with collector_at_rest():
            return tuple(offer for lines in self.offer_lines for offer in lines.offers(numbers))
