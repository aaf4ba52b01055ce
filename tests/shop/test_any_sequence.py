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

from stackopt.choose.records import Use
from stackopt.problems import InputError
from stackopt.shop.entries.refusals import Refusal
from stackopt.shop.ledger import open_ledger
from tests.full import FULL, WHOLE
from tests.shop.situations import ANA, HEAD, SHOP, THIN, THIN_OFFER, asked, choice_of, fitted, order_of, twin

EXAMPLES, STEPS = (400, 50) if FULL else (10, 20) if WHOLE else (5, 20)
PARTS = ("BG-040", "HG-050", "KIT-A")
KIT = {"BG-040": 2, "HG-050": 2}

# What a counter counts: ("shelf", part), ("held", engine, part), ("fitted", engine, part),
# ("promised", engine, part, order), ("coming", order, part).
Key = tuple[str | int, ...]
Change = Counter[Key]

parts = st.sampled_from(PARTS)
engines = st.sampled_from(["J-1", "J-2", "J-3"])
few = st.integers(1, 3)


class Said(NamedTuple):
    """What an event says beside its change: what it counted, whether it only tells of the shelf, what it takes back."""

    counted: tuple[str, ...] = ()
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

    def on_hand(self, part: str, void: set[int]) -> int:
        """Return what would lie there without the void events: a count says it anew, all else adds."""
        stored = stands = 0
        for number, (change, said) in enumerate(zip(self.log, self.said, strict=True), start=1):
            stored += change["shelf", part]
            if not said.undoes and number not in void:
                stands = stored if part in said.counted else stands + change["shelf", part]
        return stands

    def of(self, *start: str | int) -> dict[Key, int]:
        return {key: count for key, count in self.counts.items() if key[: len(start)] == start and count}

    def held(self, part: str) -> int:
        return sum(count for key, count in self.counts.items() if key[0] == "held" and key[2] == part)

    def apply(self, change: Change) -> bool:
        """Store a change, if the shelf makes sense afterwards."""
        after = Counter(self.counts)
        for key, amount in change.items():
            after[key] += amount
        before, self.counts = self.counts, after
        if min(after.values(), default=0) < 0 or any(self.held(p) > after["shelf", p] for p in PARTS):
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
        self.shelf.said.append(Said(tuple(SHOP.stock), of_shelf=True))
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
        self.both(
            lambda: self.ledger.count({part: found}, ANA), self.counted(part, found), Said((part,), of_shelf=True)
        )

    def counted(self, part: str, found: int) -> Change:
        """Return what a count changes: the least urgent engines lose what they hold and is not there."""
        change: Change = Counter({("shelf", part): found - self.shelf.counts["shelf", part]})
        short = self.shelf.held(part) - found
        holders = [key for key in self.shelf.of("held") if key[2] == part]
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
            self.both(lambda: self.ledger.load(book, ANA), self.counted(part, found), Said((part,), of_shelf=True))

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
        for key, count in {**self.shelf.of("held", engine), **self.shelf.of("promised", engine)}.items():
            change[key] -= count
        orders = (order_of(THIN_OFFER, packs),) if packs else ()
        choice = choice_of(fitted(engine, THIN, HEAD), use=tuple(use), orders=orders)
        if self.both(lambda: self.ledger.hold(asked(twin(engine)), choice, ANA), change):
            self.note(engine, "held")
            if packs:
                self.bought[order] = packs * THIN_OFFER.pack
                self.note(order, "draft")

    @rule(engine=engines)
    def release(self, engine: str) -> None:
        given_up = {**self.shelf.of("held", engine), **self.shelf.of("promised", engine)}
        change = Counter({key: -count for key, count in given_up.items()})
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
        coming = self.shelf.counts["coming", order, "BG-040"]
        if self.step(order) != "sent" or not coming:
            self.both(lambda: self.ledger.receive(order, ANA, {"BG-040": quantity}), None)
            return
        change = Counter({("coming", order, "BG-040"): -quantity, ("shelf", "BG-040"): quantity})
        waiting = [(key, count) for key, count in self.shelf.of("promised").items() if key[3] == order]
        for key, count in waiting:  # one engine: each hold of this model drafts an order of its own
            change[key] -= min(count, quantity)
            change["held", key[1], "BG-040"] += min(count, quantity)
        self.both(lambda: self.ledger.receive(order, ANA, {"BG-040": quantity}), change, Said(of_shelf=True))

    @rule(order=few)
    def cancel(self, order: int) -> None:
        coming = self.shelf.counts["coming", order, "BG-040"]
        step = self.step(order)
        change = None
        if step == "draft" or (step == "sent" and coming):
            change = Counter({("coming", order, "BG-040"): -coming})
            change.update({key: -n for key, n in self.shelf.of("promised").items() if key[3] == order})
        if self.both(lambda: self.ledger.cancel(order, ANA), change):
            self.note(order, "cancelled")

    @rule(back=st.integers(0, 3))
    def undo(self, back: int) -> None:
        """Take back one of the last commands, but never the first load."""
        number = len(self.shelf.log) - back
        if number < 2:
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
            for part in PARTS:
                right = self.shelf.on_hand(part, after) - self.shelf.on_hand(part, before)
                if ("shelf", part) in change:
                    change["shelf", part] = right
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
            coming = {"draft": bought, "sent": after["coming", order, "BG-040"]}.get(steps[order] or "", 0)
            if promised > coming:
                return True
        return False

    @invariant()
    def sums_agree(self) -> None:
        sums = self.ledger.balances()
        for part in PARTS:
            of_part = {key: count for key, count in self.shelf.counts.items() if part in key}
            totals = Counter({kind: sum(n for key, n in of_part.items() if key[0] == kind) for kind in KINDS})
            found = sums[part]
            assert (found.on_hand, found.held, found.fitted) == (totals["shelf"], totals["held"], totals["fitted"])
            assert (found.on_order, found.promised) == (totals["coming"], totals["promised"])
            assert self.ledger.supply().free(part) == found.free >= 0


KINDS = ("shelf", "held", "fitted", "promised", "coming")
TestAnySequence = AnySequence.TestCase
TestAnySequence.settings = settings(max_examples=EXAMPLES, stateful_step_count=STEPS, deadline=None)


@pytest.fixture(autouse=True, scope="module")
def _an_empty_ledger_to_copy(empty_file: Path) -> None:
    AnySequence.empty = empty_file  # type: ignore[attr-defined]
