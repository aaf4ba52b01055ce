"""Ctrl-C and the time limit while an answer is explained, by real signals: the proven answer is printed.

The program is the real one but for one thing: what each engine would have got alone takes half a second or more to
find, so that explaining is long enough to be caught in.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.full import whole_run

ROOT = Path(__file__).parents[2]
SLOWLY = """\
import os, signal, sys, time
from stackopt.choose.why import contests
from stackopt.cli import main

found = contests.alone

def slowly(task):
    sys.stderr.write("explaining\\n")
    sys.stderr.flush()
    time.sleep(float(os.environ["SECONDS"]))
    return found(task)

contests.alone = slowly
# What a shell starts in the background ignores Ctrl-C from the start.
signal.signal(signal.SIGINT, signal.default_int_handler)
main(sys.argv[1:])
"""
STOCK = """\
part number,kind,fits,thickness (mm),opening (mm),on hand,unit cost
B-020,base gasket,KV82,0.20,,6,4.20
B-040,base gasket,KV82,0.40,,6,3.90
H-060,head gasket,KV82,0.60,89.0,12,21.00
"""
HEADS = "engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm)\n"
# Deck 0.00 lands at 0.80 or 1.00, 0.09 or 0.11 off the middle of 0.76 to 1.02; deck 0.05 can use nothing but B-020.
ENGINES = HEADS + "".join(
    f"{name}-{number},KV82,front,88,82,{deck},below,0.76,1.02\n"
    for name, deck in (("EASY", "0.00"), ("HARD", "0.05"))
    for number in range(6)
)


# The first solve waits until somebody says stop, as if it were a large one.
WAITING = """\
import signal, sys, time
from stackopt.choose.model import solver
from stackopt.cli import main

limits = solver._limits
waited = []

def waiting(patience, name):
    if patience is not None and not waited:
        waited.append(name)
        sys.stderr.write("solving\\n")
        sys.stderr.flush()
        ends = time.monotonic() + 20
        while not patience.is_stopped and time.monotonic() < ends:
            time.sleep(0.02)
    return limits(patience, name)

solver._limits = waiting
signal.signal(signal.SIGINT, signal.default_int_handler)
main(sys.argv[1:])
"""
OFFERS = """\
supplier,part number,price,lead days
Bergmann,B-020,4.50,5
Bergmann,H-060,22.00,5
Zett,B-020,4.10,9
Zett,H-060,23.00,9
"""
USAGE = "part number,date,quantity\n" + "".join(
    f"{part},2026-{month:02}-11,2\n" for part in ("B-020", "B-040", "H-060") for month in range(1, 12)
)


def started(directory: Path, *words: str, seconds: float = 0.5) -> subprocess.Popen[str]:
    (directory / "stock.csv").write_text(STOCK, encoding="utf-8")
    (directory / "engines.csv").write_text(ENGINES, encoding="utf-8")
    books = [word for name in ("stock.csv", "engines.csv") for word in ("--book", str(directory / name))]
    command = [sys.executable, "-c", SLOWLY, "plan", *books, "--json", *words]
    slowly = {**os.environ, "SECONDS": str(seconds)}
    return subprocess.Popen(command, cwd=ROOT, env=slowly, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def interrupt_while_explaining(running: subprocess.Popen[str]) -> None:
    assert running.stderr is not None
    assert running.stderr.readline() == "explaining\n"
    running.send_signal(signal.SIGINT)


def test_ctrl_c_while_explaining_prints_the_proven_answer(tmp_path: Path) -> None:
    """All twelve are built, so the exit code is 0; what was cut off is named, and a line says what happens."""
    running = started(tmp_path)
    interrupt_while_explaining(running)
    printed, said = running.communicate(timeout=30)
    answer = json.loads(printed)
    assert (running.returncode, answer["status"]) == (0, "proven")
    assert [engine["blocked"] for engine in answer["engines"]] == [False] * 12
    assert answer["not_looked_for"] == ["which engines stood back for others"]
    assert "Stopping: the answer follows" in said


def test_ctrl_c_twice_ends_without_an_answer(tmp_path: Path) -> None:
    """Each look takes three seconds, so that the second signal comes within the first however busy a machine is."""
    running = started(tmp_path, seconds=3)
    interrupt_while_explaining(running)
    assert running.stderr is not None
    while "Stopping" not in running.stderr.readline():
        pass
    running.send_signal(signal.SIGINT)
    printed, _ = running.communicate(timeout=30)
    assert (running.returncode, printed) == (130, "")


@pytest.mark.parametrize("limit", ["0.5", "2"])
def test_the_time_limit_is_that_of_solving_and_explaining(tmp_path: Path, limit: str) -> None:
    """Six engines that stood back take three seconds to look at here; two seconds are left for start and end."""
    running = started(tmp_path, "--time-limit", limit)
    assert running.stderr is not None
    running.stderr.readline()
    explained_at = time.monotonic()
    answer = json.loads(running.communicate(timeout=30)[0])
    assert time.monotonic() - explained_at < float(limit) + 2
    assert (answer["status"], answer["not_looked_for"]) == ("proven", ["which engines stood back for others"])


@pytest.mark.parametrize(
    ("words", "answered_with"),
    [
        pytest.param(("restock", "--service-level", "0.99"), "orders", marks=whole_run),
        (("range", "--budget", "200.00"), "parts"),
    ],
)
def test_ctrl_c_while_restock_or_range_solves_prints_what_is_found(
    tmp_path: Path, words: tuple[str, ...], answered_with: str
) -> None:
    """The document is whole, nothing in it is said to be proven that is not, and a line says what happens."""
    tables = {"stock": STOCK, "engines": ENGINES, "offers": OFFERS, "usage": USAGE}
    for name, text in tables.items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    books = [word for name in tables for word in ("--book", str(tmp_path / f"{name}.csv"))]
    command = [sys.executable, "-c", WAITING, words[0], *books, "--today", "2026-12-01", "--json", *words[1:]]
    running = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert running.stderr is not None
    while "solving" not in (line := running.stderr.readline()):
        assert line, "it ended before it solved anything"
    running.send_signal(signal.SIGINT)
    printed, said = running.communicate(timeout=30)
    assert running.returncode in (0, 1), said
    answer = json.loads(printed)
    assert answered_with in answer
    assert answer.get("chosen_by", {}).get("bound", 0) <= 1
    assert "Stopping: the best found so far follows" in said
    assert "Traceback" not in said
