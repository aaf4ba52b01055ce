"""Any sequence of commands, against a model of the shelf in plain counters.

The ordinary run is short; many and longer sequences: ``STACKOPT_FULL=1 pytest tests/shop/test_any_sequence.py``.
"""

from __future__ import annotations

import shutil
import tempfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from msgspec.structs import replace

from stackopt.choose.choice_records import Use
from stackopt.problems import InputError
from stackopt.shop.database.acts import Balance
from stackopt.shop.entries.refusals import Refusal
from stackopt.shop.ledger import open_ledger
from stackopt.shop.places.naming import NamedBranch
from stackopt.shop.places.transfers import Wanted
from tests.full import FULL, WHOLE
from tests.shop.places.two import MAIN, OTHER
from tests.shop.situations import ANA, HEAD, SHOP, THIN, THIN_OFFER, TODAY, asked, choice_of, fitted, order_of, twin

EXAMPLES, STEPS = (400, 50) if FULL else (10, 20) if WHOLE else (5, 20)
PARTS = ("BG-040", "HG-050", "KIT-A")
KIT = {"BG-040": 2, "HG-050": 2}
# Where pieces lie, and the counter of what is held there.
HELD_AT = {"shelf": "held", "away": "lent"}

# What a counter counts: ("shelf", part), ("held", engine, part), ("fitted", engine, part),
# ("promised", engine, part, order), ("coming", order, part); at the other branch ("away", part) and
# ("lent", engine, part).
Key = tuple[str | int, ...]
Change = Counter[Key]

parts = st.sampled_from(PARTS)
engines = st.sampled_from(["J-1", "J-2", "J-3"])
few = st.integers(1, 3)


class Said(NamedTuple):
    """What an event says beside its change: what it counted, whether it only tells of the shelf, what it takes back."""

    counted: tuple[Key, ...] = ()
    of_shelf: bool = False
    undoes: int = 0


NOTHING_MORE = Said()


class Shelf:
    """The model: counters that must not fall below zero, and held pieces that must lie on the shelf."""

    def __init__(self) -> None:
        self.counts: Change = Counter()
        self.log: list[Change] = []
        self.said: list[Said] = []

    def void(self) -> set[int]:
        """Return the events that do not stand."""
        found: set[int] = set()
        for number in range(len(self.said), 0, -1):
            if number not in found and self.said[number - 1].undoes:
                found.add(self.said[number - 1].undoes)
        return found

    def on_hand(self, place: Key, void: set[int]) -> int:
        """Return what would lie there without the void events: a count says it anew, all else adds."""
        stored = stands = 0
        for number, (change, said) in enumerate(zip(self.log, self.said, strict=True), start=1):
            stored += change[place]
            if not said.undoes and number not in void:
                stands = stored if place in said.counted else stands + change[place]
        return stands

    def of(self, *start: str | int) -> dict[Key, int]:
        return {key: count for key, count in self.counts.items() if key[: len(start)] == start and count}

    def held(self, part: str, at: str = "shelf") -> int:
        """Return how many pieces of a part are held at the main branch or, `at` "away", at the other."""
        return sum(count for key, count in self.counts.items() if key[0] == HELD_AT[at] and key[2] == part)

    def apply(self, change: Change) -> bool:
        """Store a change, if the shelf makes sense afterwards."""
        after = Counter(self.counts)
        for key, amount in change.items():
            after[key] += amount
        before, self.counts = self.counts, after
        if min(after.values(), default=0) < 0 or any(self.held(p, at) > after[at, p] for p in PARTS for at in HELD_AT):
            self.counts = before
            return False
        self.log.append(change)
        return True


