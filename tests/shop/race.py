"""One of many processes that want the same few pieces; run by `test_concurrency` and `test_killed`.

``python -m tests.shop.race ADDRESS NAME ATTEMPTS``: tries to hold two thin base gaskets and two head gaskets for
engines of its own, one after the other, gives back half of what it got, and prints one line of JSON an attempt.
"""

from __future__ import annotations

import json
import random
import sys

import click

from stackopt.shop.database.note import Note
from stackopt.shop.entries.refusals import Refusal
from stackopt.shop.ledger import open_ledger
from tests.shop.situations import from_shelf


def race(address: str, name: str, attempts: int) -> None:
    ledger = open_ledger(address, patience_seconds=120)
    rng = random.Random(name)
    for attempt in range(attempts):
        engine = f"{name}-{attempt}"
        outcome = ledger.hold(*from_shelf(engine), Note(name))
        if isinstance(outcome, Refusal):
            takers = [[taker.engine, taker.who] for each in outcome.shortages for taker in each.takers]
            click.echo(json.dumps({"engine": engine, "held": False, "takers": takers}))
            continue
        click.echo(json.dumps({"engine": engine, "held": True}))
        given_back = rng.random() < 0.5
        (ledger.release if given_back else ledger.use)(engine, Note(name))


if __name__ == "__main__":
    race(sys.argv[1], sys.argv[2], int(sys.argv[3]))
