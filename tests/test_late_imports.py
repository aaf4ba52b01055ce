"""An import inside a function stands only where it keeps a library out of a command that does not need it.

Single modules bring nothing by being imported late (measured on `fit`: 1.00 to 1.08 times); openpyxl, SQLAlchemy,
pandas and pint double the time of a command that only reads text. Four large rooms together cost `fit` 1.2 times: an
answer out of the ledger does without books, one out of books without the ledger.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

import stackopt

PACKAGE = Path(stackopt.__file__).parent
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)
# Not there on every system: only who needs it may ask for it.
OF_SOME_SYSTEMS = {"resource"}
# Rooms so large that they count as a library does: an answer needs one of them seldom, or another in its place.
LARGE_ROOMS = {"stackopt.books", "stackopt.stocking", "stackopt.shop.standing", "stackopt.web"}


class Imports(NamedTuple):
    """Dotted names that a module imports when it is imported, and those that it imports while it works."""

    first: set[str]
    late: set[str]


def names_of(node: ast.Import | ast.ImportFrom, modules: Mapping[str, Path]) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
        return
    for alias in node.names:
        name = f"{node.module}.{alias.name}"
        yield name if name in modules else str(node.module)


def imports_of(module: Path, modules: Mapping[str, Path]) -> Imports:
    """Every import but those for the type checker alone."""
    found = Imports(set(), set())

    def walk(node: ast.AST, names: set[str]) -> None:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.Import | ast.ImportFrom):
                names.update(names_of(child, modules))
            elif not (isinstance(child, ast.If) and "TYPE_CHECKING" in ast.dump(child.test)):
                walk(child, found.late if isinstance(child, FUNCTIONS) else names)

    walk(ast.parse(module.read_text(encoding="utf-8")), found.first)
    return found


def modules_of(package: Path) -> dict[str, Path]:
    dotted = {path: ".".join(path.relative_to(package.parent).with_suffix("").parts) for path in package.rglob("*.py")}
    return {name.removesuffix(".__init__"): path for path, name in dotted.items()}


def libraries_behind(name: str, imports: Mapping[str, Imports]) -> set[str]:
    """Return the libraries, and the large rooms, that are imported with a module, through whatever modules of ours."""
    libraries, seen, left = set(), set(), [name]
    while left:
        module = left.pop()
        if module in seen or not module:
            continue
        seen.add(module)
        if module in LARGE_ROOMS:
            libraries.add(module)
        if module not in imports:
            libraries.add(module.partition(".")[0])
            continue
        left += [module.rpartition(".")[0], *imports[module].first]
    return libraries - set(sys.stdlib_module_names) - {"stackopt"}


def late_for_nothing(package: Path) -> list[str]:
    """Return the late imports that keep no library away."""
    modules = modules_of(package)
    imports = {name: imports_of(path, modules) for name, path in modules.items()}
    found = []
    for name, own in sorted(imports.items()):
        for late in sorted(own.late - OF_SOME_SYSTEMS):
            if libraries_behind(late, imports) <= libraries_behind(name, imports):
                found.append(f"{name} imports {late}")
    return found


def test_no_import_is_late_for_nothing() -> None:
    assert late_for_nothing(PACKAGE) == []


def test_a_planted_late_import_is_found(tmp_path: Path) -> None:
    room = tmp_path / "stackopt"
    room.mkdir()
    (room / "__init__.py").write_text("")
    (room / "light.py").write_text("def f():\n    from stackopt import heavy, plain\n    import json\n")
    (room / "plain.py").write_text("import json\n")
    (room / "heavy.py").write_text("import openpyxl\n")
    assert late_for_nothing(room) == ["stackopt.light imports json", "stackopt.light imports stackopt.plain"]
