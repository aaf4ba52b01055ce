"""Which presses were carried out: the same form sent twice does it once, also where the page was ended in between."""

from __future__ import annotations

import os
import threading
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path

import msgspec
from msgspec import Struct, field

MOST_PRESSES = 2000
FILE_NAME = "presses.jsonl"


class Pressed(Struct, frozen=True, omit_defaults=True):
    """One line of the file of presses.

    A press is written down before it is carried out, with the ledger's last command then; and again afterwards, with
    where it led (`led_to`), or that it was refused and did nothing.
    """

    number: str
    who: str = ""
    since: int = 0
    led_to: str = ""
    refused: bool = False


class Presses(Struct):
    """The presses of one shop's page, kept in a file beside the ledger.

    `led_to` tells where each that was carried out led; `begun` holds those that were begun and not ended.
    """

    folder: Callable[[], Path]
    led_to: OrderedDict[str, str] = field(default_factory=OrderedDict)
    begun: dict[str, Pressed] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)
    is_read: bool = False

    def read(self) -> list[Pressed]:
        """Take up what a page that ran before has written; return what it began and did not end, once."""
        if self.is_read:
            return []
        self.is_read = True
        for line in self._lines():
            self._note(line)
        self._shorten()
        left, self.begun = list(self.begun.values()), {}
        return left

    def begin(self, number: str, who: str, since: int) -> None:
        """Write down that a press is being carried out."""
        self._write(Pressed(number, who, since))

    def end(self, number: str, led_to: str) -> None:
        """Write down where a press led."""
        self._write(Pressed(number, led_to=led_to))

    def refuse(self, number: str) -> None:
        """Write down that a press did nothing: sent again, it is tried again."""
        self._write(Pressed(number, refused=True))

    def _note(self, line: Pressed) -> None:
        if line.led_to:
            self.led_to[line.number] = line.led_to
            if len(self.led_to) > MOST_PRESSES:
                self.led_to.popitem(last=False)
        if line.led_to or line.refused:
            self.begun.pop(line.number, None)
        else:
            self.begun[line.number] = line

    def _lines(self) -> list[Pressed]:
        file = self.folder() / FILE_NAME
        written = file.read_bytes().splitlines() if file.exists() else []
        lines = []
        for line in written:
            try:
                lines.append(msgspec.json.decode(line, type=Pressed))
            except msgspec.DecodeError:
                # The last line of a page that was killed while it wrote.
                continue
        return lines

    def _write(self, line: Pressed) -> None:
        self._note(line)
        with (self.folder() / FILE_NAME).open("ab") as stream:
            # A line that was cut short before must not swallow this one.
            stream.write(b"\n" + msgspec.json.encode(line) + b"\n")
            stream.flush()
            os.fsync(stream.fileno())

    def _shorten(self) -> None:
        kept = [*(Pressed(number, led_to=led_to) for number, led_to in self.led_to.items()), *self.begun.values()]
        file = self.folder() / FILE_NAME
        shorter = file.with_suffix(".new")
        shorter.write_bytes(b"".join(msgspec.json.encode(line) + b"\n" for line in kept))
        os.replace(shorter, file)
