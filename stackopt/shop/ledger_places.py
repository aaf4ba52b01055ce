"""The ledger as it is read, where its pieces lie: each method answers from one snapshot."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import date

from msgspec.structs import replace
from sqlalchemy import Connection
from sqlalchemy import Engine as Database
from sqlalchemy.exc import SQLAlchemyError

from stackopt.parts.part_records import InBin, Supply
from stackopt.problems import InputError
from stackopt.shop.database.acts import Balance
from stackopt.shop.database.faults import damaged
from stackopt.shop.database.transactions import CoreSnapshot, reading, writing
from stackopt.shop.entries.agreement import check_sums_agree
from stackopt.shop.entries.balances import sums_by_place
from stackopt.shop.entries.bins import read_bins, read_parts_in_bins
from stackopt.shop.entries.branches import Branches, read_branches
from stackopt.shop.places.due import DueTransfer, due_transfers
from stackopt.shop.places.surplus import Surplus, coming_to_shelf, surplus_for
from stackopt.shop.standing.supplying import read_supply
from stackopt.shop.verifying import verify


class LedgerPlaces:
    """What lies where. Every method raises `InputError` when the database cannot be read."""

    def __init__(self, database: Database, shown: str) -> None:
        self._database = database
        self.shown = shown

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Open a snapshot; a fault while it is read is told as the damage it comes from, where it comes from one."""
        with reading(self._database, self.shown) as connection:
            try:
                yield connection
            except (InputError, SQLAlchemyError):
                raise
            except Exception as fault:
                found = verify(connection).damage
                if not found:
                    raise
                raise damaged(found[0]) from fault

    def writing(self) -> AbstractContextManager[Connection]:
        """Open a transaction in which nobody else writes."""
        return writing(self._database, self.shown)

    def supply(
        self,
        families: Collection[str] | None = None,
        asking: Collection[str] = (),
        *,
        as_listed: bool = False,
        today: date | None = None,
        at: str | None = None,
    ) -> Supply:
        """Return parts, shelf, offers, suppliers, kits and services, as `supplying.read_supply`."""
        with self.reading() as connection:
            return read_supply(CoreSnapshot(connection), families, asking, as_listed=as_listed, today=today, at=at)

    def branches(self) -> Branches:
        """Return the shop's branches."""
        with self.reading() as connection:
            return read_branches(CoreSnapshot(connection))

    def due_transfers(self) -> tuple[DueTransfer, ...]:
        """Return what the branches have to send each other, the most urgent first."""
        with self.reading() as connection:
            return due_transfers(connection)

    def places(self) -> dict[tuple[str, str], Balance]:
        """Return the sums of every part at every branch where any moved, by part number and the branch's name."""
        with self.reading() as connection:
            snapshot = CoreSnapshot(connection)
            check_sums_agree(snapshot)
            branches = read_branches(snapshot)
            sums = sums_by_place(connection)
        return {(part, branches.name(branch)): each for (part, branch), each in sums.items()}

    def bins(self) -> dict[tuple[str, str], str]:
        """Return in which bin each part lies, by part number and the branch's name."""
        with self.reading() as connection:
            branches, bins = read_branches(CoreSnapshot(connection)), read_bins(CoreSnapshot(connection))
        return {(part, branches.name(branch)): where for (part, branch), where in bins.items() if where}

    def heaps(self) -> dict[tuple[str, str], tuple[InBin, ...]]:
        """Return how many lie in which bin, of parts that lie in several, by part number and the branch's name."""
        with self.reading() as connection:
            snapshot = CoreSnapshot(connection)
            check_sums_agree(snapshot)
            branches = read_branches(snapshot)
            found = read_parts_in_bins(snapshot)
        return {(part, branches.name(branch)): bins for (part, branch), bins in found.items()}

    def shelf_to_refill(self, at: str, asking: Collection[str], today: date) -> Supply:
        """Return the supply of one branch as it refills its own shelf: what lies at others is theirs."""
        with self.reading() as connection:
            snapshot = CoreSnapshot(connection)
            supply = read_supply(snapshot, asking=asking, today=today, at=at)
            return replace(supply, ordered=coming_to_shelf(snapshot, at, supply.ordered))

    def surplus_for(self, at: str) -> tuple[Surplus, ...]:
        """Return what other branches have more of than they keep, and could send to one."""
        with self.reading() as connection:
            return surplus_for(CoreSnapshot(connection), at)
