"""Who orders: name, address, numbers and currency, kept once in ``shop.toml`` beside the books or the ledger."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec
from msgspec.structs import replace

from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.source import PartsSource
from stackopt.problems import InputError, Place, Problem

if TYPE_CHECKING:
    from stackopt.books.out.letterhead import OurShop

FILE_NAME = "shop.toml"
EXPECTED = (
    'under [shop] name = "…", address = "…", currency = "…" and customer_numbers = { Quillhaven = "K-1182" }, all texts'
)


def our_shop(source: PartsSource) -> OurShop:
    """Return what the shop says of itself beside its ledger, else beside the first of its books.

    Raises
    ------
    InputError
        When what stands there cannot be read.
    """
    if isinstance(source, LedgerSource):
        return our_shop_of_ledger(source.where)
    from stackopt.books.facts.book_records import Books  # noqa: PLC0415 - imported already where books were read

    return our_shop_beside([sheet.place.file for sheet in source.sheets] if isinstance(source, Books) else [])


def our_shop_beside(books: Sequence[str]) -> OurShop:
    """Return what the shop says of itself beside the first of the books, or here where none lies in a folder.

    Raises
    ------
    InputError
        When what stands there cannot be read.
    """
    from stackopt.books.out.letterhead import OurShop  # noqa: PLC0415 - openpyxl is slow to import

    folder = Path(books[0]).parent if books else Path()
    return _stated(folder / FILE_NAME, OurShop())


def our_shop_of_ledger(ledger: str) -> OurShop:
    """Return what the shop says of itself beside its ledger; what it does not say there is taken from its page.

    Raises
    ------
    InputError
        When what stands there cannot be read.
    """
    from stackopt.books.out.letterhead import OurShop  # noqa: PLC0415 - openpyxl is slow to import
    from stackopt.web.gate.settings import read_settings, settings_file  # noqa: PLC0415 - only for who writes an order

    settings = read_settings(settings_file(ledger))
    folder = Path() if "://" in ledger else Path(ledger).parent
    typed = OurShop(settings.name, settings.address, settings.customer_numbers)
    return _stated(folder / FILE_NAME, typed)


def _stated(file: Path, otherwise: OurShop) -> OurShop:
    """Return what a file says under [shop]; what it leaves out stays as it is."""
    if not file.is_file():
        return otherwise
    try:
        content = tomllib.loads(file.read_text(encoding="utf-8-sig"))
        stated = msgspec.convert(content.get("shop", {}), dict[str, str | dict[str, str]])
        told = msgspec.convert(stated, type(otherwise))
    except (OSError, ValueError) as error:
        raise InputError(Problem(Place(str(file)), str(error), EXPECTED)) from None
    unknown = sorted((content.keys() - {"shop", "gasket"}) | (stated.keys() - set(told.__struct_fields__)))
    if unknown:
        raise InputError(Problem(Place(str(file)), ", ".join(unknown), EXPECTED, "Correct the name, or delete it."))
    named: dict[str, Any] = {name: getattr(told, name) for name in stated}
    if "customer_numbers" in named:
        named["customer_numbers"] = {**otherwise.customer_numbers, **told.customer_numbers}
    return replace(otherwise, **named)
