"""The ledger as it is read: each method answers from one snapshot."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from stackopt.choose.asking import Refused
from stackopt.choose.built.board import BoardLine
from stackopt.choose.built.build import Build, Chosen
from stackopt.engine.engine_records import Engine
from stackopt.parts.gauge import CommonOffset
from stackopt.parts.learned import OwnThickness
from stackopt.parts.lots import Batch
from stackopt.parts.part_records import StockSheet, Supply, Usage
from stackopt.shop.commands import answering, builds
from stackopt.shop.commands.losing import Loss
from stackopt.shop.commands.orders import NoLongerListed, no_longer_listed
from stackopt.shop.commands.shelf import losses_of_taking
from stackopt.shop.commands.undo import closed_engine_of, last_standing
from stackopt.shop.database.acts import Balance
from stackopt.shop.database.rights import Person, check_may, read_people
from stackopt.shop.database.transactions import CoreSnapshot, reading
from stackopt.shop.entries.agreement import check_sums_agree
from stackopt.shop.entries.balances import sums_by_part
from stackopt.shop.entries.branches import MAIN, read_branches
from stackopt.shop.ledger_places import LedgerPlaces
from stackopt.shop.loads import loading
from stackopt.shop.loads.difference import Difference
from stackopt.shop.standing import order_reading
from stackopt.shop.standing.board import read_board
from stackopt.shop.standing.deliveries import read_deliveries
from stackopt.shop.standing.engine_list import built_at, engine_called
from stackopt.shop.standing.engines import (
    balances_of_engine,
    held_choices,
    known_engines,
    lacking,
    unsettled_engines,
)
from stackopt.shop.standing.history import (
    Entry,
    PastEvent,
    PastPrice,
    read_event,
    read_events,
    read_history,
    read_prices,
)
from stackopt.shop.standing.lots import lots_on_shelf
from stackopt.shop.standing.measurements import read_common_offset, read_own_thicknesses, read_thicknesses
from stackopt.shop.standing.placed import PlacedOrder
from stackopt.shop.standing.stock_sheet import read_stock_sheet
from stackopt.shop.standing.usage import read_usage
from stackopt.shop.verifying import Verified, verify
from stackopt.stocking.demand.leads import Delivery


class LedgerReading(LedgerPlaces):
    """What can be asked of a ledger. Every method raises `InputError` when the database cannot be read."""

    def engine(self, name: str) -> Engine:
        """Return one engine as it was loaded."""
        with self.reading() as connection:
            return engine_called(CoreSnapshot(connection), name)

    def built_at(self, name: str) -> str:
        """Return the branch where an engine is built, empty for the main one."""
        with self.reading() as connection:
            return built_at(CoreSnapshot(connection), name)

    def engines(self, at: str = MAIN) -> tuple[Engine, ...]:
        """Return the engines that still have to be planned at a branch."""
        with self.reading() as connection:
            return unsettled_engines(connection, at)

    def held_choices(self, at: str = MAIN) -> tuple[Chosen, ...]:
        """Return what was chosen for the engines of a branch that hold pieces and could still get others."""
        with self.reading() as connection:
            return held_choices(connection, at)

    def lacking(self, engine: str) -> dict[str, int]:
        """Return the pieces of its choice that an engine neither holds nor was given, by part number."""
        with self.reading() as connection:
            return lacking(connection, engine)

    def known_engines(self) -> tuple[Engine, ...]:
        """Return every engine that was ever loaded, finished ones too."""
        with self.reading() as connection:
            return known_engines(connection)

    def balances(self) -> dict[str, Balance]:
        """Return the sums of every part that ever moved."""
        with self.reading() as connection:
            check_sums_agree(CoreSnapshot(connection))
            return sums_by_part(connection)

    def usage(self, at: str | None = None) -> tuple[Usage, ...]:
        """Return what left the shelf of a branch for engines, the oldest first; None: of all of them."""
        with self.reading() as connection:
            code = None if at is None else read_branches(CoreSnapshot(connection)).code(at)
            return read_usage(connection, code)

    def deliveries(self, today: date) -> tuple[Delivery, ...]:
        """Return how long orders took, as `deliveries.read_deliveries`."""
        with self.reading() as connection:
            return read_deliveries(CoreSnapshot(connection), today)

    def stock_sheet(self) -> StockSheet:
        """Return how the shop's own stock list looks."""
        with self.reading() as connection:
            return read_stock_sheet(connection)

    def differences(
        self,
        supply: Supply,
        engines: Iterable[Engine] = (),
        sheet: StockSheet | None = None,
        used: Iterable[Usage] = (),
        at: str = MAIN,
    ) -> tuple[Difference, ...]:
        """Return what a book of a branch says otherwise than the ledger."""
        with self.reading() as connection:
            found = loading.changes(connection, supply, engines, sheet, used, at)
        return tuple(change.difference for change in found)

    def fitted_in(self, engine: str) -> dict[str, int]:
        """Return the pieces that were used in an engine and did not come back, by part number."""
        with self.reading() as connection:
            sums = balances_of_engine(connection, engine)
        return {part: each.fitted for part, each in sums.items() if each.fitted}

    def losses(self, taken: Mapping[str, int], at: str = MAIN) -> tuple[Loss, ...]:
        """Return who would lose held pieces if so many were taken off the shelf of a branch."""
        with self.reading() as connection:
            return losses_of_taking(connection, taken, at)

    def orders(self, *, every: bool = True) -> tuple[PlacedOrder, ...]:
        """Return every order, or those of which something is still to come, oldest first."""
        with self.reading() as connection:
            snapshot = CoreSnapshot(connection)
            return order_reading.read_orders(snapshot) if every else order_reading.read_open_orders(snapshot)

    def no_longer_listed(self) -> tuple[NoLongerListed, ...]:
        """Return what is still to come of sent orders though its supplier no longer lists it."""
        with self.reading() as connection:
            return no_longer_listed(connection)

    def order(self, number: int) -> PlacedOrder:
        """Return one order."""
        with self.reading() as connection:
            return order_reading.read_order(CoreSnapshot(connection), number)

    def board(self, today: date, *, every: bool = False) -> tuple[BoardLine, ...]:
        """Return a line for every open engine and for those closed last, as `board.read_board`."""
        with self.reading() as connection:
            return read_board(connection, today, every=every)

    def own_thicknesses(self) -> dict[str, OwnThickness]:
        """Return the shop's own thickness of every part that was measured."""
        with self.reading() as connection:
            return read_own_thicknesses(connection)

    def lots_on_shelf(self, numbers: Collection[str]) -> dict[str, tuple[Batch, ...]]:
        """Return the deliveries of which pieces may lie on the shelf, of those of which one was measured."""
        with self.reading() as connection:
            return lots_on_shelf(CoreSnapshot(connection), numbers)

    def thicknesses(self) -> tuple[dict[str, OwnThickness], CommonOffset | None]:
        """Return the shop's own thicknesses and the common offset, as the two methods that return one of them."""
        with self.reading() as connection:
            return read_thicknesses(connection)

    def common_offset(self) -> CommonOffset | None:
        """Return by how much all measured cylinders are off alike, as by a gauge; None where they are not."""
        with self.reading() as connection:
            return read_common_offset(connection)

    def build(self, engine: str) -> Build:
        """Return the record of an engine's build."""
        with self.reading() as connection:
            return builds.read_build(connection, engine)

    def refused(self) -> tuple[Refused, ...]:
        """Return what suppliers said that they do not make."""
        with self.reading() as connection:
            return answering.read_refused(connection)

    def people(self) -> tuple[Person, ...]:
        """Return whom the shop knows; nobody where everybody may do everything."""
        with self.reading() as connection:
            return read_people(CoreSnapshot(connection))

    def check_may(self, who: str, what: str) -> None:
        """Refuse a command of somebody who may not give it."""
        with self.reading() as connection:
            check_may(CoreSnapshot(connection), who, what)

    def verify(self) -> Verified:
        """Read everything, and tell what is damaged, as `verifying.verify`."""
        with reading(self._database, self.shown) as connection:
            return verify(connection)

    def history(self, about: str) -> tuple[Entry, ...]:
        """Return the movements of a part or an engine, oldest first."""
        with self.reading() as connection:
            return read_history(connection, about)

    def prices(self, part: str) -> tuple[PastPrice, ...]:
        """Return every price that a part ever had, oldest first."""
        with self.reading() as connection:
            return read_prices(connection, part)

    def events(self, newest: int) -> tuple[PastEvent, ...]:
        """Return the last so many commands, oldest first."""
        with self.reading() as connection:
            return read_events(connection, newest)

    def last_standing(self) -> int | None:
        """Return the newest command that still stands and takes nothing back itself; None where there is none."""
        with self.reading() as connection:
            return last_standing(connection)

    def closed_engine_of(self, number: int) -> str | None:
        """Return the engine whose closed record keeps what a command measured; None where there is none."""
        with self.reading() as connection:
            return closed_engine_of(connection, number)

    def event(self, number: int) -> tuple[PastEvent | None, tuple[Entry, ...]]:
        """Return one command, None where there is no such, and its movements."""
        with self.reading() as connection:
            return read_event(connection, number)
