"""An order as a spreadsheet, and as text to paste into a mail."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

from stackopt.books.out.letterhead import OrderHead, OurShop
from stackopt.books.out.order_sheets import write_orders
from stackopt.choose.choice_records import Order, OrderLine
from stackopt.parts.part_records import Offer, Part, PriceTier
from stackopt.report.wording import counted
from stackopt.shop.standing.placed import PlacedOrder
from stackopt.units import money
from stackopt.web.gate.settings import ShopSettings


def order_text(order: PlacedOrder, parts: Mapping[str, Part], settings: ShopSettings, today: date) -> str:
    """Return an order as text for a mail."""
    return "\n".join(_lines(order, parts, settings, today))


def _lines(order: PlacedOrder, parts: Mapping[str, Part], settings: ShopSettings, today: date) -> Iterator[str]:
    yield f"Order {order.number} to {order.supplier}, {today.isoformat()}"
    number = settings.customer_numbers.get(order.supplier)
    if number:
        yield f"Our customer number: {number}"
    yield ""
    for line in order.lines:
        known = parts.get(line.part)
        what = f" ({known.kind})" if known is not None else ""
        theirs = line.supplier_part or line.part
        packs = f"{counted(line.packs, 'pack')} of {line.pack}"
        yield f"{packs}: {theirs}{what}, our number {line.part}, {money(line.price_cents)} a pack"
    yield ""
    lines, freight, total = map(
        money, (order.total_cents - order.freight_cents, order.freight_cents, order.total_cents)
    )
    yield f"Lines {lines}, freight {freight}, to pay {total}"
    if settings.name:
        yield ""
        yield settings.name
        yield from settings.address.splitlines()


def order_sheet(order: PlacedOrder, parts: Mapping[str, Part], settings: ShopSettings, today: date) -> bytes:
    """Return an order as an .xlsx."""
    head = OrderHead(OurShop(settings.name, settings.address, settings.customer_numbers), order.number)
    lines = tuple(
        OrderLine(
            Offer(
                order.supplier,
                line.part,
                (PriceTier(1, line.price_cents),),
                supplier_part=line.supplier_part,
                pack=line.pack,
                lead_days=line.lead_days,
                special_order=line.special_order,
            ),
            line.packs,
        )
        for line in order.lines
    )
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "order.xlsx")
        write_orders(file, [Order(order.supplier, order.freight_cents, lines)], parts, today, head, replace=True)
        return file.read_bytes()