class AnySequence(RuleBasedStateMachine):
    """Gives the same commands to the ledger and to the model; both must do the same, or both refuse."""

    @initialize()
    def open_shop(self) -> None:
        self.folder = tempfile.mkdtemp(prefix="stackopt-shop-")
        path = Path(shutil.copy(AnySequence.empty, self.folder))  # type: ignore[attr-defined]
        self.ledger = open_ledger(str(path))
        self.ledger.load(SHOP, ANA)
        self.shelf = Shelf()
        assert self.shelf.apply(Counter({("shelf", number): line.on_hand for number, line in SHOP.stock.items()}))
        self.shelf.said.append(Said(tuple(("shelf", number) for number in SHOP.stock), of_shelf=True))
        for named in (NamedBranch(MAIN), NamedBranch(OTHER, {MAIN: 2})):
            self.both(lambda named=named: self.ledger.name_branch(named, ANA), Counter())  # type: ignore[misc]
        # Of each transfer: its part, and where it comes from and goes.
        self.transfers: dict[int, tuple[str, str, str]] = {}
        self.undone: set[int] = set()
        self.bought: dict[int, int] = {}  # pieces of each order
        # Of each engine and order: the events that changed it, and what to ("held", or the order's step).
        self.versions: dict[str | int, list[tuple[int, str]]] = {}

    def teardown(self) -> None:
        shutil.rmtree(self.folder)

    def both(self, command: Callable[[], object], change: Change | None, said: Said = NOTHING_MORE) -> bool:
        """Carry a command out on both; None: the model knows that it must be refused."""
        try:
            done = not isinstance(command(), Refusal)
        except InputError:
            done = False
        expected = change is not None and self.shelf.apply(change)
        assert done == expected
        if done:
            self.shelf.said.append(said)
        return done

    @rule(part=parts, found=st.integers(0, 6))
    def count(self, part: str, found: int) -> None:
        said = Said((("shelf", part),), of_shelf=True)
        self.both(lambda: self.ledger.count({part: found}, ANA), self.counted(part, found), said)

    @rule(part=parts, found=st.integers(0, 6))
    def count_away(self, part: str, found: int) -> None:
        said = Said((("away", part),), of_shelf=True)
        self.both(lambda: self.ledger.count({part: found}, ANA, OTHER), self.counted(part, found, "away"), said)

    def counted(self, part: str, found: int, at: str = "shelf") -> Change:
        """Return what a count changes: the least urgent engines lose what they hold and is not there."""
        change: Change = Counter({(at, part): found - self.shelf.counts[at, part]})
        short = self.shelf.held(part, at) - found
        holders = [key for key in self.shelf.of(HELD_AT[at]) if key[2] == part]
        holders.sort(key=lambda key: (not self.shelf.of("fitted", key[1]), key[1]), reverse=True)
        for key in holders:
            lost = max(0, min(short, self.shelf.counts[key]))
            change[key] -= lost
            short -= lost
        return change

    @rule(part=parts, found=st.integers(0, 6))
    def load_a_book(self, part: str, found: int) -> None:
        counted = {number: replace(SHOP.stock[number], on_hand=self.shelf.counts["shelf", number]) for number in PARTS}
        counted[part] = replace(counted[part], on_hand=found)
        difference = found - self.shelf.counts["shelf", part]
        book = replace(SHOP, stock=SHOP.stock | counted)
        if not difference:
            assert self.ledger.load(book, ANA) == ()
        else:
            said = Said((("shelf", part),), of_shelf=True)
            self.both(lambda: self.ledger.load(book, ANA), self.counted(part, found), said)

    @rule(part=parts, quantity=few)
    def scrap(self, part: str, quantity: int) -> None:
        change = Counter({("shelf", part): -quantity})
        self.both(lambda: self.ledger.scrap({part: quantity}, ANA), change, Said(of_shelf=True))

    @rule(part=parts, quantity=few)
    def bring_in(self, part: str, quantity: int) -> None:
        contents = KIT if part == "KIT-A" else {part: 1}
        change = Counter({("shelf", number): each * quantity for number, each in contents.items()})
        self.both(lambda: self.ledger.bring_in({part: quantity}, ANA), change, Said(of_shelf=True))

    @rule(engine=engines, packs=st.integers(0, 2), open_kit=st.booleans())
    def hold(self, engine: str, packs: int, open_kit: bool) -> None:
        """Two head gaskets off the shelf; two base gaskets from an order, out of an opened set, or off the shelf."""
        use = [Use("HG-050", "shelf", 2)]
        change: Change = Counter({("held", engine, "HG-050"): 2})
        if open_kit:
            use.append(Use("KIT-A", "shelf", 1))
            change.update({("shelf", number): each for number, each in KIT.items()})
            change["shelf", "KIT-A"] -= 1
        order = sum(isinstance(key, int) for key in self.versions) + 1
        if packs:
            use.append(Use("BG-040", "Quillhaven", 2))
            change["promised", engine, "BG-040", order] += 2
        else:
            use.append(Use("BG-040", "KIT-A" if open_kit else "shelf", 2))
            change["held", engine, "BG-040"] += 2
        change.subtract(self.given_up(engine))
        orders = (order_of(THIN_OFFER, packs),) if packs else ()
        choice = choice_of(fitted(engine, THIN, HEAD), use=tuple(use), orders=orders)
        if self.both(lambda: self.ledger.hold(asked(twin(engine)), choice, ANA), change):
            self.note(engine, "held")
            if packs:
                self.bought[order] = packs * THIN_OFFER.pack
                self.note(order, "draft")

    def given_up(self, engine: str) -> dict[Key, int]:
        """Return what an engine holds and waits for."""
        of = self.shelf.of
        return {**of("held", engine), **of("lent", engine), **of("promised", engine)}

    @rule(engine=engines)
    def hold_from_the_other_branch(self, engine: str) -> None:
        """Two base gaskets off the shelf here, two head gaskets of the other branch."""
        use = (Use("BG-040", "shelf", 2), Use("HG-050", f"branch {OTHER}", 2))
        change: Change = Counter({("held", engine, "BG-040"): 2, ("lent", engine, "HG-050"): 2})
        change.subtract(self.given_up(engine))
        choice = choice_of(fitted(engine, THIN, HEAD), use=use)
        if self.both(lambda: self.ledger.hold(asked(twin(engine)), choice, ANA), change):
            self.note(engine, "held")

    @rule(part=parts, quantity=few, home=st.booleans())
    def transfer(self, part: str, quantity: int, home: bool) -> None:
        """Send pieces to the other branch, or home; what is lent to engines comes home first and stays theirs."""
        origin, destination = ("away", "shelf") if home else ("shelf", "away")
        order = sum(isinstance(key, int) for key in self.versions) + 1
        change: Change = Counter({(origin, part): -quantity, ("coming", order, part): quantity})
        left = quantity
        for key, count in sorted(self.shelf.of("lent").items()) if home else ():
            taken = min(left, count) if key[2] == part else 0
            left -= taken
            if taken:
                change[key] -= taken
                change["promised", key[1], part, order] += taken
        ends = (OTHER, MAIN) if home else (MAIN, OTHER)
        if self.both(lambda: self.ledger.transfer(Wanted({part: quantity}, *ends, TODAY), ANA), change):
            self.transfers[order] = (part, origin, destination)
            self.bought[order] = quantity
            self.note(order, "sent")

    def part_of(self, order: int) -> str:
        return self.transfers.get(order, ("BG-040",))[0]

    @rule(engine=engines)
    def release(self, engine: str) -> None:
        change = Counter({key: -count for key, count in self.given_up(engine).items()})
        self.both(lambda: self.ledger.release(engine, ANA), change or None)

    @rule(engine=engines)
    def use(self, engine: str) -> None:
        change: Change = Counter()
        for (_, _, part), count in self.shelf.of("held", engine).items():
            change.update({("fitted", engine, part): count, ("shelf", part): -count, ("held", engine, part): -count})
        self.both(lambda: self.ledger.use(engine, ANA), change or None)

    @rule(engine=engines, part=parts, quantity=few)
    def bring_back(self, engine: str, part: str, quantity: int) -> None:
        change = Counter({("fitted", engine, part): -quantity, ("shelf", part): quantity})
        self.both(lambda: self.ledger.bring_back(engine, {part: quantity}, ANA), change)

    def note(self, key: str | int, value: str) -> None:
        self.versions.setdefault(key, []).append((len(self.shelf.log), value))

    def step(self, order: int) -> str:
        steps = self.versions.get(order)
        return steps[-1][1] if steps else "none"

    @rule(order=few)
    def send(self, order: int) -> None:
        draft = self.step(order) == "draft"
        packs = self.ledger.orders()[order - 1].lines[0].packs if draft else 0
        change = Counter({("coming", order, "BG-040"): packs * THIN_OFFER.pack}) if draft else None
        if self.both(lambda: self.ledger.send(order, ANA), change):
            self.note(order, "sent")

    @rule(order=few, quantity=few)
    def receive(self, order: int, quantity: int) -> None:
        part, _, at = self.transfers.get(order, ("BG-040", "", "shelf"))
        coming = self.shelf.counts["coming", order, part]
        if self.step(order) != "sent" or not coming:
            self.both(lambda: self.ledger.receive(order, ANA, {part: quantity}), None)
            return
        change = Counter({("coming", order, part): -quantity, (at, part): quantity})
        left = quantity
        for key, count in sorted(self.shelf.of("promised").items()):  # of a transfer alone several engines may wait
            taken = min(count, left) if key[3] == order else 0
            left -= taken
            change[key] -= taken
            change["held", key[1], part] += taken
        self.both(lambda: self.ledger.receive(order, ANA, {part: quantity}), change, Said(of_shelf=True))

    @rule(order=few)
    def cancel(self, order: int) -> None:
        part, origin, _ = self.transfers.get(order, ("BG-040", "", ""))
        coming = self.shelf.counts["coming", order, part]
        step = self.step(order)
        change: Change | None = None
        if step == "draft" or (step == "sent" and coming):
            change = Counter({("coming", order, part): -coming})
            promised = {key: n for key, n in self.shelf.of("promised").items() if key[3] == order}
            change.subtract(promised)
            if origin:  # what was sent lies where it lay, and is held there as it was
                change[origin, part] += coming
                change.update({("lent", key[1], part): n for key, n in promised.items()})
        if self.both(lambda: self.ledger.cancel(order, ANA), change):
            self.note(order, "cancelled")

    @rule(back=st.integers(0, 3))
    def undo(self, back: int) -> None:
        """Take back one of the last commands, but never the first load or the naming of the branches."""
        number = len(self.shelf.log) - back
        if number < 4:
            return
        changed = [key for key, versions in self.versions.items() if any(event == number for event, _ in versions)]
        overtaken = any(self.versions[key][-1][0] != number for key in changed)
        change = self.taken_back(number)
        steps = {key: self.before(key) if key in changed else self.step(key) for key in self.bought}
        may_be = None if number in self.undone or overtaken or self.promised_too_much(change, steps) else change
        said = Said(of_shelf=self.shelf.said[number - 1].of_shelf, undoes=number)
        if self.both(lambda: self.ledger.undo(number, ANA), may_be, said):
            self.undone.add(number)
            for key in changed:
                self.note(key, self.before(key))

    def taken_back(self, number: int) -> Change:
        """Return the counter-change of an event; a later count says what lies there whatever was told before it."""
        change = Counter({key: -count for key, count in self.shelf.log[number - 1].items()})
        if self.shelf.said[number - 1].of_shelf:
            before = self.shelf.void()
            self.shelf.said.append(Said(undoes=number))
            after = self.shelf.void()
            self.shelf.said.pop()
            for place in [key for key in change if key[0] in HELD_AT]:
                change[place] = self.shelf.on_hand(place, after) - self.shelf.on_hand(place, before)
        return change

    def before(self, key: str | int) -> str:
        """Return the step of an order, or the choice of an engine, before the last."""
        return self.versions[key][-2][1] if len(self.versions[key]) > 1 else "cancelled"

    def promised_too_much(self, change: Change, steps: dict[int, str | None]) -> bool:
        """Tell whether engines would wait for more of an order than it brings."""
        after = Counter(self.shelf.counts)
        for key, count in change.items():
            after[key] += count
        for order, bought in self.bought.items():
            promised = sum(count for key, count in after.items() if key[0] == "promised" and key[3] == order)
            coming = {"draft": bought, "sent": after["coming", order, self.part_of(order)]}.get(steps[order] or "", 0)
            if promised > coming:
                return True
        return False

    @invariant()
    def sums_agree(self) -> None:
        sums, places = self.ledger.balances(), self.ledger.places()
        for part in PARTS:
            of_part = {key: count for key, count in self.shelf.counts.items() if part in key}
            totals = Counter({kind: sum(n for key, n in of_part.items() if key[0] == kind) for kind in KINDS})
            found = sums[part]
            here, away = (places.get((part, name), Balance()) for name in (MAIN, OTHER))
            assert (here.on_hand, here.held, found.fitted) == (totals["shelf"], totals["held"], totals["fitted"])
            assert (away.on_hand, away.held) == (totals["away"], totals["lent"])
            assert (found.on_hand, found.held) == (here.on_hand + away.on_hand, here.held + away.held)
            assert (found.on_order, found.promised) == (totals["coming"], totals["promised"])
            assert self.ledger.supply().free(part) == found.free >= 0
            assert self.ledger.supply(at=OTHER).free(part) == away.free >= 0


KINDS = ("shelf", "held", "fitted", "promised", "coming", "away", "lent")
TestAnySequence = AnySequence.TestCase
TestAnySequence.settings = settings(max_examples=EXAMPLES, stateful_step_count=STEPS)


@pytest.fixture(autouse=True, scope="module")
def _an_empty_ledger_to_copy(empty_file: Path) -> None:
    AnySequence.empty = empty_file  # type: ignore[attr-defined]
