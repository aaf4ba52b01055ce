"""Mutation testing of one room: small faults are planted one at a time, and the tests that reach the line must notice.

``python -m tests.mutants stocking --sample 200`` prints the share noticed, and every fault that no test noticed. The
faults are those that a slip of the hand makes: another comparison, plus for minus, a condition turned round, a number
off by one, a line left out. Only tests that reach the line are run, the quickest first, each fault in its own process.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue
from typing import NamedTuple
from xml.etree import ElementTree

import coverage

ROOT = Path(__file__).resolve().parents[1]
LEFT_BEHIND = shutil.ignore_patterns(
    ".git", ".venv*", "__pycache__", ".*_cache", ".hypothesis", "*.egg-info", "mutants"
)
OTHER: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.And: ast.Or,
    ast.Or: ast.And,
}
# They guard against a slip of the programmer alone: records that are not changed, sequences of one length.
UNSEEN = {"frozen", "strict"}
PYTEST = ("pytest", "-q", "-p", "no:cacheprovider")
SECONDS_BESIDE, TIMES_AS_LONG = 30.0, 5.0
MOST_SECONDS_OF_TESTS = 60.0


class Mutant(NamedTuple):
    """One planted fault: the module, the line, and the whole module's text with it."""

    module: Path
    line: int
    fault: str
    text: str

    @property
    def printed(self) -> str:
        """Where it stands, and what it makes of what."""
        return f"{self.module}:{self.line}: {self.fault}"


def mutants_of(module: Path) -> Iterator[Mutant]:
    """Yield every fault that can be planted in a module."""
    source = (ROOT / module).read_text(encoding="utf-8")
    for number in range(sum(1 for _ in _places(ast.parse(source)))):
        tree = ast.parse(source)
        place = next(each for index, each in enumerate(_places(tree)) if index == number)
        node, change = place
        line, before = getattr(node, "lineno", 0), ast.unparse(node).partition("\n")[0]
        change()
        yield Mutant(module, line, f"{before}  ->  {ast.unparse(node).partition(chr(10))[0]}", ast.unparse(tree))


Change = Callable[[], None]


def _places(tree: ast.Module) -> Iterator[tuple[ast.AST, Change]]:
    """Yield each node that a fault can change, with the change; not the flags of `UNSEEN`, which no answer shows."""
    flags = {id(word.value) for word in ast.walk(tree) if isinstance(word, ast.keyword) and word.arg in UNSEEN}
    for node in ast.walk(tree):
        if id(node) in flags:
            continue
        for fault in (_operator, _number, _condition, _without):
            change = fault(node)
            if change is not None:
                yield node, change
                break


def _operator(node: ast.AST) -> Change | None:
    """Another comparison, minus for plus, or for and."""
    match node:
        case ast.Compare(ops=[operator]) if type(operator) in OTHER:
            return lambda: setattr(node, "ops", [OTHER[type(operator)]()])
        case ast.BinOp(op=operator) | ast.BoolOp(op=operator) if type(operator) in OTHER:
            return lambda: setattr(node, "op", OTHER[type(operator)]())
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            return lambda: _become(node, operand)
    return None


def _number(node: ast.AST) -> Change | None:
    """A number off by one, yes for no."""
    match node:
        case ast.Constant(value=bool() as value):
            return lambda: setattr(node, "value", not value)
        case ast.Constant(value=int() | float() as value):
            return lambda: setattr(node, "value", value + 1)
    return None


def _condition(node: ast.AST) -> Change | None:
    """A condition turned round."""
    match node:
        case ast.If(test=test) | ast.IfExp(test=test):
            return lambda: setattr(node, "test", ast.UnaryOp(ast.Not(), test))
    return None


def _without(node: ast.AST) -> Change | None:
    """A line left out, or nothing returned."""
    match node:
        case ast.Return(value=ast.expr() as value) if not isinstance(value, ast.Constant):
            return lambda: setattr(node, "value", ast.Constant(None))
        case ast.Raise() | ast.AugAssign() | ast.Expr(value=ast.Call()):
            return lambda: _become(node, ast.Pass())
    return None


def _become(node: ast.AST, other: ast.AST) -> None:
    """Turn a node into another in place."""
    node.__class__ = other.__class__
    node.__dict__.update(other.__dict__)


class Reach(NamedTuple):
    """Which tests reach a line, and which any line of a module, the quickest first; and how long each takes."""

    tests: dict[tuple[str, int], list[str]]
    of_module: dict[str, list[str]]
    seconds: dict[str, float]

    def reaching(self, mutant: Mutant) -> list[str]:
        """Return the tests for a fault; a line that runs at the import, as a constant, counts with its whole module."""
        module = str(mutant.module)
        return self.tests.get((module, mutant.line)) or self.of_module.get(module, [])


