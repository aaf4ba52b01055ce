"""Works on a ledger until it is killed: load, hold, use, receive, in turn; run by `test_killed`.

``python -m tests.shop.worker ADDRESS SEED``
"""

from __future__ import annotations

import random
import sys

import click
from msgspec.structs import replace

from stackopt.choose.choice_records import Use
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import Ledger, open_ledger
from tests.shop.situations import HEAD, SHOP, THIN, THIN_OFFER, asked, choice_of, fitted, from_shelf, order_of, twin

NOTE = Note("worker")
# Enough rows that a kill falls into the middle of a load often.
MANY = {f"BG-{number:04}": replace(THIN, number=f"BG-{number:04}") for number in range(300)}


def load(ledger: Ledger, rng: random.Random) -> None:
    """A stocktake: every part is described anew, and as many pieces lie there as are held, and four more."""
    sums = ledger.balances()
    stock = {
        number: replace(line, on_hand=(sums[number].held if number in sums else 0) + 4)
        for number, line in SHOP.stock.items()
    }
    described = {number: replace(part, description=f"no. {rng.random()}") for number, part in MANY.items()}
    ledger.load(replace(SHOP, parts=SHOP.parts | described, stock=stock), NOTE)


def hold_and_use(ledger: Ledger, engine: str) -> None:
    ledger.hold(*from_shelf(engine), NOTE)
    ledger.use(engine, NOTE)


def order_and_receive(ledger: Ledger, engine: str) -> None:
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted(engine, THIN, HEAD), use=use, orders=(order_of(THIN_OFFER, 2),))
    ledger.hold(asked(twin(engine)), choice, NOTE)
    number = ledger.orders()[-1].number
    ledger.send(number, NOTE)
    ledger.receive(number, NOTE, {"BG-040": 3})


def work(address: str, seed: str) -> None:
    ledger = open_ledger(address)
    rng = random.Random(seed)
    load(ledger, rng)
    click.echo("ready")
    for turn in range(1_000_000):
        rng.choice((hold_and_use, order_and_receive))(ledger, f"J-{seed}-{turn}")
        load(ledger, rng)
        click.echo("worked")


if __name__ == "__main__":
    work(sys.argv[1], sys.argv[2])
