"""The questions of `check` in a terminal, through a real pseudo-terminal: what a person sees, types and gets."""

from __future__ import annotations

import os
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest

from stackopt.books.facts.read import read_books

pty = pytest.importorskip("pty")
LIST = """\
part number,kind,fits,thickness (mm),on hand
BG-1,base gasket,KV82,0.4,3 packs
BG-2,base gasket,KV82,0.5,7
BG-3,base gasket,KV82,0.6,2+1
"""
PATIENCE_S = 60


class Terminal:
    """A program run in a pseudo-terminal of its own."""

    def __init__(self, *words: str) -> None:
        self.here, there = pty.openpty()
        self.program = subprocess.Popen(words, stdin=there, stdout=there, stderr=there, close_fds=True)
        os.close(there)
        self.shown = ""

    def until(self, text: str) -> str:
        """Return what is shown up to a text and with it."""
        begun = time.monotonic()
        while text not in self.shown:
            assert time.monotonic() - begun < PATIENCE_S, self.shown
            assert self._more(), self.shown
        before, _, self.shown = self.shown.partition(text)
        return before + text

    def _more(self) -> bool:
        """Read on; False where the program has ended."""
        if not select.select([self.here], [], [], 1)[0]:
            return True
        try:
            read = os.read(self.here, 4096)
        except OSError:
            return False
        self.shown += read.decode("utf-8", "replace").replace("\r\n", "\n")
        return bool(read)

    def type(self, line: str) -> None:
        os.write(self.here, f"{line}\n".encode())

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        self.program.kill()
        self.program.wait()

    def end(self) -> int:
        """Return the exit code."""
        while self._more():
            continue
        os.close(self.here)
        return self.program.wait(PATIENCE_S)


def test_a_number_typed_in_a_terminal_is_the_answer_itself(tmp_path: Path) -> None:
    """1 of a bag of three is one piece, although the first listed answer is 3: listed answers have letters."""
    book = tmp_path / "shelf.csv"
    book.write_text(LIST)
    with Terminal(sys.executable, "-m", "stackopt", "check", str(book)) as terminal:
        asked = terminal.until("leaves it for later: ")
        assert "found '3 packs'" in asked
        assert "  a  3\n" in asked
        terminal.type("1")
        assert "Taken: 1\n" in terminal.until("found '2+1'")
        assert "  b  2\n" in terminal.until("leaves it for later: ")
        terminal.type("b")
        terminal.until("Taken: 2\n")
        assert terminal.end() == 0
    assert {part: line.on_hand for part, line in read_books([book]).stock.items()} == {"BG-1": 1, "BG-2": 7, "BG-3": 2}
