"""The tables as they are after the newest migration. Rows are only ever added; triggers hold that shut.

An `event` is one command of the shop, stored in one transaction; every other row belongs to an event. `movement` rows
are summed. In tables with `listed` the newest row of a key is the current one, and `listed` false ends the key.
"""

from __future__ import annotations

from sqlalchemy import Boolean, Column, Float, ForeignKey, Index, Integer, String, Table, Text

from stackopt.shop.database.columns import event_column, id_column, list_table, metadata, seal_column
from stackopt.shop.database.snapshot import KEYS

event = Table(
    "event",
    metadata,
    id_column(),
    Column("at", String(20), nullable=False),  # UTC, as 2027-02-12T09:31:05Z
    Column("what", String, nullable=False),
    Column("who", String, nullable=False),
    Column("why", Text, nullable=False),
    Column("undoes", Integer, ForeignKey("event.id"), unique=True),
    seal_column(),
)

movement = Table(
    "movement",
    metadata,
    id_column(),
    event_column(),
    Column("part", String, nullable=False),
    Column("act", String, nullable=False),
    Column("quantity", Integer, nullable=False),
    Column("engine", String, nullable=False),  # empty where no engine is concerned
    Column("purchase", Integer, nullable=False),  # 0 where no order is concerned
    seal_column(),
    Column("branch", Text, nullable=False, server_default=""),  # where the pieces lie; empty for the main branch
    Column("bin", Text, nullable=False, server_default=""),  # in which bin there; empty for the one that the list names
    Index("movement_sums", "part", "act", "engine", "purchase", "branch", "bin", "quantity"),
    Index("movement_engine", "engine", "part"),
    Index("movement_purchase", "purchase"),
    Index("movement_of_order", "purchase", "engine", "part", "act", "branch", "bin", "quantity"),
    Index("movement_event", "event"),
)
# Few pieces lie in another bin than that of their part.
elsewhere = movement.c.bin != ""
Index("movement_bins", movement.c.part, sqlite_where=elsewhere, postgresql_where=elsewhere)

part = list_table(
    "part",
    Column("number", String, nullable=False),
    Column("kind", String, nullable=False),
    Column("families", String, nullable=False),  # ;A;B; so that ;A; finds A alone
    Column("thickness_mm", Float, nullable=False),
    Column("tolerance_mm", Float, nullable=False),
    Column("estimated", Boolean, nullable=False),
    Column("opening_mm", Float),
    Column("opening_mm2", Float),
    Column("covers", Integer, nullable=False),
    Column("position", String, nullable=False),
    Column("crown_volume_cc", Float),
    Column("compression_height_mm", Float),
    Column("material", String, nullable=False),
    Column("description", Text, nullable=False),
    Column("stocked", Boolean, nullable=False),  # has a line in the stock list; false where only suppliers list it
    Column("unit_cost_cents", Integer, nullable=False),
    Column("minimum", Integer),
    Column("maximum", Integer),
    Column("bin", String, nullable=False),
    Column("service_level", Float),
)
# A second copy of what is searched for parts that fit: see `agreement.check_search_agrees`.
Index("part_fits", part.c.number, part.c.kind, part.c.families)

offer = list_table(
    "offer",
    Column("supplier", String, nullable=False),
    Column("part", String, nullable=False),
    Column("line", Integer, nullable=False),  # 0, 1 … where one supplier lists one part more than once
    Column("tiers", Text, nullable=False),  # packs from:cents of one pack, as 1:4130;3:3900
    Column("supplier_part", String, nullable=False),
    Column("pack", Integer, nullable=False),
    Column("minimum_packs", Integer, nullable=False),
    Column("lead_days", Integer, nullable=False),
    Column("special_order", Boolean, nullable=False),
    Column("discontinued", Boolean, nullable=False),
    Column("superseded_by", String, nullable=False),
    Column("written_at", String, nullable=False),
)

supplier = list_table(
    "supplier",
    Column("name", String, nullable=False),
    Column("freight_cents", Integer, nullable=False),
    Column("free_freight_over_cents", Integer),
    Column("minimum_order_cents", Integer, nullable=False),
)

kit = list_table(
    "kit",
    Column("number", String, nullable=False),
    Column("contents", Text, nullable=False),  # JSON: pieces by part number
)

service = list_table(
    "service",
    Column("name", String, nullable=False),  # in lower case
    Column("service", String, nullable=False),  # as it was written
    Column("price_cents", Integer, nullable=False),
    Column("per", String, nullable=False),
)

engine = list_table(
    "engine",
    Column("name", String, nullable=False),
    Column("record", Text, nullable=False),  # JSON of the engine as it was read
)

chosen = list_table(
    "chosen",
    Column("engine", String, nullable=False),
    Column("record", Text, nullable=False),  # JSON of readings, stack and proof at the time of the choice
)

purchase = Table(
    "purchase",
    metadata,
    id_column(),  # the order's number
    event_column(),
    Column("supplier", String, nullable=False),
    Column("freight_cents", Integer, nullable=False),
    seal_column(),
)

purchase_line = Table(
    "purchase_line",
    metadata,
    id_column(),
    event_column(),
    Column("purchase", Integer, ForeignKey("purchase.id"), nullable=False),
    Column("part", String, nullable=False),
    Column("supplier_part", String, nullable=False),
    Column("packs", Integer, nullable=False),
    Column("pack", Integer, nullable=False),
    Column("price_cents", Integer, nullable=False),  # of one pack, at the tier of the order
    Column("lead_days", Integer, nullable=False),
    Column("special_order", Boolean, nullable=False),
    Column("contents", Text, nullable=False),  # JSON: what one piece of the part is on the shelf, by part number
    seal_column(),
    Index("purchase_line_purchase", "purchase"),
)

