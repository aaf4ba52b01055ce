"""The ledger: each of its methods is one command, carried out in one transaction."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from pathlib import Path

from sqlalchemy import create_engine
from sqlalchemy.pool import NullPool

from stackopt.choose.asking import Refused
from stackopt.choose.built.build import Build, Chosen
from stackopt.choose.choice_records import Choice, GivingWay, Order, Request
from stackopt.engine.engine_records import Engine
from stackopt.parts.learned import OwnThickness
from stackopt.parts.part_records import InBin, Offer, Part, StockSheet, Supply, Usage
from stackopt.shop import backup
from stackopt.shop.commands import answering, builds, fitting, measuring, orders, people, shelf, taking
from stackopt.shop.commands.holding import Held, hold
from stackopt.shop.commands.planned import note_blocked
from stackopt.shop.commands.receiving import NOTHING_MEASURED, Arrival, PutAway, Readings, bring_in, receive
from stackopt.shop.commands.undo import TakenBack, undo
from stackopt.shop.database.address import Address
from stackopt.shop.database.columns import metadata
from stackopt.shop.database.note import Note
from stackopt.shop.database.opening import is_there, make, open_existing
from stackopt.shop.database.rights import Person
from stackopt.shop.database.sqlite_file import PATIENCE_SECONDS
from stackopt.shop.database.transactions import CoreSnapshot, open_event
from stackopt.shop.entries.branches import MAIN, read_branches
from stackopt.shop.entries.refusals import Refusal, RefusedError
from stackopt.shop.ledger_reading import LedgerReading
from stackopt.shop.loads import loading
from stackopt.shop.loads.difference import Difference
from stackopt.shop.places import between_bins
from stackopt.shop.places.naming import NamedBranch, name_branch, rename_branch
from stackopt.shop.places.transfers import Sent, Wanted, transfer


class Ledger(LedgerReading):
    """The shop's record, opened by `open_ledger`. A command is stored whole or not at all.

    Every method raises `InputError` when the database cannot be read or written, and when what is asked for is not
    there; `RefusedError` among them names who has the pieces that are missing.
    """

    def load(  # noqa: PLR0913 - one for each thing that a book holds
        self,
        supply: Supply,
        note: Note,
        engines: Iterable[Engine] = (),
        shown: Collection[Difference] | None = None,
        sheet: StockSheet | None = None,
        *,
        used: Iterable[Usage] = (),
        at: str = MAIN,
    ) -> tuple[Difference, ...]:
        """Store what a book says otherwise than the ledger, and return it.

        Parameters
        ----------
        supply, engines
            What the book says.
        note
            Who accepts it.
        shown
            The differences that were shown and accepted, all or some of them; None: all there are.
        sheet
            How the book's stock list looks, where it has one.
        used
            What the book says left the shelf.
        at
            The branch whose stock list it holds.
        """
        with self.writing() as connection:
            found = loading.changes(connection, supply, engines, sheet, used, at)
            wanted = found if shown is None else loading.agreed(found, shown)
            loading.store(connection, note, wanted, at)
        return tuple(change.difference for change in wanted)

    def hold(self, request: Request, choice: Choice, note: Note, at: str = MAIN) -> Held | Refusal:
        """Hold all pieces of a choice and draft its orders, or none; a refusal names who has the pieces."""
        try:
            return self.hold_all(request, choice, note, at)
        except RefusedError as error:
            return error.refusal

    def hold_all(
        self, request: Request, choice: Choice, note: Note, at: str = MAIN, *, given_up: GivingWay | None = None
    ) -> Held:
        """Hold all pieces of a choice for a branch and draft its orders; raise `RefusedError` where that cannot be.

        What another engine gives up for it is free first, in the same command.
        """
        with self.writing() as connection:
            return hold(connection, note, request, choice, at, given_up=given_up)

    def note_blocked(self, request: Request, choice: Choice, note: Note) -> int:
        """Write down a choice in which every engine is blocked, so that the board tells it; return the event."""
        with self.writing() as connection:
            return note_blocked(connection, note, request.engines, choice)

    def release(self, engine: str, note: Note) -> fitting.Released:
        """Give back what an engine holds and waits for; return both."""
        with self.writing() as connection:
            return fitting.release(connection, note, engine)

    def use(self, engine: str, note: Note) -> dict[str, int]:
        """Take what an engine holds off the shelf for good; return it."""
        with self.writing() as connection:
            return fitting.use(connection, note, engine)

    def use_taken(self, taken: Chosen, named: frozenset[str], note: Note) -> dict[str, int]:
        """Take off the shelf what the builder took for these cylinders, in place of the choice; return it."""
        with self.writing() as connection:
            return taking.use_taken(connection, note, taken, named)

    def bring_back(self, engine: str, pieces: Mapping[str, int], note: Note, at: str | None = None) -> None:
        """Put pieces that were used in an engine back on the shelf, where it is built or where it is said."""
        with self.writing() as connection:
            fitting.bring_back(connection, note, engine, pieces, at)

    def count(self, counted: Mapping[str, int], note: Note, at: str = MAIN, *, in_bin: str = "") -> shelf.Counted:
        """Set what is on the shelf, or in one bin, to what was counted; return what was found, and who lost pieces."""
        with self.writing() as connection:
            return shelf.count(connection, note, counted, at, in_bin=in_bin)

    def correct(  # noqa: PLR0913 - one for each thing that is said
        self, part: str, difference: int, note: Note, at: str = MAIN, *, held_too: bool = False, in_bin: str = ""
    ) -> None:
        """Add to the shelf, or take from it, what an error in the ledger left out; held pieces where that is said."""
        with self.writing() as connection:
            shelf.correct(connection, note, shelf.ShelfChange({part: difference}, at, in_bin, held_too))

    def scrap(
        self, pieces: Mapping[str, int], note: Note, at: str = MAIN, *, held_too: bool = False, in_bin: str = ""
    ) -> None:
        """Take pieces off the shelf that are no longer good; held ones only where that is said."""
        taken = {number: -each for number, each in pieces.items()}
        with self.writing() as connection:
            shelf.scrap(connection, note, shelf.ShelfChange(taken, at, in_bin, held_too))

    def move(self, wanted: between_bins.Moved, note: Note) -> tuple[InBin, ...]:
        """Carry pieces from one bin of a branch to another; return in which bins they lie then."""
        with self.writing() as connection:
            return between_bins.move_between(connection, note, wanted)

    def bring_in(
        self,
        pieces: Mapping[str, int],
        note: Note,
        at: str = MAIN,
        *,
        readings_mm: Readings = NOTHING_MEASURED,
        in_bin: str = "",
    ) -> Arrival:
        """Take in pieces that came without an order, a kit as its parts; return where they have gone."""
        with self.writing() as connection:
            return bring_in(connection, note, pieces, PutAway(at, readings_mm, in_bin))

    def name_branch(self, said: NamedBranch, note: Note) -> bool:
        """Name a branch, or say how far it is from others; return whether it is new."""
        with self.writing() as connection:
            return name_branch(connection, note, said)

    def rename_branch(self, name: str, new_name: str, note: Note) -> None:
        """Give a branch another name."""
        with self.writing() as connection:
            rename_branch(connection, note, name, new_name)

    def transfer(self, wanted: Wanted, note: Note) -> Sent:
        """Send pieces from one branch to another; return the number of the transfer, and whom it is for."""
        with self.writing() as connection:
            return transfer(connection, note, wanted)

    def draft(self, drafts: Iterable[Order], note: Note, at: str = MAIN) -> tuple[int, ...]:
        """Write orders to a branch down that no engine waits for; return their numbers."""
        with self.writing() as connection:
            branch = read_branches(CoreSnapshot(connection)).code(at)
            return orders.draft_orders(connection, open_event(connection, "draft", note), drafts, branch)

    def send(self, order: int, note: Note, on: date | None = None) -> tuple[orders.ChangedLine, ...]:
        """Mark a draft as sent on a day, None for today; return the lines listed otherwise by now."""
        with self.writing() as connection:
            return orders.send(connection, note, order, on)

    def confirm(self, said: orders.Confirmed, note: Note) -> None:
        """Write down what the supplier confirmed of one line of an order: the day it comes, the price of a pack."""
        with self.writing() as connection:
            orders.confirm(connection, note, said)

    def answered(self, part: Part, offer: Offer, note: Note, today: date) -> None:
        """Store what a supplier offers on the telephone as an offer of his, and the part where it is new."""
        with self.writing() as connection:
            answering.answered(connection, note, part, offer, today)

    def does_not_make(self, refused: Refused, note: Note) -> None:
        """Store that a supplier does not make a gasket of some thickness."""
        with self.writing() as connection:
            answering.does_not_make(connection, note, refused)

    def cancel(self, order: int, note: Note) -> tuple[str, ...]:
        """Cancel what has not arrived of an order; return the engines that waited for a piece of it."""
        with self.writing() as connection:
            return orders.cancel(connection, note, order)

    def receive(  # noqa: PLR0913 - one for each thing that is said of an arrival
        self,
        order: int,
        note: Note,
        arrived: Mapping[str, int] | None = None,
        at: str | None = None,
        *,
        readings_mm: Readings = NOTHING_MEASURED,
        in_bin: str = "",
    ) -> Arrival:
        """Take in what arrived of an order, in pieces by part number, None for all; return where it has gone."""
        with self.writing() as connection:
            return receive(connection, note, order, arrived, PutAway(at, readings_mm, in_bin))

    def undo(self, event: int, note: Note, *, learning_too: bool = False) -> TakenBack:
        """Take a command back by a further one; return what it was, and what stays or ends, as `undo.undo`."""
        with self.writing() as connection:
            return undo(connection, note, event, learning_too=learning_too)

    def measure(self, engine: str, cylinder: str, places_mm: Sequence[float], note: Note) -> bool:
        """Write down a measured quench, mm at one or more places; return whether it is learned from."""
        with self.writing() as connection:
            return measuring.measure(connection, note, engine, cylinder, places_mm)

    def adopt(self, part: str, note: Note) -> OwnThickness:
        """Let the choice go by the shop's own thickness of a part from now on."""
        with self.writing() as connection:
            return measuring.adopt(connection, note, part)

    def close(self, engine: str, note: Note) -> Build:
        """Close the record of an engine's build for good."""
        with self.writing() as connection:
            return builds.close(connection, note, engine)

    def allow(self, person: Person, note: Note) -> None:
        """Let somebody do this and nothing else from now on."""
        with self.writing() as connection:
            people.allow(connection, note, person.name, person.rights)

    def forget(self, name: str, note: Note) -> None:
        """Know somebody no more."""
        with self.writing() as connection:
            people.forget(connection, note, name)

    def back_up(self, file: Path) -> int:
        """Copy the whole ledger into a new file, read it back, and return how many rows it has."""
        return backup.back_up(self._database, self.shown, file)

    def restored_to(self, written: str) -> int:
        """Copy the whole ledger into one that does not exist yet, by path or URL; return how many rows it has."""
        return backup.restore(self._database, Address.read(written))


