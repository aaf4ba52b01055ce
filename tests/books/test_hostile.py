"""Hostile and broken books: one clear message or the facts, within a gibibyte, nothing run, nobody called."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.books.hostile import READ, REFUSED
from tests.full import WHOLE

ONE_GIBIBYTE_IN_KIB = 1 << 20
# Books of a million rows or cells, which take seconds to build and to read.
SLOW = {"long.csv", "spaces.xlsx", "blank-cells.xlsx"}
SECONDS = 30
CHILD = """
import json, resource, sys
from pathlib import Path
from stackopt.books.facts.read import examine_books
def watch(event, _arguments):
    if event.startswith(("socket.", "subprocess.", "os.system", "os.exec", "os.spawn", "os.fork")):
        raise SystemExit(f"the book made the program do {event}")
sys.addaudithook(watch)
books = examine_books([Path(sys.argv[1])])
peak_kib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(json.dumps([sorted(books.parts), [str(problem) for problem in (*books.refused, *books.problems)], peak_kib]))
"""


def examine(path: Path) -> tuple[list[str], list[str]]:
    """Read a book in a process of its own; return part numbers and problems."""
    done = subprocess.run(
        [sys.executable, "-c", CHILD, str(path)], capture_output=True, text=True, timeout=SECONDS, check=False
    )
    assert done.returncode == 0, done.stderr
    parts, problems, peak_kib = json.loads(done.stdout)
    assert peak_kib < ONE_GIBIBYTE_IN_KIB
    return parts, problems


@pytest.mark.parametrize("name", [name for name in REFUSED if WHOLE or name not in SLOW])
def test_what_cannot_be_a_book_of_the_trade_gets_one_message(tmp_path: Path, name: str) -> None:
    said, build = REFUSED[name]
    path = tmp_path / name
    path.write_bytes(build())
    parts, problems = examine(path)
    assert parts == []
    assert len(problems) == 1
    assert said in problems[0]
    assert name in problems[0]


@pytest.mark.parametrize("name", [name for name in READ if WHOLE or name not in SLOW])
def test_what_only_looks_bad_is_read(tmp_path: Path, name: str) -> None:
    build: Callable[[], bytes] = READ[name]
    path = tmp_path / name
    path.write_bytes(build())
    assert examine(path) == (["B"], [])
