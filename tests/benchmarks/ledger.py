"""How fast a ledger answers after ten years of a busy shop: ``python -m tests.benchmarks.ledger``.

With ``--make BIG --from SMALL --movements N --finished-orders M`` it makes a copy of a ledger, grown to that size.

Prints a table; the aims are: `fit` out of the ledger in under 1.5 times what ``python -c "import pandas"`` takes, a
hold in under 50 ms, a load of 5,000 rows in under 2 s. pandas is not needed by the program: install it to compare.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import click
from msgspec.structs import replace
from sqlalchemy import func, select

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import plan
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply
from stackopt.shop.commands.holding import Held
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import movement
from stackopt.shop.ledger import Ledger, make_ledger, open_ledger
from tests.benchmarks.grown import grow
from tests.benchmarks.made_up_shops import TODAY, made_up_shop

FAMILIES = 334  # of 16 part numbers each
MOVEMENTS, FINISHED_ORDERS = 200_000, 10_000
NOTE = Note("benchmark")
PROGRAM = Path(sys.executable).with_name("stackopt")


def seconds(action: Callable[[], object]) -> float:
    started = time.perf_counter()
    action()
    return time.perf_counter() - started


def process_seconds(command: list[str | Path]) -> float:
    return seconds(lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL))


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


@click.command()
@click.option("--make", "big", type=click.Path(path_type=Path), help="Make this ledger, and measure nothing.")
@click.option("--from", "small", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="What to grow.")
@click.option("--movements", default=MOVEMENTS, show_default=True, help="Movements of the grown ledger.")
@click.option("--finished-orders", default=FINISHED_ORDERS, show_default=True, help="Finished orders to add.")
def main(big: Path | None, small: Path | None, movements: int, finished_orders: int) -> None:
    """Measure a ledger of ten years, or make one."""
    if (big is None) != (small is None):
        raise click.UsageError("--make and --from go together")
    if big is None or small is None:
        measure()
    else:
        make_grown(big, small, movements, finished_orders)


def make_grown(big: Path, small: Path, movements: int, finished_orders: int) -> None:
    """Copy a ledger and grow the copy; what could not be grown is not left behind."""
    if big.exists():
        raise click.UsageError(f"{big} is there already")
    shutil.copy(small, big)
    try:
        taken = seconds(lambda: grow(open_ledger(str(big)), movements, finished_orders))
    except ValueError as error:
        big.unlink()
        raise click.UsageError(str(error)) from error
    click.echo(f"{big}: {movements} movements, {finished_orders} finished orders added, {taken:.0f} s")


def measure() -> None:
    """Print how long loads, holds and `fit` take beside ten years of a busy shop."""
    request, supply = made_up_shop(FAMILIES, engines_a_family=1)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shop.db"
        ledger = make_ledger(str(path))
        first_load = seconds(lambda: ledger.load(supply, NOTE, request.engines))
        grow(ledger, MOVEMENTS, FINISHED_ORDERS)
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