purchase_step = list_table(
    "purchase_step",
    Column("purchase", Integer, ForeignKey("purchase.id"), nullable=False),
    Column("step", String, nullable=False),  # draft, sent or cancelled; how much arrived is a sum of movements
    Column("day", Text, nullable=False, server_default=""),  # as 2027-02-12; empty for the day of the event
)

confirmed = list_table(
    "confirmed",
    Column("purchase", Integer, ForeignKey("purchase.id"), nullable=False),
    Column("part", String, nullable=False),
    Column("day", String, nullable=False),  # the day that the supplier named, as 2027-02-12; empty for none
    Column("price_cents", Integer),  # of one pack, where he named another
)

unfinished = list_table(
    "unfinished",
    Column("engine", String, nullable=False),  # when it was planned last, nothing fitted it
)

not_made = list_table(
    "not_made",
    Column("supplier", String, nullable=False),
    Column("kind", String, nullable=False),
    Column("family", String, nullable=False),
    Column("thickness_mm", Float, nullable=False),
)

measured = Table(
    "measured",
    metadata,
    id_column(),
    event_column(),
    Column("engine", String, nullable=False),
    Column("cylinder", String, nullable=False),
    Column("places_mm", Text, nullable=False),  # JSON: the readings
    Column("predicted_mm", Float, nullable=False),
    Column("expected_mm", Float, nullable=False),
    Column("deviation_mm", Float, nullable=False),
    Column("learned", Boolean, nullable=False),  # false for an outlier
    seal_column(),
    Index("measured_engine", "engine"),
)

adopted = list_table(
    "adopted",
    Column("part", String, nullable=False),
    Column("listed_mm", Float, nullable=False),  # the listed thickness that the shop's own replaces
    Column("own_mm", Float, nullable=False),
    Column("measurements", Integer, nullable=False),
)

stock_sheet = list_table(
    "stock_sheet",
    Column("name", String, nullable=False),  # there is one, the shop's own
    Column("columns", Text, nullable=False),  # JSON: title, name, unit and whether kept, in their order
)

kept_cells = list_table(
    "kept_cells",
    Column("part", String, nullable=False),
    Column("cells", Text, nullable=False),  # JSON: cells of the stock list that are kept as written, by title
)

usage = list_table(
    "usage",  # what usage sheets say left the shelf; what the ledger itself took off it is a movement
    Column("part", String, nullable=False),
    Column("day", String(10), nullable=False),  # as 2027-02-12
    Column("quantity", Integer, nullable=False),
)

person = list_table(
    "person",
    Column("name", String, nullable=False),
    Column("rights", String, nullable=False),  # take;order;undo;settle; everybody who is named may look
)

lot = Table(
    "lot",  # a delivery of which pieces were measured; how many came is in the movements of its event
    metadata,
    id_column(),
    event_column(),
    Column("part", String, nullable=False),
    Column("readings_mm", Text, nullable=False),  # JSON: installed thicknesses as measured
    seal_column(),
    Index("lot_part", "part"),
)

branch = list_table(
    "branch",
    Column("name", Text, nullable=False),
    Column("main", Boolean, nullable=False),  # what no movement names a branch for lies there
    Column("code", Text, nullable=False, server_default=""),  # what movements call it; empty where that is its name
)

transfer_days = list_table(
    "transfer_days",
    Column("origin", Text, nullable=False),  # empty for the main branch
    Column("destination", Text, nullable=False),
    Column("days", Integer, nullable=False),
)

route = list_table(
    "route",  # only of orders that do not go from a supplier to the main branch
    Column("purchase", Integer, ForeignKey("purchase.id"), nullable=False),
    Column("transferred", Boolean, nullable=False),  # a branch sends it, no supplier
    Column("origin", Text, nullable=False),
    Column("destination", Text, nullable=False),
)

branch_line = list_table(
    "branch_line",  # what the stock list of a branch other than the main one says beside the count
    Column("branch", Text, nullable=False),
    Column("part", Text, nullable=False),
    Column("bin", Text, nullable=False),
    Column("minimum", Integer),
    Column("maximum", Integer),
)

build = Table(
    "build",
    metadata,
    id_column(),
    event_column(),
    Column("engine", String, nullable=False, unique=True),
    Column("record", Text, nullable=False),  # JSON of the whole build as it was when it was closed
    seal_column(),
)

chain = Table(
    "chain",
    metadata,
    id_column(),  # the event's number
    Column("link", String(64), nullable=False),  # see `seals`
)

# In the order in which rows may be copied: what is referred to first.
ALL: tuple[Table, ...] = (
    *(event, movement, part, offer, supplier, kit, service, engine, chosen),
    *(purchase, purchase_line, purchase_step, confirmed, unfinished, not_made),
    *(measured, adopted, stock_sheet, kept_cells, usage, person, lot),
    *(branch, transfer_days, route, branch_line, build, chain),
)

# The tables whose rows carry a seal.
SEALED: tuple[Table, ...] = tuple(table for table in ALL if table is not chain)

# The tables in which the newest row of a key is the current one.
LISTS: tuple[Table, ...] = tuple(metadata.tables[name] for name in KEYS)
