"""The columns of each role, by canonical name, with the trade's other spellings of them.

Spellings stand here in the plain form of `headers.plain_words`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from stackopt.books.words.describing.engine_columns import ENGINES
from stackopt.books.words.tongues.headers import VAGUE_ABROAD
from stackopt.books.words.vocabulary import Column, Measure, Role, RoleColumns, by_name, either

_PART_NUMBER = Column(
    "part number",
    either(
        "part, number, item, item number, part code, stock code, stock number, item code, product code, "
        "product number, sku, article number, article, code, reference, ref"
    ),
)
# What a supplier's own list calls the number of the shop.
_YOURS = tuple(
    f"{whose} {what}"
    for whose in ("your", "customer")
    for what in ("part number", "number", "item number", "article number", "reference")
)
# Words that mean a part number, or a cylinder, only where no plainer word stands beside them; some mean any number.
GROUPS = either("item group, product group, part group, item category, product category, item type, class")
SECOND_CHOICE = frozenset({"article", "code", "reference", "ref", "position", *GROUPS}) | VAGUE_ABROAD
VAGUE = SECOND_CHOICE | {"part", "number", "item"}
_TAXED = tuple(
    f"{price}{taxed} vat".strip()
    for price in ("price ", "net price ", "unit price ", "")
    for taxed in ("excluding", "including")
)
_UNIT = Column(
    "unit",
    ("units", "uom", "unit measure", "units measure", "u m", "einheit", "quantity unit", "stock unit", "order unit"),
)
_BESIDE = (
    _UNIT,
    Column(
        "thickness unit",
        ("thickness units", "unit thickness", "units thickness", "thickness uom", "length unit", "dimension unit"),
    ),
    Column("currency", ("curr", "cur", "ccy", "valuta", "währung", "price currency", "currency code")),
    Column("status", ("state", "condition", "part status", "item status", "article status", "lifecycle")),
)
# A list of what came is asked about, so it must be known for what it is.
_SOLD = either("quantity sold, sold, quantity installed, quantity consumed, consumed, quantity out, pieces used")
_SOLD_ON = either("date sold, sold on, date installed, installed on, date out")
_CAME = either("quantity received, received quantity, quantity delivered, delivered quantity, delivered, goods")
_CAME_ON = either("received, received on, received date, date received, delivered on, delivery date, arrived")
_QUANTITY = Column(
    "quantity", (*either("piece, count, number off, quantity used, used, issued, quantity issued"), *_SOLD)
)
_DESCRIBING = (
    Column("kind", ("type", "part type", "part kind", "category", *GROUPS)),
    Column("fits", ("fit", "family", "engine family", "fits family", "application", "suits", "engine")),
    Column(
        "thickness",
        either(
            "t, installed, installed thickness, thickness installed, gasket thickness, gauge, thickness comp, "
            "comp thickness, thickness after torque, thickness after crush, thickness measured, measured thickness, "
            "actual thickness, thickness actual, final thickness, working thickness, thickness when installed"
        ),
        Measure.LENGTH,
    ),
    Column("free thickness", ("thickness free", "thickness new", "new thickness", "free", "new"), Measure.LENGTH),
    Column("thickness tolerance", ("tolerance", "tolerance percent", "tolerance per cent"), Measure.LENGTH),
    Column(
        "opening",
        either("opening diameter, gasket opening, inside diameter, inner diameter, id, opening area, bore opening"),
        Measure.OPENING,
    ),
    Column("covers", ("covers cylinder", "cylinder covered", "cylinder")),
    Column("position", ("side", "front rear", "left right")),
    Column("material"),
    Column("crown volume", ("piston volume", "piston crown volume"), Measure.VOLUME),
    Column("compression height", ("pin height", "piston compression height"), Measure.LENGTH),
    Column("description", ("name", "designation")),
)


STOCK = RoleColumns(
    by_name(
        _PART_NUMBER,
        *_DESCRIBING,
        Column(
            "on hand",
            either(
                "quantity on hand, on hand piece, quantity piece, stock piece, piece, number piece, have, balance, "
                "stock level, stock balance, stock count, current stock, actual stock, stock now, total stock, "
                "stock, quantity, stock quantity, "
                "quantity stock, on shelf"
            ),
        ),
        Column("reserved", ("allocated", "quantity reserved", "committed", "quantity committed", "quantity allocated")),
        Column(
            "unit cost",
            either(
                "cost, cost each, each, cost piece, cost per piece, cost price, net, net cost, "
                "purchase price, buying price, average cost, average cost price, standard cost, "
                "last cost, latest cost, last purchase price, last buying price, last price paid"
            ),
            Measure.MONEY,
        ),
        Column(
            "on order",
            either(
                "quantity on order, ordered, quantity ordered, incoming, under way, on order piece, on po, "
                "quantity on po, po quantity"
            ),
        ),
        Column("expected", either("expected on, expected date, date expected, eta, arrives, arrival, due, due on")),
        Column(
            "min",
            either("minimum, reorder point, reorder level, minimum stock, minimum quantity, order at, reorder at"),
        ),
        Column("max", ("maximum", "order up", "maximum stock", "maximum quantity")),
        Column("service level", ("fill level",)),
        Column("bin", ("location", "bin location", "shelf location", "storage location", "place", "rack", "drawer")),
        *_BESIDE,
    ),
    key="part number",
    weight=("on hand",),
    marks=(frozenset({"part number"}), frozenset({"on hand"})),
    required=(("part number",), ("kind",), ("on hand",)),
    grouping=("kind", "fits", "position", "material", "bin"),
    rivals=frozenset({Role.OFFERS}),
)
# Terms of a supplier: in a list of their own, or beside his prices.
_FREIGHT = (
    Column("freight", ("freight per order", "freight cost", "delivery charge", "freight charge"), Measure.MONEY),
    Column(
        "free freight over",
        ("freight free over", "free over", "free freight from", "freight paid over", "free freight above"),
        Measure.MONEY,
    ),
)
OFFERS = RoleColumns(
    by_name(
        Column("supplier", ("supplier name", "from")),
        Column("part number", (*_PART_NUMBER.spellings, *_YOURS)),
        *_DESCRIBING,
        Column(
            "supplier part number",
            either("supplier number, their number, their part number, supplier item, supplier code, catalog number"),
        ),
        Column(
            "price",
            (
                *either("price per pack, price pack, pack price, net, net price, price net, list, list price, cost"),
                *either("your price, dealer price, trade price, wholesale price, workshop price"),
                *_TAXED,
            ),
            Measure.MONEY,
        ),
        Column(
            "price each",
            ("price each", "cost each", "each", "price piece", "price per piece", "unit price", "net each"),
            Measure.MONEY,
        ),
        Column("pack", ("pack size", "piece per pack", "quantity per pack", "per pack", "pack quantity")),
        Column("minimum packs", ("minimum pack", "minimum order pack", "least pack")),
        Column(
            "minimum quantity",
            either(
                "minimum order quantity, minimum piece, quantity from, from quantity, from piece, break, "
                "break quantity, quantity break, price break, break point, at least, least quantity"
            ),
        ),
        Column("minimum order", ("order minimum", "least order")),
        *_FREIGHT,
        Column(
            "minimum order sum",
            either("minimum order value, minimum order amount, minimum order total, minimum value, order value"),
            Measure.MONEY,
        ),
        Column(
            "lead days",
            either(
                "lead time, lead, lt, delivery, delivery time, delivery days, lead time days, leadtime, "
                "delivery lead time, dispatch time, shipping time, freight time, supply time"
            ),
            Measure.TIME,
        ),
        Column("special order", ("special", "made order", "made", "on request", "special item")),
        Column("discontinued", ("obsolete", "no longer made", "no longer available")),
        Column(
            "superseded by",
            ("replaced by", "superseded", "new number", "new part number", "successor", "replacement", "nachfolger"),
        ),
        *_BESIDE,
        Column(
            "price per", ("per", "price unit", "unit price per", "pricing unit", "basis", "price basis", "price for")
        ),
        Column("discount", ("rebate", "your discount", "trade discount", "discount percent", "rabatt")),
    ),
    key="part number",
    weight=("price", "price each"),
    marks=(frozenset({"part number"}), frozenset({"price", "price each"})),
    required=(("part number",), ("price", "price each"), ("supplier",)),
    grouping=("supplier", "kind", "fits", "position", "material"),
    rivals=frozenset({Role.STOCK}),
)
SUPPLIERS = RoleColumns(
    by_name(
        Column("supplier", ("supplier name", "name", "from")),
        *_FREIGHT,
        Column("minimum order", ("minimum order value", "order minimum", "least order"), Measure.MONEY),
    ),
    key="supplier",
    weight=("freight", "minimum order", "free freight over"),
    marks=(frozenset({"supplier"}), frozenset({"freight", "minimum order", "free freight over"})),
    required=(("supplier",),),
)
KITS = RoleColumns(
    by_name(
        Column("kit", ("set", "kit number", "set number", "gasket set", "kit part number")),
        Column("part number", (*_PART_NUMBER.spellings, "contains", "contents", "component")),
        _QUANTITY,
        _UNIT,
    ),
    key="part number",
    weight=("quantity",),
    marks=(frozenset({"part number"}), frozenset({"kit", "quantity"})),
    required=(("kit",), ("part number",), ("quantity",)),
    grouping=("kit",),
)
USAGE = RoleColumns(
    by_name(
        _PART_NUMBER,
        Column(
            "date",
            (
                *either(
                    "day, used on, issued on, date used, date issued, date sold, "
                    "sold on, date installed, installed on, date out"
                ),
                *_CAME_ON,
            ),
        ),
        Column("quantity", (*_QUANTITY.spellings, *_CAME)),
        _UNIT,
    ),
    key="part number",
    weight=("quantity",),
    marks=(frozenset({"part number"}), frozenset({"date"}), frozenset({"quantity"})),
    required=(("part number",), ("date",), ("quantity",)),
    grouping=("date",),
)
SERVICES = RoleColumns(
    by_name(
        Column("service", ("work", "operation", "machining")),
        Column("price", ("cost", "charge", "net", "net price", "list price", "price each"), Measure.MONEY),
        Column("per", ("unit", "each", "price per")),
    ),
    key="service",
    weight=("price",),
    marks=(frozenset({"service"}), frozenset({"price"})),
    required=(("service",), ("price",)),
)
ROLES: Mapping[Role, RoleColumns] = {
    Role.ENGINES: ENGINES,
    Role.KITS: KITS,
    Role.USAGE: USAGE,
    Role.SERVICES: SERVICES,
    Role.STOCK: STOCK,
    Role.OFFERS: OFFERS,
    Role.SUPPLIERS: SUPPLIERS,
}

# Pairs of columns that say the same thing in two ways, so that a sheet with both must be asked about.
NEVER_BOTH = (("price", "price each"),)
TIER_START = re.compile(r"(?:pack from|from pack|from|quantity|break quantity|quantity break|from quantity) (\d{1,2})")
TIER_PRICE = re.compile(r"price (\d{1,2})")
