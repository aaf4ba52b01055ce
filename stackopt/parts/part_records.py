"""The records of parts, of what lies on the shelf, and of what suppliers offer."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from enum import StrEnum

from msgspec import Struct, field
from msgspec.structs import force_setattr

from stackopt.engine.geometry import circle_area_mm2

ANY_FAMILY = "*"


class Kind(StrEnum):
    """What a part is, by its canonical name."""

    BASE_GASKET = "base gasket"
    HEAD_GASKET = "head gasket"
    BASE_SHIM = "base shim"
    PISTON = "piston"
    KIT = "kit"


class Part(Struct, frozen=True):
    """One part, known by its number, wherever it comes from.

    Parameters
    ----------
    number
        The shop's part number.
    kind
        What it is.
    families
        Engine families it fits; holds ``*`` for any.
    thickness_mm
        Installed thickness, mm; 0 for kinds that have none (piston, kit).
    tolerance_mm
        Half-width of the thickness tolerance, mm; 0 when not stated.
    estimated
        The installed thickness was worked out from a free thickness.
    opening_mm2
        Area of a head gasket's opening, mm²; None when not stated.
    opening_mm
        Diameter of the opening where it is round, mm.
    covers
        How many cylinders one piece covers.
    position
        The cylinder it fits where it fits only one (front, rear, left, right); empty for any.
    crown_volume_cc, compression_height_mm
        Of a piston: cm³ (positive takes space away) and mm.
    material, description
        As written.
    measured_on
        After how many measured cylinders the thickness is the shop's own; 0 where it is that of the list.
    pieces_measured, only_measured
        How many pieces of its deliveries told the thickness, and whether none of another can be taken; see `lots`.
    plain
        A piece of which nothing is known but its thickness: no list has it, and it lies on no shelf that is counted.
    """

    number: str
    kind: Kind
    families: frozenset[str] = frozenset({ANY_FAMILY})
    thickness_mm: float = 0.0
    tolerance_mm: float = 0.0
    estimated: bool = False
    opening_mm: float | None = None
    opening_mm2: float | None = None
    covers: int = 1
    position: str = ""
    crown_volume_cc: float | None = None
    compression_height_mm: float | None = None
    material: str = ""
    description: str = ""
    measured_on: int = 0
    pieces_measured: int = 0
    only_measured: bool = False
    plain: bool = False

    def __post_init__(self) -> None:
        if self.opening_mm is not None and self.opening_mm2 is None:
            force_setattr(self, "opening_mm2", circle_area_mm2(self.opening_mm))

    def fits_family(self, family: str) -> bool:
        """Tell whether the part fits an engine family."""
        return family in self.families or ANY_FAMILY in self.families


class InBin(Struct, frozen=True):
    """So many pieces of a part in one bin; the name is empty where nobody gave it one."""

    bin: str
    on_hand: int

    def __str__(self) -> str:
        return f"{self.on_hand} in {self.bin or 'no bin'}"


class StockLine(Struct, frozen=True):
    """What the shop holds of one part.

    `on_hand` pieces of which `reserved` are promised; `unit_cost_cents` is what one piece stands in the books for
    (0 when not stated); `minimum` and `maximum` are the shop's own reorder levels; `service_level` is the chance,
    0 to 1, with which a lead time is to be bridged without running out, where stated for this part alone.
    `on_order` pieces are under way and not yet on hand, all of them here by the day `expected`; None: nobody says when.
    `bins` says how many of them lie in which bin, where they lie in several; `bin` then names all of these.
    """

    part: str
    on_hand: int
    reserved: int = 0
    unit_cost_cents: int = 0
    minimum: int | None = None
    maximum: int | None = None
    bin: str = ""
    service_level: float | None = None
    on_order: int = 0
    expected: date | None = None
    bins: tuple[InBin, ...] = ()

    @property
    def free(self) -> int:
        """Pieces on hand that nobody was promised; never negative."""
        return max(0, self.on_hand - self.reserved)


class UnderWay(Struct, frozen=True):
    """Pieces of one part that were ordered and that nobody was promised: how many, and the day they are here.

    `day` is None where nobody says when; `order` is the number of the ledger's order, 0 where a stock list says so.
    `branch` names another branch of the shop where they lie on the shelf, to be transferred; their day is that of a
    transfer made today.
    """

    part: str
    quantity: int
    day: date | None
    order: int = 0
    branch: str = ""


class StockColumn(Struct, frozen=True):
    """One column of the shop's own stock list, so that the list can be given back as it came.

    `title` is its header as written, `name` what it was read as, empty where that is nothing known; `unit` is what was
    said of its unit. The cells of one that is `kept` come back as they were written.
    """

    title: str
    name: str = ""
    unit: str = ""
    kept: bool = False


class StockSheet(Struct, frozen=True):
    """How the shop's own stock list looks: its columns in their order, cells that are kept, by part and title.

    `above` are the cells of the rows that stand above the headers, such as the list's title.
    """

    columns: tuple[StockColumn, ...] = ()
    kept: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    above: tuple[tuple[str, ...], ...] = ()


class Usage(Struct, frozen=True):
    """So many pieces of a part that left the shelf at once, and the day they did."""

    part: str
    day: date
    quantity: int


class PriceTier(Struct, frozen=True):
    """From this many packs on, every pack of the line costs this much."""

    from_packs: int
    price_cents: int


class Offer(Struct, frozen=True):
    """One line of a supplier's price list: a part, in packs, at a price.

    `tiers` is ordered by `from_packs`; the first starts at 1. `lead_days` are calendar days. A discontinued line
    cannot be bought; one superseded is bought under the new number. `written_at` is where the list says so.
    """

    supplier: str
    part: str
    tiers: tuple[PriceTier, ...]
    supplier_part: str = ""
    pack: int = 1
    minimum_packs: int = 1
    lead_days: int = 0
    special_order: bool = False
    discontinued: bool = False
    superseded_by: str = ""
    written_at: str = ""

    def price_cents(self, packs: int) -> int:
        """Return the price of one pack when this many are bought, cents."""
        return max((tier for tier in self.tiers if tier.from_packs <= packs), key=lambda t: t.from_packs).price_cents


class Supplier(Struct, frozen=True):
    """A supplier's terms for one order; None where there is no such threshold."""

    name: str
    freight_cents: int = 0
    free_freight_over_cents: int | None = None
    minimum_order_cents: int = 0

    @property
    def asks_for_a_sum(self) -> bool:
        """An order of more is met with other terms: a minimum is reached, or the freight is free."""
        return self.minimum_order_cents > 0 or (self.free_freight_over_cents is not None and self.freight_cents > 0)

    @property
    def most_saved_cents(self) -> float:
        """What a line that no engine needs can save at most, cents; infinite where an order hangs on its sum."""
        if self.minimum_order_cents > 0:
            return math.inf
        return self.freight_cents if self.free_freight_over_cents is not None else 0