def measured(tree: Path, tests: Sequence[str], room: str) -> Reach:
    """Run the tests once and note which lines each reaches."""
    (tree / "mutants.ini").write_text(f"[run]\nsource = {tree / 'stackopt' / room}\ndynamic_context = test_function\n")
    call = [
        sys.executable,
        "-m",
        "coverage",
        "run",
        "--rcfile=mutants.ini",
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
    ]
    subprocess.run([*call, "--junitxml=times.xml", *tests], cwd=tree, env=_environment(tree), check=True, timeout=3600)
    seconds: dict[str, float] = {}
    for case in ElementTree.parse(tree / "times.xml").iter("testcase"):
        name = f"{case.get('classname')}.{(case.get('name') or '').partition('[')[0]}"
        seconds[name] = seconds.get(name, 0.0) + float(case.get("time") or 0)
    data = coverage.CoverageData(str(tree / ".coverage"))
    data.read()
    reached: dict[tuple[str, int], list[str]] = {}
    of_module: dict[str, list[str]] = {}

    def quickest_first(names: Iterable[str]) -> list[str]:
        return sorted((name for name in names if name), key=lambda name: (seconds.get(name, 0.0), name))

    for file in data.measured_files():
        module, by_line = os.path.relpath(file, tree), data.contexts_by_lineno(file)
        reached.update({(module, line): quickest_first(names) for line, names in by_line.items()})
        of_module[module] = quickest_first({name for names in by_line.values() for name in names})
    return Reach(reached, of_module, seconds)


def survives(mutant: Mutant, tree: Path, reach: Reach) -> bool:
    """Whether no test notices a fault; a test that no longer ends has noticed it."""
    reaching: list[str] = []
    seconds = 0.0
    for name in reach.reaching(mutant):
        seconds += reach.seconds.get(name, 0.0)
        if reaching and seconds > MOST_SECONDS_OF_TESTS:
            break
        reaching.append(name)
    if not reaching:
        return True
    files = sorted({f"{name.rpartition('.')[0].replace('.', '/')}.py" for name in reaching})
    files = [file if (tree / file).is_file() else f"{file.removesuffix('.py').rpartition('/')[0]}.py" for file in files]
    wanted = " or ".join(sorted({name.rpartition(".")[2] for name in reaching}))
    target = tree / mutant.module
    whole = target.read_text(encoding="utf-8")
    target.write_text(mutant.text, encoding="utf-8")
    call = [sys.executable, "-m", *PYTEST, "-x", "-k", wanted, *files]
    try:
        limit = SECONDS_BESIDE + TIMES_AS_LONG * seconds
        done = subprocess.run(call, cwd=tree, env=_environment(tree), capture_output=True, check=False, timeout=limit)
    except subprocess.TimeoutExpired:
        return False
    finally:
        target.write_text(whole, encoding="utf-8")
    return done.returncode == 0


def _compile(tree: Path) -> None:
    """Compile a copy once. What is compiled is checked by the source's hash, so a planted fault always counts."""
    call = [sys.executable, "-m", "compileall", "-q", "--invalidation-mode", "checked-hash", "stackopt", "tests"]
    subprocess.run(call, cwd=tree, check=True)


def _environment(tree: Path) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}


def main() -> None:
    """Plant faults in one room, and print which of them no test notices."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("room", help="a room, as stocking, or an inner room, as choose/model")
    parser.add_argument("--sample", type=int, default=200, help="how many faults; they are drawn at random")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tests", nargs="*", help="the tests to run; else those of the room")
    parser.add_argument("--again", type=Path, metavar="LOG", help="try only the faults that an earlier run printed")
    asked = parser.parse_args()
    modules = sorted(path.relative_to(ROOT) for path in (ROOT / "stackopt" / asked.room).rglob("*.py"))
    every = [mutant for module in modules for mutant in mutants_of(module)]
    chosen = random.Random(asked.seed).sample(every, min(asked.sample, len(every)))
    if asked.again is not None:
        printed = set(asked.again.read_text(encoding="utf-8").splitlines())
        chosen = [mutant for mutant in every if mutant.printed in printed]
    with tempfile.TemporaryDirectory() as folder:
        trees = [Path(folder) / str(number) for number in range(2)]
        for tree in trees:
            shutil.copytree(ROOT, tree, ignore=LEFT_BEHIND, symlinks=True)
            _compile(tree)
        reach = measured(trees[0], asked.tests or [f"tests/{asked.room}"], asked.room)
        free: SimpleQueue[Path] = SimpleQueue()
        for tree in trees:
            free.put(tree)

        def tried(mutant: Mutant) -> bool:
            tree = free.get()
            try:
                survived = survives(mutant, tree, reach)
            finally:
                free.put(tree)
            if survived:
                print(mutant.printed, flush=True)  # noqa: T201 - what the command is for
            return survived

        with ThreadPoolExecutor(len(trees)) as pool:
            outcomes = list(pool.map(tried, chosen))
    noticed = outcomes.count(False)
    print(f"{noticed} of {len(chosen)} noticed, {100 * noticed / len(chosen):.0f} %, of {len(every)} faults")  # noqa: T201


if __name__ == "__main__":
    main()
