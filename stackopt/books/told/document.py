"""Books as one document of plain values: what `check --json` prints, and what data frames are made of.

Names carry units; money is whole cents; what is not stated is None.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.describe import KINDS_WITH_THICKNESS
from stackopt.books.files.sheets import column_letters
from stackopt.books.tables.account import SheetAccount
from stackopt.books.words.currencies import CURRENCIES
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Kit, Offer, Part, Service, StockLine, Supplier, Usage
from stackopt.problems import Place, Problem, Question

Document = dict[str, Any]


def books_document(books: Books) -> Document:
    """Return everything that books say, how each sheet was read, and what is wrong or in question."""
    return {
        "sheets": [_sheet(account) for account in books.sheets],
        "stock": [stock_document(books.parts[number], line) for number, line in books.stock.items()],
        "offers": list(_offers(books)),
        **terms_document(books.suppliers.values(), books.kits.values(), books.usage, books.services),
        "engines": list(map(_engine, books.engines)),
        "problems": list(map(_problem, (*books.refused, *books.problems))),
        "questions": list(map(_question, books.questions)),
    }


def terms_document(
    suppliers: Iterable[Supplier], kits: Iterable[Kit], usage: Iterable[Usage], services: Iterable[Service]
) -> Document:
    """Return suppliers' terms, what kits hold, what left the shelf, and what work costs."""
    return {
        "suppliers": [
            {
                "supplier": one.name,
                "freight_cents": one.freight_cents,
                "free_freight_over_cents": one.free_freight_over_cents,
                "minimum_order_cents": one.minimum_order_cents,
            }
            for one in suppliers
        ],
        "kits": [
            {"kit": kit.number, "part": part, "quantity": quantity}
            for kit in kits
            for part, quantity in kit.contents.items()
        ],
        "usage": [{"part": one.part, "date": _day(one.day), "quantity": one.quantity} for one in usage],
        "services": [
            {"service": one.service, "price_cents": one.price_cents, "per": one.per or None} for one in services
        ],
    }


def _sheet(account: SheetAccount) -> Document:
    return {
        "file": account.place.file,
        "sheet": account.place.sheet,
        "role": account.role and account.role.value,
        "header_row": account.header_row or None,
        "rows_read": account.rows_read,
        "columns": [
            {
                "column": column_letters(column.index),
                "header": column.header,
                "read_as": column.read_as,
                "unit": CURRENCIES.get(column.unit, column.unit) or None,
            }
            for column in account.columns
        ],
        "kept_aside": [{"column": column_letters(index), "header": header} for index, header in account.kept_aside],
        "passed_over": [{"row": row, "why": why} for row, why in account.passed_over],
        "said": account.said,
    }


def _described(part: Part) -> Document:
    return {
        "kind": part.kind.value,
        "fits": sorted(part.families),
        "thickness_mm": part.thickness_mm if part.kind in KINDS_WITH_THICKNESS else None,
        "opening_mm": part.opening_mm,
        "covers": part.covers,
    }


def stock_document(part: Part, line: StockLine) -> Document:
    """Return a part that lies on the shelf."""
    return {
        "part": part.number,
        **_described(part),
        "tolerance_mm": part.tolerance_mm or None,
        "on_hand": line.on_hand,
        "reserved": line.reserved,
        "on_order": line.on_order,
        "expected": _day(line.expected),
        "minimum": line.minimum,
        "maximum": line.maximum,
        "unit_cost_cents": line.unit_cost_cents or None,
        "bin": line.bin or None,
    }


def _offers(books: Books) -> Iterator[Document]:
    for lines in books.offer_lines:
        for offer in lines.offers(books.parts.keys()):
            yield offer_document(offer, lines.currency, books.parts)


def offer_document(offer: Offer, currency: str, parts: Mapping[str, Part]) -> Document:
    """Return a line of a price list."""
    return {
        "supplier": offer.supplier,
        "part": offer.part,
        "supplier_part": offer.supplier_part or None,
        "price_cents": offer.tiers[0].price_cents,
        "tiers": [[tier.from_packs, tier.price_cents] for tier in offer.tiers],
        "pack": offer.pack,
        "minimum_packs": offer.minimum_packs,
        "lead_days": offer.lead_days,
        "special_order": offer.special_order,
        "discontinued": offer.discontinued,
        "superseded_by": offer.superseded_by or None,
        "currency": currency or None,
        **_described(parts[offer.part]),
    }


def _engine(engine: Engine) -> Document:
    return {
        "engine": engine.name,
        "family": engine.family,
        "cylinders": [cylinder.name for cylinder in engine.cylinders],
        "due": _day(engine.due),
        "priority": engine.priority,
    }


def _placed(place: Place) -> Document:
    return {"file": place.file, "sheet": place.sheet, "item": place.item}


def _problem(problem: Problem) -> Document:
    return {
        **_placed(problem.place),
        "found": problem.found,
        "expected": problem.expected,
        "mend": problem.mend,
    }


def _question(question: Question) -> Document:
    return {
        **_placed(question.place),
        "found": question.found,
        "expected": question.expected,
        "answers": list(question.answers),
        "answer_with": f"--answer {question.settled_by('…')}",
    }


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
