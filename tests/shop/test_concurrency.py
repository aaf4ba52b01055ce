"""Many processes want the last pieces: no piece is promised twice, and every refusal names who has it.

The ordinary run is short. All of it, 16 processes and 2,000 attempts on each database:
``STACKOPT_FULL=1 pytest tests/shop/test_concurrency.py``.
"""

from __future__ import annotations

import json
import subprocess
import sys
from itertools import accumulate
from typing import Any

from stackopt.shop.database.acts import Act, Balance
from stackopt.shop.ledger import Ledger, open_ledger
from tests.full import FULL
from tests.shop.situations import ANA, SHOP, moved

PROCESSES, ATTEMPTS = (16, 2000) if FULL else (4, 40)
PIECES = PROCESSES  # two are asked for at a time: half of the processes are served at first


def _race(address: str) -> list[dict[str, Any]]:
    command = [sys.executable, "-m", "tests.shop.race", address]
    racers = [
        subprocess.Popen([*command, f"p{number}", str(ATTEMPTS // PROCESSES)], stdout=subprocess.PIPE, text=True)
        for number in range(PROCESSES)
    ]
    told = [racer.communicate()[0] for racer in racers]
    assert [racer.returncode for racer in racers] == [0] * PROCESSES
    return [json.loads(line) for output in told for line in output.splitlines()]


def _running(ledger: Ledger, part: str) -> list[Balance]:
    """Return the sums of a part after every single movement."""
    entries = ledger.history(part)
    return list(accumulate(entries, lambda sums, entry: moved(sums, entry.act, entry.quantity), initial=Balance()))


def test_no_piece_is_promised_twice_and_every_refusal_names_who_has_it(address: str) -> None:
    ledger = open_ledger(address)
    ledger.load(SHOP, ANA)
    ledger.count({"BG-040": PIECES, "HG-050": PIECES}, ANA)
    attempts = _race(address)
    assert len(attempts) == ATTEMPTS
    held = [attempt for attempt in attempts if attempt["held"]]
    assert len(held) >= PIECES // 2, "all pieces found somebody"
    refused = [attempt for attempt in attempts if not attempt["held"]]
    assert refused, "more was asked for than there was"
    names = {attempt["engine"] for attempt in held}
    for attempt in refused:
        assert attempt["takers"], attempt
        assert {engine for engine, _ in attempt["takers"]} <= names, attempt
        assert all(engine.startswith(f"{who}-") for engine, who in attempt["takers"]), attempt
    for part in ("BG-040", "HG-050"):
        running = _running(ledger, part)
        assert all(0 <= sums.held <= sums.on_hand for sums in running)
        used = sum(entry.quantity for entry in ledger.history(part) if entry.act == Act.USED)
        assert ledger.balances()[part] == Balance(on_hand=PIECES - used, held=0, fitted=used)
