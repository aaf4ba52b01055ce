"""The house keeps its shape: doors open one way, every command is documented, README's examples are what comes out."""

from __future__ import annotations

import ast
import shutil
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "stackopt"

# house.md's order, lowest first: a room may use the rooms on lower floors, and those named beside it in BESIDE.
FLOORS = (
    {"units", "problems", "side_by_side"},
    {"engine"},
    {"parts"},
    {"choose"},
    {"restock"},
    {"books", "shop", "report"},
    {"web", "cli"},
)
BESIDE = {("units", "problems"), ("cli", "web")}  # units says what cannot be read; a command starts the page
FLOOR_OF = {room: height for height, rooms in enumerate(FLOORS) for room in rooms}

ENTRANCES = {"__init__", "__main__"}  # no rooms: they may only lead to the commands

# Libraries that one room alone knows.
OWNERS = {
    "pandas": "books",
    "python_calamine": "books",
    "openpyxl": "books",
    "xlrd": "books",
    "sqlite3": "shop",
    "sqlalchemy": "shop",
    "psycopg": "shop",
    "pint": "units",
}


def imported_names(module: Path) -> Iterator[str]:
    """Every dotted name a module imports, wherever in it the import stands."""
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: relative import"
            yield node.module or ""
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def wrong_doors(package: Path) -> list[str]:
    """Every import that goes up, or into a neighbour's room."""
    wrong = []
    for module in sorted(package.rglob("*.py")):
        room = module.relative_to(package).parts[0].removesuffix(".py")
        for name in imported_names(module):
            first, *rest = name.split(".")
            if first == package.name and rest and rest[0] in FLOOR_OF:
                if not may_use(room, rest[0]):
                    wrong.append(f"{room} imports {rest[0]} ({module.name})")
            elif OWNERS.get(first, room) != room:
                wrong.append(f"{room} imports {first} ({module.name})")
    return sorted(set(wrong))


def may_use(room: str, other: str) -> bool:
    if room in ENTRANCES:
        return other == "cli"
    return room == other or (room, other) in BESIDE or FLOOR_OF[other] < FLOOR_OF[room]


def test_every_room_has_its_floor():
    rooms = {path.name.removesuffix(".py") for path in PACKAGE.iterdir() if path.suffix == ".py" or path.is_dir()}
    assert rooms - {*ENTRANCES, "__pycache__"} <= set(FLOOR_OF)


def test_doors_open_one_way():
    assert wrong_doors(PACKAGE) == []


def test_a_planted_wrong_import_is_found(tmp_path):
    """Upwards, into a neighbour, a library that another room owns, and one hidden inside a function."""
    copy = shutil.copytree(PACKAGE, tmp_path / "stackopt", ignore=shutil.ignore_patterns("__pycache__"))
    (copy / "engine" / "planted_up.py").write_text("from stackopt.parts.records import Part\n")
    (copy / "report" / "planted_beside.py").write_text("import stackopt.books\n")
    (copy / "choose" / "planted_library.py").write_text("import openpyxl.styles\n")
    (copy / "parts" / "planted_hidden.py").write_text("def late():\n    from stackopt import cli\n")
    assert wrong_doors(copy) == [
        "choose imports openpyxl (planted_library.py)",
        "engine imports parts (planted_up.py)",
        "parts imports cli (planted_hidden.py)",
        "report imports books (planted_beside.py)",
    ]


def test_modules_stay_short():
    """style.md: none over 400 lines."""
    assert [str(m) for m in PACKAGE.rglob("*.py") if len(m.read_text(encoding="utf-8").splitlines()) > 400] == []
