"""How long a whole `fit` takes beside its yardsticks: ``python -m tests.benchmarks.fit``.

Two situations, each a whole process from start to printed answer, beside its yardstick in the same round, the median
of the rounds: a scenario's book beside ``python -c "import pandas"`` (needs pandas beside the test extra), at most 1.5
times; and a made-up book of 5,000 parts with a price list of 50,000 lines beside the bare reading of both files with
calamine, at most twice.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from openpyxl import Workbook

ROOT = Path(__file__).parents[2]
SCENARIO = ROOT / "scenarios" / "v-twin-uneven"
ROUNDS = 15
FAMILIES = 40
PARTS_A_FAMILY = 125
OFFERS_A_PART = 10

READ_ALONE = """
import sys
from python_calamine import CalamineWorkbook
for path in sys.argv[1:]:
    book = CalamineWorkbook.from_path(path)
    for name in book.sheet_names:
        book.get_sheet_by_name(name).to_python()
"""
ENGINE = """
engine = "B-1"
family = "F007"
stroke = "80 mm"

[quench]
min = "0.80 mm"
max = "0.98 mm"
aim = "0.89 mm"

[compression]
min = 9.3
max = 9.9
aim = 9.6

[[cylinder]]
name = "front"
bore = "84 mm"
chamber_volume = "48.4 cc"
piston_volume = "1.5 cc"
deck = "0.06 mm proud"

[[cylinder]]
name = "rear"
bore = "84 mm"
chamber_volume = "48.6 cc"
piston_volume = "1.5 cc"
deck = "0.03 mm below"
"""


def in_turns(*commands: Sequence[str]) -> list[list[float]]:
    """Return how long each command takes in each of several rounds, s.

    They take turns, so that a machine that is slow for a while is slow for all of them. A round before them is not
    counted: in it Python keeps the compiled modules, as it does for a shop at the first call.
    """
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    times: list[list[float]] = [[] for _ in commands]
    for _ in range(1 + ROUNDS):
        for command, own in zip(commands, times, strict=True):
            started = time.perf_counter()
            subprocess.run([sys.executable, *command], cwd=ROOT, env=environment, check=True, capture_output=True)
            own.append(time.perf_counter() - started)
    return [own[1:] for own in times]


def write_big_books(folder: Path) -> tuple[Path, Path]:
    """Write a stock list of 5,000 parts and a price list of 50,000 lines."""
    rng = random.Random(1)
    stock, offers = Workbook(write_only=True), Workbook(write_only=True)
    shelf, prices = stock.create_sheet("Shelf"), offers.create_sheet("Prices")
    shelf.append(
        ["part number", "kind", "fits", "thickness (mm)", "tolerance (mm)", "opening (mm)", "on hand", "unit cost"]
    )
    prices.append(
        [
            "supplier",
            "part number",
            "supplier part number",
            "description",
            "price",
            "pack",
            "minimum packs",
            "lead days",
            "special order",
            "discontinued",
        ]
    )
    for family in range(FAMILIES):
        for number in range(PARTS_A_FAMILY):
            is_base = number % 2 == 0
            kind = "base gasket" if is_base else "head gasket"
            part = f"F{family:03}-{'B' if is_base else 'H'}{number:03}"
            thickness = round(rng.uniform(0.2, 0.8) if is_base else rng.uniform(0.3, 1.2), 2)
            opening = None if is_base else 86
            cost = round(rng.uniform(2, 20), 2)
            shelf.append([part, kind, f"F{family:03}", thickness, 0.02, opening, rng.choice([0, 0, 1, 2]), cost])
            for supplier in rng.sample(range(12), OFFERS_A_PART):
                price = round(cost * rng.uniform(1.2, 2), 2)
                special, gone = rng.choice(["", "", "", "yes"]), "yes" if rng.random() < 0.02 else ""
                ours, theirs, words = (
                    f"Supplier {supplier:02}",
                    f"{supplier:02}/{family:02}{number:03}",
                    f"{kind}, {part}",
                )
                pack, least, days = rng.choice([1, 2, 5]), rng.choice([1, 1, 2]), rng.randrange(2, 40)
                prices.append([ours, part, theirs, words, price, pack, least, days, special, gone])
    paths = folder / "stock.xlsx", folder / "prices.xlsx"
    stock.save(paths[0])
    offers.save(paths[1])
    return paths


def report(name: str, yardstick: str, aim: float, times: Sequence[Sequence[float]]) -> None:
    """Print one line of the table: medians, and the median of the rounds' ratios, with the least and the greatest."""
    taken, yardstick_taken = map(statistics.median, times)
    ratios = sorted(own / alone for own, alone in zip(*times, strict=True))
    ratio = f"ratio {statistics.median(ratios):.2f} ({ratios[0]:.2f} to {ratios[-1]:.2f})   aim {aim}"
    sys.stdout.write(f"{name:<32} {taken:6.3f} s   {yardstick:<28} {yardstick_taken:6.3f} s   {ratio}\n")


def main() -> None:
    """Measure both and print a table."""
    fit = ["-m", "stackopt", "fit"]
    books = [f"--book={SCENARIO / name}" for name in ("shop.xlsx", "quillhaven.csv")]
    times = in_turns([*fit, str(SCENARIO / "hc-09.toml"), *books], ["-c", "import pandas"])
    report("fit on a scenario's book", 'python -c "import pandas"', 1.5, times)
    with tempfile.TemporaryDirectory() as folder:
        engine = Path(folder) / "b-1.toml"
        engine.write_text(ENGINE)
        paths = write_big_books(Path(folder))
        command = [*fit, str(engine), *(f"--book={path}" for path in paths)]
        times = in_turns(command, ["-c", READ_ALONE, *map(str, paths)])
        report("fit, 5,000 parts, 50,000 offers", "calamine reading both files", 2, times)


if __name__ == "__main__":
    main()
