"""Killed at random moments while it loads, holds, uses and receives: every command is whole or absent.

The ordinary run kills a few times. At least 200 times: ``STACKOPT_FULL=1 pytest tests/shop/test_killed.py``.
"""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

from sqlalchemy import select, text

from stackopt.shop.database.acts import Balance
from stackopt.shop.database.tables import event, movement, part
from stackopt.shop.ledger import Ledger, open_ledger
from tests.full import FULL
from tests.shop.situations import PARTS, moved
from tests.shop.worker import MANY

KILLS = 220 if FULL else 4

# What a whole command brings: movements, and rows of the part list.
WHOLE = {
    "load": ({0, 1, 2, 3, 4}, {len(MANY), len(MANY) + len(PARTS)}),
    "hold": ({2}, {0}),
    "use": ({2}, {0}),
    "send": ({1}, {0}),
    "receive": ({3}, {0}),
}


def kill_at_random(address: str, seed: str, rng: random.Random) -> None:
    command = [sys.executable, "-m", "tests.shop.worker", address, seed]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as worker:
        assert worker.stdout is not None
        assert worker.stderr is not None
        assert worker.stdout.readline() == b"ready\n", worker.stderr.read().decode()
        # However slow the machine, some are killed only after a turn or two of work.
        for _ in range(rng.randrange(3)):
            assert worker.stdout.readline() == b"worked\n", worker.stderr.read().decode()
        time.sleep(rng.uniform(0.0, 0.3))
        assert worker.poll() is None, worker.stderr.read().decode()
        worker.send_signal(signal.SIGKILL)


def check_whole(ledger: Ledger) -> int:
    """Check that every event has all its rows and that no sum is below zero; return how many events there are."""
    with ledger.reading() as connection:
        events = connection.execute(select(event.c.id, event.c.what).order_by(event.c.id)).all()
        # In the order of writing: a server puts new rows where rows of a transaction that was cut off have been.
        columns = (movement.c.event, movement.c.part, movement.c.act, movement.c.quantity)
        rows = connection.execute(select(*columns).order_by(movement.c.id)).all()
        described = Counter(connection.execute(select(part.c.event)).scalars())
    moves = Counter(row.event for row in rows)
    for number, what in events:
        movements, parts = WHOLE[what]
        assert moves[number] in movements, (number, what)
        assert described[number] in parts, (number, what)
    assert [number for number, _ in events] == list(range(1, len(events) + 1))
    sums: dict[str, Balance] = {}
    for row in rows:
        sums[row.part] = moved(sums.get(row.part, Balance()), row.act, row.quantity)
        assert 0 <= sums[row.part].held <= sums[row.part].on_hand, row
    assert ledger.balances() == sums
    return len(events)


def test_a_ledger_survives_being_killed_at_random_moments(address: str) -> None:
    """On SQLite a journal that lies there after the kill is a transaction cut off; the next opening rolls it back."""
    rng = random.Random(2027)
    journal = Path(f"{address}-journal")
    events, cut_off = [0], 0
    for number in range(KILLS):
        kill_at_random(address, str(number), rng)
        cut_off += journal.exists() and journal.stat().st_size > 0
        ledger = open_ledger(address)
        events.append(check_whole(ledger))
        if journal.parent.is_dir():
            with ledger.reading() as connection:
                assert connection.execute(text("PRAGMA integrity_check")).scalar_one() == "ok"
    assert events == sorted(events)
    assert events[-1] > KILLS, "work was done in between"
    if FULL and journal.parent.is_dir():
        assert cut_off > KILLS // 20, "kills fell into the middle of writing"
