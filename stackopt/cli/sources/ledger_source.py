"""The shop's ledger in place of books: what `fit` and `plan` read without --book, and what --hold holds in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import cached_property
from shlex import quote
from typing import TYPE_CHECKING

from msgspec import Struct, field

from stackopt.choose.built.board import EngineState
from stackopt.choose.choice_records import ON_ORDER, Holder, fitted_pieces
from stackopt.choose.coming import BRANCH
from stackopt.cli.looking import check_may_look, who_calls
from stackopt.problems import InputError, Place, Problem
from stackopt.shop.database.faults import without_password
from stackopt.shop.database.note import Note

if TYPE_CHECKING:
    from stackopt.choose.choice_records import Choice, Fitted, Order, Request
    from stackopt.engine.engine_records import Engine
    from stackopt.parts.part_records import Part, Supply, Usage
    from stackopt.shop.glance import Glance
    from stackopt.shop.ledger import Ledger


class LedgerSource(Struct, dict=True):
    """A ledger as a source of parts for engines.

    `reader` is what is read with: a glance where that will do. `asking` are engines whose held pieces count as free;
    `previous` is what these hold them for. From `today` on the arrival of drafted orders counts. `at` is the branch
    where they are built, empty for the main one.
    """

    where: str
    reader: Glance | Ledger
    today: date
    at: str = ""
    asking: list[str] = field(default_factory=list)
    previous: Fitted = field(default_factory=dict)

    @cached_property
    def ledger(self) -> Ledger:
        """The ledger itself, to write in and to ask for more than a glance tells."""
        # SQLAlchemy takes longer to import than a single engine to solve.
        from stackopt.shop.ledger import open_ledger  # noqa: PLC0415

        return open_ledger(self.where)

    def engines(self) -> tuple[Engine, ...]:
        """Return the engines that still have to be planned; what they keep of an earlier choice then counts as free."""
        engines = self.ledger.engines(self.at)
        self.asking += [engine.name for engine in engines]
        return engines

    def held_engines(self) -> tuple[Engine, ...]:
        """Return the engines whose parts are held and could still be others; what they hold then counts as free."""
        held = self.ledger.held_choices(self.at)
        self.asking += [each.engine.name for each in held]
        self.previous = fitted_pieces([each.fitted for each in held])
        return tuple(each.engine for each in held)

    def engine(self, name: str) -> Engine:
        """Return one engine of the ledger."""
        return self.reader.engine(name)

    @property
    def parts(self) -> Mapping[str, Part]:
        """All parts, by number."""
        return self.reader.supply().parts

    def holders(self) -> list[Holder]:
        """Return the engines that are not asked about and hold pieces here which they could still give back."""
        branches = self.ledger.branches()
        own = branches.name(branches.code(self.at))
        return [
            Holder(line.engine, line.due, line.holds)
            for line in self.ledger.board(self.today)
            if line.holds and line.engine not in self.asking and line.state in (EngineState.WAITING, EngineState.READY)
            if line.branch == own
        ]

    @property
    def supply(self) -> Supply:
        """Everything that can be fitted and bought."""
        return self.reader.supply(None, self.asking, today=self.today, at=self.at)

    @property
    def usage(self) -> tuple[Usage, ...]:
        """What left the shelf."""
        return self.ledger.usage()

    def supply_for(self, families: Collection[str]) -> Supply:
        """Return what can be fitted on and bought for engines of these families."""
        return self.reader.supply(families, self.asking, today=self.today, at=self.at)

    def hold(self, request: Request, choice: Choice, note: Note) -> str:
        """Hold all pieces of a choice, or none; return in words what was held and drafted.

        Raises
        ------
        InputError
            When pieces are not free any more; names who has them.
        """
        if all(engine.blocked for engine in choice.engines):
            self.ledger.note_blocked(request, choice, note)
            return "Nothing is held: no engine can be finished."
        coming = Counter(self.ledger.supply(today=self.today).pieces_under_way if choice.orders else {})
        coming -= Counter({each.part: each.quantity for each in choice.use if each.source == ON_ORDER})
        held = self.ledger.hold_all(request, choice, note, self.at)
        engines = [engine.engine for engine in choice.engines if not engine.blocked]
        bought = {line.offer.part for order in choice.orders for line in order.lines}
        coming_twice = sorted(bought & coming.keys())
        told = [f"{coming[part]} of {part} are on their way to the shelf already." for part in coming_twice]
        told += [words for engine in self.asking for words in self._fitted_before(engine)]
        told += self._to_bring(choice)
        return " ".join([f"Held for {', '.join(engines)}, as event {held.event}.", *_drafted(held.orders), *told])

    def _fitted_before(self, engine: str) -> Iterator[str]:
        """Tell what was used in an engine before: all that it needs was held anew."""
        pieces = self.ledger.fitted_in(engine).items()
        if pieces:
            given = ", ".join(f"{quantity} of {part}" for part, quantity in pieces)
            back = " ".join(f"{quote(part)}={quantity}" for part, quantity in pieces)
            yield f"{engine} was given {given} before; what is not in it: stackopt shop return {quote(engine)} {back}."

    def _to_bring(self, choice: Choice) -> Iterator[str]:
        """Tell which branch has to send what was held there."""
        senders = {each.source.removeprefix(BRANCH) for each in choice.use if each.source.startswith(BRANCH)}
        for sender in sorted(senders):
            branches = self.ledger.branches()
            own = branches.name(branches.code(self.at))
            command = f"stackopt shop transfer --due --from {quote(sender)} --to {quote(own)}"
            yield f"{sender} has to send what is held there: {command}."

    def remarks(self, orders: Iterable[Order]) -> Iterator[str]:
        """Tell which lines of orders rest on something told long ago."""
        from stackopt.shop.standing.told import OLD_AFTER_DAYS, told_before  # noqa: PLC0415 - not where books are read

        for order in orders:
            for line in order.lines:
                told = told_before(line.offer) if line.offer.special_order else None
                if told is not None and (self.today - told[0]).days > OLD_AFTER_DAYS:
                    yield (
                        f"{line.offer.part}: {order.supplier} told {told[1]} its price {(self.today - told[0]).days} "
                        "days ago, which is old: ask again before you count on it."
                    )

    def draft(self, orders: Sequence[Order], note: Note) -> str:
        """Write orders to this branch down as drafts; return in words what was drafted."""
        return " ".join(_drafted(self.ledger.draft(orders, note, self.at) if orders else ())) or "Nothing to draft."


def _drafted(numbers: Iterable[int]) -> list[str]:
    return [f"Order {number} is drafted: stackopt shop send {number}." for number in numbers]


def open_ledger_source(ledger: str, today: date) -> LedgerSource:
    """Open the ledger for whoever calls.

    Raises
    ------
    InputError
        When there is none, it cannot be read, or its shop does not know who calls.
    """
    check_may_look(ledger, who_calls())
    from stackopt.shop.glance import glance_at  # noqa: PLC0415 - not where books are read

    glance = glance_at(ledger)
    if glance is not None:
        return LedgerSource(ledger, glance, today)
    from stackopt.shop.ledger import ledger_is_there, open_ledger  # noqa: PLC0415 - as in LedgerSource.ledger

    if not ledger_is_there(ledger):
        mend = "Name the shop's lists, each with --book FILE; or make a ledger of them, stackopt shop load BOOK."
        raise InputError(Problem(Place(without_password(ledger)), "", "the shop's ledger, or at least one book", mend))
    return LedgerSource(ledger, open_ledger(ledger), today)
