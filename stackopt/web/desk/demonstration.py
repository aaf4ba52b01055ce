"""The shop of the demonstration: the books of a worked situation, shipped with the program."""

from __future__ import annotations

from contextlib import ExitStack
from importlib.resources import as_file, files

from stackopt.books.facts.read import read_books
from stackopt.books.out.stock_sheet import stock_sheet
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import Ledger

BOOKS = ("shop.xlsx", "dorfmoos.xlsx", "quillhaven.csv", "varnik.csv")


def load_demonstration(ledger: Ledger, note: Note) -> None:
    """Load the shop of the demonstration into a ledger.

    Raises
    ------
    InputError
        When the ledger cannot be written.
    """
    folder = files("stackopt.web").joinpath("demonstration")
    with ExitStack() as stack:
        paths = [stack.enter_context(as_file(folder.joinpath(name))) for name in BOOKS]
        read = read_books(paths)
        ledger.load(read.supply, note, read.engines, sheet=stock_sheet(read), used=read.usage)