class Kit(Struct, frozen=True):
    """A set sold as one line: pieces of each part that it holds, by part number."""

    number: str
    contents: Mapping[str, int]


# What a price of work may be for: one cylinder of a twin has one head, one barrel, one piece of each; nothing said too.
PER_CYLINDER = frozenset({"", "cylinder", "barrel", "head", "piece", "cut", "each"})
PER_ENGINE = frozenset({"engine", "pair", "both", "set", "job"})


class Service(Struct, frozen=True):
    """Work that is bought, such as a head cut: its name, its price in whole cents, and what that price is for."""

    service: str
    price_cents: int
    per: str = ""

    @property
    def is_for_engine(self) -> bool:
        """Whether the price is paid once for all cylinders of an engine; else for each that is worked on."""
        return self.per.casefold() in PER_ENGINE

    @property
    def is_understood(self) -> bool:
        """Whether what the price is for is known."""
        return self.is_for_engine or self.per.casefold() in PER_CYLINDER


class Supply(Struct, frozen=True):
    """Everything that can be fitted: known parts, the shelf, what suppliers offer, what kits hold, what work costs.

    Mappings go by part number, supplier name, kit number and, in lower case, the name of a service. A supplier that
    offers but has no record of its own charges no freight and asks no minimum. `ordered` is what the ledger's own
    orders still bring.
    """

    parts: Mapping[str, Part] = field(default_factory=dict)
    stock: Mapping[str, StockLine] = field(default_factory=dict)
    offers: tuple[Offer, ...] = ()
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)
    kits: Mapping[str, Kit] = field(default_factory=dict)
    services: Mapping[str, Service] = field(default_factory=dict)
    ordered: tuple[UnderWay, ...] = ()

    @property
    def under_way(self) -> tuple[UnderWay, ...]:
        """All pieces that are under way and free, of stock lists and of orders; a part may come on several days."""
        listed = (UnderWay(line.part, line.on_order, line.expected) for line in self.stock.values() if line.on_order)
        return (*listed, *self.ordered)

    @property
    def pieces_under_way(self) -> dict[str, int]:
        """How many pieces of each part are under way and free, whenever they come."""
        pieces: dict[str, int] = {}
        for each in self.under_way:
            pieces[each.part] = pieces.get(each.part, 0) + each.quantity
        return pieces

    def free(self, part: str) -> int:
        """Return how many pieces of a part are free on the shelf."""
        line = self.stock.get(part)
        return 0 if line is None else line.free

    def unit_cost_cents(self, part: str) -> int:
        """Return what one piece of a part stands in the books for, cents; 0 when not stated."""
        line = self.stock.get(part)
        return 0 if line is None else line.unit_cost_cents

    def supplier(self, name: str) -> Supplier:
        """Return a supplier's terms; no freight and no minimum where none are stated."""
        return self.suppliers.get(name) or Supplier(name)
