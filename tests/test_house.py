"""The house keeps its shape: doors open one way, every command is documented, README's examples are what comes out."""

from __future__ import annotations

import ast
import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "stackopt"

# Lowest first: a room may use the rooms on lower floors, and those named beside it in BESIDE.
FLOORS = (
    {"units", "problems", "side_by_side", "guide", "general_units"},
    {"engine"},
    {"parts"},
    {"choose"},
    {"stocking"},
    {"books", "shop", "report"},
    {"tables"},
    {"web", "cli"},
)
BESIDE = {
    ("units", "problems"),
    ("units", "general_units"),
    ("cli", "web"),
}  # units says what cannot be read; a command starts the page
FLOOR_OF = {room: height for height, rooms in enumerate(FLOORS) for room in rooms}

# The same within a room, lowest first. A module that stands in the room itself is named like an inner room.
INNER_FLOORS = {
    "engine": (
        {"moving", "cautions", "stated"},
        {"engine_records"},
        {"geometry", "practice"},
        {"readings"},
        {"effects"},
        {"levers"},
    ),
    "choose": (
        {"patience"},
        {"choice_records"},
        {"coming"},
        {"stacks"},
        {"model", "built", "doubt"},
        {"solve"},
        {"tried"},
        {"why"},
        {"asking", "giving_way"},
    ),
    "stocking": ({"demand"}, {"reorder", "review_days"}, {"range", "joining"}, {"filling"}),
    "books": (
        {"files"},
        {"stored_results"},
        {"words"},
        {"layout"},
        {"tables"},
        {"asked"},
        {"engine_text"},
        {"facts"},
        {"out", "told", "outlook"},
    ),
    "shop": (
        {"database"},
        {"migrations", "entries"},
        {"standing"},
        {"commands", "backup", "verifying"},
        {"loads", "places"},
        {"ledger_places"},
        {"ledger_reading", "glance"},
        {"ledger"},
    ),
    "report": (
        {"layout", "plain", "reading", "wording"},
        {"inches"},
        {"answer"},
        {"plan", "range", "reorder", "drawings", "shop"},
        {"card"},
    ),
    "web": ({"gate"}, {"desk"}, {"forms", "dropping"}, {"pages"}, {"app"}, {"serving"}),
    "cli": (
        {"amounts", "exit_codes", "helping", "looking", "printing", "tables", "writing"},
        {"sources", "ledger_options"},
        {"options", "asking", "agreeing"},
        {"books", "guide", "shop_commands"},
        {"answers"},
        {"card", "serve"},
    ),
}

# Folders of the page that hold no Python.
WITHOUT_MODULES = {"demonstration", "static", "templates"}
# No rooms: one leads to the commands, the other hands on what Python code asks for by name.
ENTRANCES = {"__main__": {"cli"}, "__init__": {"problems", "tables"}}

