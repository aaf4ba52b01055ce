"""How fast a ledger answers after ten years of a busy shop: ``python -m tests.benchmarks.ledger``.

Prints a table; the aims are: `fit` out of the ledger in under 1.5 times what ``python -c "import pandas"`` takes, a
hold in under 50 ms, a load of 5,000 rows in under 2 s. pandas is not needed by the program: install it to compare.
"""

from __future__ import annotations

import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import click
from msgspec.structs import replace
from sqlalchemy import func, insert, select

from stackopt.choose.records import Request
from stackopt.choose.solve.plan import plan
from stackopt.engine.records import Engine
from stackopt.parts.records import Supply
from stackopt.shop.commands.holding import Held
from stackopt.shop.database.acts import Act
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import event, movement
from stackopt.shop.database.transactions import next_id
from stackopt.shop.ledger import Ledger, make_ledger, open_ledger
from tests.benchmarks.made_up_shops import TODAY, made_up_shop

FAMILIES = 334  # of 16 part numbers each
PAST_BUILDS = 33_334  # of six movements each
NOTE = Note("benchmark")
PROGRAM = Path(sys.executable).with_name("stackopt")


def seconds(action: Callable[[], object]) -> float:
    started = time.perf_counter()
    action()
    return time.perf_counter() - started


def process_seconds(command: list[str | Path]) -> float:
    return seconds(lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL))


def ten_years(ledger: Ledger, supply: Supply) -> None:
    """Write past builds down: for each, two pieces of two parts come in, are held and used, by events of their own."""
    rng = random.Random(1)
    numbers = sorted(supply.parts.keys() - supply.kits.keys())
    with ledger.writing() as connection:
        first = connection.execute(select(func.max(event.c.id))).scalar_one()
        events, movements = [], []
        for build in range(PAST_BUILDS):
            pair = rng.sample(numbers, 2)
            for act in (Act.RECEIVED, Act.HELD, Act.USED):
                number = first + len(events) + 1
                at = f"20{17 + build * 10 // PAST_BUILDS}-06-01T08:00:00Z"
                events.append({"id": number, "at": at, "what": act.value, "who": NOTE.who, "why": "", "undoes": None})
                engine = "" if act is Act.RECEIVED else f"old-{build}"
                movements += [
                    {"event": number, "part": part, "act": act.value, "quantity": 2, "engine": engine, "purchase": 0}
                    for part in pair
                ]
        connection.execute(insert(event), events)
        start = next_id(connection, movement)
        connection.execute(insert(movement), [{"id": start + n, **row} for n, row in enumerate(movements)])


def hold_seconds(ledger: Ledger, engines: tuple[Engine, ...], supply: Supply) -> list[float]:
    """Hold what is chosen for each of these engines."""
    taken = []
    for engine in engines:
        request = Request((engine,), TODAY)
        choice = plan(request, supply)
        if not choice.blocked:
            started = time.perf_counter()
            assert isinstance(ledger.hold(request, choice, NOTE), Held)
            taken.append(time.perf_counter() - started)
    return taken


def main() -> None:
    request, supply = made_up_shop(FAMILIES, engines_a_family=1)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shop.db"
        ledger = make_ledger(str(path))
        first_load = seconds(lambda: ledger.load(supply, NOTE, request.engines))
        ten_years(ledger, supply)
        stock = {number: replace(line, on_hand=line.on_hand + 3) for number, line in ledger.supply().stock.items()}
        parts = {number: replace(part, description="new") for number, part in supply.parts.items()}
        next_load = seconds(lambda: ledger.load(replace(supply, parts=parts, stock=stock), NOTE))
        same_load = seconds(lambda: ledger.load(replace(supply, parts=parts, stock=stock), NOTE))
        holds = hold_seconds(ledger, request.engines[:40], ledger.supply())
        fit = [PROGRAM, "fit", request.engines[99].name, "--ledger", path, "--today", str(TODAY), "--json"]
        fits, pandas = [], []
        for _ in range(9):  # in turn, so that what else the machine does falls on both
            fits.append(process_seconds(fit))
            pandas.append(process_seconds([sys.executable, "-c", "import pandas"]))
        with open_ledger(str(path)).reading() as connection:
            rows = connection.execute(select(func.count()).select_from(movement)).scalar_one()
    _print(len(supply.parts), rows, path)
    base = statistics.median(pandas)
    for words, value, aim in (
        ("import pandas, process", base, None),
        ("fit out of the ledger, process", statistics.median(fits), 1.5 * base),
        ("hold a stack, median", statistics.median(holds), 0.050),
        ("hold a stack, worst", max(holds), 0.050),
        ("load, all new", first_load, 2.0),
        ("load, all changed", next_load, 2.0),
        ("load, nothing changed", same_load, 2.0),
    ):
        ratio = "" if aim is None else f"{aim * 1000:9.0f} {value / aim:9.2f}"
        click.echo(f"{words:<32}{value * 1000:9.0f} {ratio}")


def _print(parts: int, movements: int, path: Path) -> None:
    click.echo(f"{parts} parts, {movements} movements, {path.name}")
    click.echo(f"{'':<32}{'ms':>9} {'aim, ms':>9} {'of aim':>9}")


if __name__ == "__main__":
    main()