def ledger_is_there(written: str, patience_seconds: float = PATIENCE_SECONDS) -> bool:
    """Tell whether there is a ledger at a path or URL."""
    return is_there(Address.read(written), patience_seconds)


def first_differences(
    supply: Supply,
    engines: Iterable[Engine] = (),
    sheet: StockSheet | None = None,
    used: Iterable[Usage] = (),
    at: str = MAIN,
) -> tuple[Difference, ...]:
    """Return what a book would bring into a ledger that is not there yet."""
    with create_engine("sqlite://", poolclass=NullPool).begin() as nothing:
        metadata.create_all(nothing)
        found = loading.changes(nothing, supply, engines, sheet, used, at)
        return tuple(change.difference for change in found)


def open_ledger(written: str, patience_seconds: float = PATIENCE_SECONDS) -> Ledger:
    """Open a ledger by its path or URL, brought up to date when it was made by an older program.

    Raises
    ------
    InputError
        When there is none, it cannot be opened, it is damaged, or a newer program made it.
    """
    address = Address.read(written)
    return Ledger(open_existing(address, patience_seconds), address.shown)


def make_ledger(written: str, patience_seconds: float = PATIENCE_SECONDS) -> Ledger:
    """Open a ledger by its path or URL; where there is none, make an empty one.

    Raises
    ------
    InputError
        As `open_ledger`, and when what is there is something else.
    """
    address = Address.read(written)
    return Ledger(make(address, patience_seconds), address.shown)
