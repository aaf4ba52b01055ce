"""The answer of `fit` and `plan` as frames."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any

import pandas as pd
from msgspec import Struct

from stackopt.choose.why.explain import Answer
from stackopt.report.answer.document import answer_document
from stackopt.report.drawings.answer_drawings import answer_drawings
from stackopt.report.drawings.svg import svg_text
from stackopt.tables.frames import frame
from stackopt.tables.notebook import tables_html
from stackopt.tables.quantities import quantified

Row = dict[str, Any]
WHOSE = ("engine", "family", "due", "ready_on", "wait_days", "late_days")
ROLES = {"base gasket": "base_gasket", "head gasket": "head_gasket"}


class AnswerTables(Struct, frozen=True, dict=True):
    """What was chosen and what was proven: each table a data frame whose columns are the names of `--json`.

    `records` is the answer itself, `document` the JSON document of `stackopt fit --json` and `stackopt plan --json`.
    """

    records: Answer

    @cached_property
    def document(self) -> Row:
        """The whole answer as plain values."""
        return answer_document(self.records)

    @property
    def status(self) -> str:
        """``proven``, or ``best found``: then `passes` shows how far it can be off."""
        return str(self.document["status"])

    @property
    def spend_cents(self) -> int:
        """What is paid now, whole cents: lines, freight and work."""
        return int(self.document["spend_cents"])

    @cached_property
    def cylinders(self) -> pd.DataFrame:
        """A row a cylinder that can be finished: what goes on it, and what comes out."""
        return frame("cylinders", self._cylinders())

    @cached_property
    def blocked(self) -> pd.DataFrame:
        """A row an engine that cannot be finished, with the reasons."""
        return frame("blocked", (engine for engine in self.document["engines"] if engine["blocked"]))

    @cached_property
    def orders(self) -> pd.DataFrame:
        """A row a line of an order; `freight_cents`, `total_cents` and `order_by` are those of the whole order."""
        return frame("orders", order_rows(self.document["orders"]))

    @cached_property
    def use(self) -> pd.DataFrame:
        """A row a part and the source that its pieces come from."""
        return frame("use", self.document["use"])

    @cached_property
    def passes(self) -> pd.DataFrame:
        """A row an objective, in the order in which they counted: what was reached, and the proven bound."""
        return frame("passes", self.document["passes"])

    @cached_property
    def alternatives(self) -> pd.DataFrame:
        """A row a cylinder of each next best choice; only where one engine was asked about."""
        return frame("alternatives", self._alternatives())

    @cached_property
    def read(self) -> pd.DataFrame:
        """A row a cylinder: what was read of it, and the windows as stated."""
        return frame(
            "read", ({**read, "engine": engine["engine"]} for engine in self._engines for read in engine["read"])
        )

    @cached_property
    def cautions(self) -> pd.DataFrame:
        """A row a caution: what it is about, of which engine and cylinder, and its words."""
        own = ({**one, "engine": engine["engine"]} for engine in self._engines for one in engine["cautions"])
        return frame("cautions", [*own, *self.document["cautions"]])

    @cached_property
    def tried(self) -> pd.DataFrame:
        """A row a cylinder on which a stack in the hand was tried, with `in_hand`."""
        return frame("tried", map(_tried, self.document.get("tried", ())))

    @cached_property
    def levers(self) -> pd.DataFrame:
        """A row for each lever that would do something on a cylinder, with `levers`."""
        offers = ({**one, "engine": engine["engine"]} for engine in self._engines for one in engine.get("levers", ()))
        return frame("levers", offers)

    @cached_property
    def trade_off(self) -> pd.DataFrame:
        """A row an objective of each answer that nothing betters in both of two, with `trade_off`."""
        found = self.document.get("trade_off", {}).get("points", ())
        numbered = enumerate(found, start=1)
        return frame(
            "trade_off",
            ({"point": n, "proven": each["proven"], **one} for n, each in numbered for one in each["passes"]),
        )

    def quantities(self) -> pd.DataFrame:
        """Return `cylinders` with pint quantities; where the spread is known, with their standard uncertainty."""
        spreads = [cylinder.get("quench_spread") for engine in self._finished() for cylinder in engine["cylinders"]]
        return quantified(self.cylinders, {"quench_mm": [_uncertainty(spread) for spread in spreads]})

    def __repr__(self) -> str:
        """Return how far the answer is proven, and what it comes to."""
        finished, blocked = self.cylinders["engine"].nunique(), len(self.blocked)
        return f"AnswerTables({self.status}, {finished} engines finished, {blocked} blocked, {self.spend_cents} cents)"

    def _repr_html_(self) -> str:
        named = ("cylinders", "blocked", "orders", "use", "passes", "alternatives")
        tables = {name: getattr(self, name) for name in named}
        asked = {name: getattr(self, name) for name in ("tried", "levers", "trade_off")}
        tables |= {name: table for name, table in asked.items() if len(table)}
        return tables_html(tables, before=f"<p>{self.status}</p>", behind="".join(self.drawings()))

    def drawings(self) -> list[str]:
        """Return the drawings as SVG: section and map of each cylinder of one engine, the calendar of several."""
        return [svg_text(drawing, f"drawing-{n}") for n, drawing in enumerate(answer_drawings(self.records), start=1)]

    @property
    def _engines(self) -> list[Row]:
        engines: list[Row] = self.document["engines"]
        return engines

    def _finished(self) -> Iterator[Row]:
        return (engine for engine in self.document["engines"] if not engine["blocked"])

    def _cylinders(self) -> Iterator[Row]:
        for engine in self._finished():
            for cylinder in engine["cylinders"]:
                yield {
                    **{name: engine[name] for name in WHOSE},
                    **cylinder,
                    **pieces_of(cylinder),
                }

    def _alternatives(self) -> Iterator[Row]:
        for engine in self.document["engines"]:
            for rank, other in enumerate(engine.get("alternatives", ()), start=2):
                lost = {
                    "engine": engine["engine"],
                    "rank": rank,
                    **{name: other[name] for name in ("lost_on", "lost_by")},
                }
                yield from ({**cylinder, **pieces_of(cylinder), **lost} for cylinder in other["cylinders"])


def _tried(tried: Row) -> Row:
    """Return a tried stack as a row: its pieces by number, or by thickness where they have none."""
    pieces = [piece["part"] or f"{piece['thickness_mm']:g} mm" for piece in tried["pieces"]]
    needs = {f"needs_{name}": value for name, value in tried.get("needs", {}).items()}
    return {**tried, "pieces": pieces, **needs}


def pieces_of(cylinder: Row) -> Row:
    """Return the part numbers of a cylinder and where each comes from, and the gaskets by their role."""
    by_role = {ROLES[piece["role"]]: piece["part"] for piece in cylinder["pieces"] if piece["role"] in ROLES}
    pieces = cylinder["pieces"]
    work = [f"{one['work']} {one['amount_mm']:g} mm" for one in cylinder.get("work", ())]
    parts, places = [piece["part"] for piece in pieces], [piece.get("from") for piece in pieces]
    return {"pieces": parts, "from": places, "work": work, **by_role}


def order_rows(orders: list[Row]) -> Iterator[Row]:
    """Yield a row a line, with its supplier and what is said of the whole order."""
    for order in orders:
        whole = {name: value for name, value in order.items() if name != "lines"}
        yield from ({**line, **whole} for line in order["lines"])


def _uncertainty(spread: Mapping[str, float] | None) -> float | None:
    return None if spread is None else spread.get("uncertainty_mm")