# Libraries, and the rooms (or inner rooms) that may import them. A library that stands here for no room fails.
EVERYWHERE = {"msgspec"}
OWNERS: dict[str, set[str]] = {
    "numpy": {"engine", "parts", "choose/stacks", "choose/doubt", "choose/why", "stocking", "tables"},
    "pulp": {"choose/model", "choose/solve", "stocking"},
    "highspy": {"choose/model"},
    "scipy": {"stocking"},
    "python_calamine": {"books/files"},
    "openpyxl": {"books/files", "books/stored_results", "books/out"},
    "olefile": {"books/files"},
    "sqlite3": {"shop"},
    "sqlalchemy": {"shop"},
    "alembic": {"shop/database", "shop/migrations"},
    "rich": {"report"},
    "matplotlib": {"report/drawings"},
    "click": {"cli"},
    "pandas": {"tables"},
    "uncertainties": {"tables"},
    "pint": {"general_units", "tables"},
    "flask": {"web"},
    "werkzeug": {"web"},
    "waitress": {"web/serving"},
    "wtforms": {"web/forms", "web/gate"},
    "jinja2": {"report/card"},
    "markupsafe": {"report/card", "web"},
    "markdown_it": {"web/pages"},
    "fpdf": {"report/card"},
    "segno": {"report/card"},
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


def place_of(module: Path, package: Path) -> tuple[str, str]:
    """The room and the inner room of a module; a module in the room itself is its own inner room."""
    room, *inner = (part.removesuffix(".py") for part in module.relative_to(package).parts)
    return room, inner[0] if inner else ""


def wrong_doors(package: Path) -> list[str]:
    """Every import that goes up, into a neighbour's room, or to a library that the room does not own."""
    wrong = set()
    for module in sorted(package.rglob("*.py")):
        room, inner = place_of(module, package)
        for name in imported_names(module):
            first, *rest = name.split(".")
            if first == package.name:
                if rest and rest[0] in FLOOR_OF:
                    target = (rest[0], rest[1] if len(rest) > 1 else "")
                    if not may_use((room, inner), target):
                        wrong.add(f"{room}/{inner} imports {'/'.join(filter(None, target))} ({module.name})")
            elif not may_import(room, inner, first):
                wrong.add(f"{room}/{inner} imports {first} ({module.name})")
    return sorted(wrong)


def may_use(place: tuple[str, str], target: tuple[str, str]) -> bool:
    (room, inner), (other, other_inner) = place, target
    if room in ENTRANCES:
        return other in ENTRANCES[room]
    if room == other:
        return may_use_inside(room, inner, other_inner)
    return (room, other) in BESIDE or FLOOR_OF[other] < FLOOR_OF[room]


def may_use_inside(room: str, inner: str, other: str) -> bool:
    """The room's own entrance may use all of it; everyone else what lies on a lower inner floor, or beside him."""
    floor_of = {name: height for height, names in enumerate(INNER_FLOORS.get(room, ())) for name in names}
    if inner in (other, "__init__") or other not in floor_of or room in ENTRANCES:
        return True
    return inner in floor_of and floor_of[other] < floor_of[inner]


def may_import(room: str, inner: str, library: str) -> bool:
    if library in sys.stdlib_module_names and library not in OWNERS:
        return True
    return library in EVERYWHERE or not OWNERS.get(library, set()).isdisjoint({room, f"{room}/{inner}"})


def test_every_room_has_its_floor():
    rooms = {path.name.removesuffix(".py") for path in PACKAGE.iterdir() if path.suffix == ".py" or path.is_dir()}
    assert rooms - {*ENTRANCES, "__pycache__", "py.typed"} <= set(FLOOR_OF)


def test_doors_open_one_way():
    assert wrong_doors(PACKAGE) == []


def test_every_module_has_its_inner_floor():
    """An inner room or a module beside inner rooms that INNER_FLOORS does not know would be free to import anything."""
    unknown = []
    for room, floors in INNER_FLOORS.items():
        known = set().union(*floors) | {"__init__", "__pycache__", "migrations", *WITHOUT_MODULES}
        names = {path.name.removesuffix(".py") for path in (PACKAGE / room).iterdir()}
        unknown += [f"{room}/{name}" for name in names - known]
    assert unknown == []


PLANTED = {
    "engine/planted_up.py": (
        "from stackopt.parts.part_records import Part\n",
        "engine/planted_up imports parts/part_records",
    ),
    "report/planted_beside.py": ("import stackopt.books\n", "report/planted_beside imports books"),
    "parts/planted_hidden.py": ("def late():\n    from stackopt import cli\n", "parts/planted_hidden imports cli"),
    "choose/model/planted_inner.py": ("from stackopt.choose.why import alone\n", "choose/model imports choose/why"),
    "books/files/planted_inner.py": ("import stackopt.books.words.roles\n", "books/files imports books/words"),
    "choose/stacks/planted_library.py": ("import openpyxl.styles\n", "choose/stacks imports openpyxl"),
    "engine/planted_solver.py": ("import highspy\n", "engine/planted_solver imports highspy"),
    "engine/levers/planted_model.py": ("import pulp\n", "engine/levers imports pulp"),
    "engine/planted_drawing.py": ("import matplotlib.figure\n", "engine/planted_drawing imports matplotlib"),
    "engine/effects/planted_page.py": ("import rich\n", "engine/effects imports rich"),
    "choose/planted_click.py": ("import click\n", "choose/planted_click imports click"),
    "cli/planted_stranger.py": ("import nobody_owns_this\n", "cli/planted_stranger imports nobody_owns_this"),
}


def test_planted_wrong_imports_are_found(tmp_path):
    """One of each kind of door: up, beside, hidden in a function, inside a room, another's library, a stranger."""
    copy = shutil.copytree(PACKAGE, tmp_path / "stackopt", ignore=shutil.ignore_patterns("__pycache__"))
    for where, (text, _) in PLANTED.items():
        (copy / where).write_text(text)
    found = wrong_doors(copy)
    for where, (_, said) in PLANTED.items():
        name = where.rpartition("/")[2]
        assert [line for line in found if line.startswith(said) and line.endswith(f"({name})")], where
    assert {line.rpartition("(")[2] for line in found} == {f"{w.rpartition('/')[2]})" for w in PLANTED}


def test_modules_stay_short_and_rooms_small():
    """house.md: no module above 300 lines, no room with more than sixteen modules."""
    assert [str(m) for m in PACKAGE.rglob("*.py") if len(m.read_text(encoding="utf-8").splitlines()) > 305] == []
    folders = {m.parent for m in PACKAGE.rglob("*.py")}
    crowded = {str(f): len([m for m in f.glob("*.py") if m.name != "__init__.py"]) for f in folders}
    assert {folder: count for folder, count in crowded.items() if count > 16} == {}


def named_twice(package):
    """Return the names of classes that stand in more than one module, each with these modules."""
    places = {}
    for module in sorted(package.rglob("*.py")):
        for name in re.findall(r"^class (\w+)", module.read_text(encoding="utf-8"), re.MULTILINE):
            places.setdefault(name, []).append(module.relative_to(package).as_posix())
    return {name: where for name, where in places.items() if len(where) > 1}


def test_a_class_name_stands_once(tmp_path):
    """One name, one thing: whoever reads a name knows which record is meant. A planted second one is found."""
    assert named_twice(PACKAGE) == {}
    copy = shutil.copytree(PACKAGE, tmp_path / "stackopt", ignore=shutil.ignore_patterns("__pycache__"))
    (copy / "parts" / "planted_name.py").write_text("class Cylinder:\n    pass\n")
    assert named_twice(copy) == {"Cylinder": ["engine/engine_records.py", "parts/planted_name.py"]}


def test_the_map_of_the_house_names_every_room():
    """A stranger finds each folder in DEVELOPERS.md, in the row of its room."""
    rows = re.findall(r"^\| (`.*)$", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.MULTILINE)
    folders = [path.parent for path in PACKAGE.rglob("__init__.py")] + [
        PACKAGE / "web" / name for name in WITHOUT_MODULES
    ]
    unnamed = []
    for folder in folders:
        room, *inner = folder.relative_to(PACKAGE).parts or ("",)
        row = next((row for row in rows if f"`{room}/`" in row.partition(" |")[0]), "") if room else "all"
        if not row or (inner and inner[0] not in row):
            unnamed.append(folder.relative_to(PACKAGE).as_posix())
    assert unnamed == []
