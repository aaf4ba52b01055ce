"""What to telephone about: worked out on engines that lack head gaskets, and whom to ring."""

from __future__ import annotations

from datetime import timedelta

import pytest
from msgspec.structs import replace

from stackopt.choose.asking import Refused, ToAsk, calls, what_to_ask
from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import plan
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supply
from tests.choose.situations import TODAY

SOON, LATER = TODAY + timedelta(days=5), TODAY + timedelta(days=30)
CYLINDER = Cylinder("front", 82.0, 78.0, 0.0, quench=Window(0.8, 1.0, 0.9))
ENGINE = Engine("J09", "A", (CYLINDER, replace(CYLINDER, name="rear")), due=LATER)
BASE = Part("B40", Kind.BASE_GASKET, frozenset({"A"}), 0.4)
OTHER = Part("HX", Kind.HEAD_GASKET, frozenset({"X"}), 0.5, opening_mm=84.0)
THIN = Part("H20", Kind.HEAD_GASKET, frozenset({"A"}), 0.2, opening_mm=84.0)


def bored(engine: Engine, bore_mm: float) -> Engine:
    return replace(engine, cylinders=tuple(replace(one, bore_mm=bore_mm) for one in engine.cylinders))


def asked(*engines: Engine, parts: tuple[Part, ...] = (BASE,)) -> tuple[ToAsk, ...]:
    supply = Supply({part.number: part for part in parts}, {"B40": StockLine("B40", 9)})
    request = Request(engines, TODAY)
    return tuple(one for one in what_to_ask(request, supply, plan(request, supply)) if one.kind is Kind.HEAD_GASKET)


def test_a_head_gasket_is_asked_for_with_all_that_would_do_and_the_best() -> None:
    """Level deck and a base of 0.40 mm: 0.80 to 1.00 mm of quench leave 0.40 to 0.60 mm, the aim 0.50 mm."""
    (wanted,) = asked(ENGINE)
    assert list(*wanted.thickness_mm) == pytest.approx([0.4, 0.6], abs=0.002)
    assert wanted.best_mm == pytest.approx(0.5)
    assert (wanted.family, wanted.pieces, wanted.by, wanted.engines) == ("A", 2, LATER, ("J09",))
    assert wanted.opening_mm == pytest.approx(82.0)


def test_engines_that_can_share_a_thickness_are_asked_for_once() -> None:
    """A deck 0.10 mm below wants 0.30 to 0.50 mm: what does for both is 0.40 to 0.50 mm, between 0.50 and 0.40 best."""
    low = replace(ENGINE, name="J10", due=SOON, cylinders=(replace(CYLINDER, deck_height_mm=0.1),))
    (wanted,) = asked(ENGINE, low)
    assert list(*wanted.thickness_mm) == pytest.approx([0.4, 0.5], abs=0.002)
    assert wanted.best_mm == pytest.approx(0.45)
    assert (wanted.pieces, wanted.by, set(wanted.engines)) == (3, SOON, {"J09", "J10"})


def test_engines_that_need_another_opening_or_no_common_thickness_are_asked_for_apart() -> None:
    wide = replace(bored(ENGINE, 90.0), name="J11")
    assert [(one.opening_mm, one.engines) for one in asked(ENGINE, wide)] == [(82.0, ("J09",)), (90.0, ("J11",))]
    far = replace(ENGINE, name="J12", cylinders=(replace(CYLINDER, deck_height_mm=-0.5),))
    assert [one.best_mm for one in asked(ENGINE, far)] == [pytest.approx(0.5), pytest.approx(1.0)]


WANTED = ToAsk(Kind.HEAD_GASKET, "A", ((0.4, 0.6),), 0.5, 82.0, 2, LATER, ("J09",))


def rung(*refused: Refused, lines: tuple[tuple[str, str], ...]) -> list[str]:
    supply = Supply(
        {part.number: part for part in (BASE, OTHER, THIN)},
        offers=tuple(Offer(supplier, part, (PriceTier(1, 900),)) for supplier, part in lines),
    )
    return [call.supplier for call in calls((WANTED,), supply, refused)]


def test_who_sells_the_like_for_the_family_is_rung_else_who_sells_the_kind_else_nobody_is_known() -> None:
    assert rung(lines=(("South", "H20"), ("North", "H20"), ("West", "HX"))) == ["North", "South"]
    assert rung(lines=(("West", "HX"), ("East", "B40"))) == ["West"]
    assert rung(lines=(("East", "B40"),)) == [""]


@pytest.mark.parametrize(
    ("kind", "family", "thickness_mm", "left"),
    [
        (Kind.HEAD_GASKET, "A", 0.504, ["South"]),
        (Kind.HEAD_GASKET, "A", 0.51, ["North", "South"]),
        (Kind.HEAD_GASKET, "X", 0.5, ["North", "South"]),
        (Kind.BASE_GASKET, "A", 0.5, ["North", "South"]),
    ],
)
def test_who_said_no_to_that_thickness_is_not_rung_again(
    kind: Kind, family: str, thickness_mm: float, left: list[str]
) -> None:
    no = Refused("North", kind, family, thickness_mm)
    assert rung(no, lines=(("South", "H20"), ("North", "H20"))) == left


def test_a_no_to_another_run_than_the_best_does_not_end_the_asking() -> None:
    """Two single thicknesses would do, 0.40 mm best: who does not make 0.60 mm may still make 0.40 mm."""
    two_runs = replace(WANTED, thickness_mm=((0.4, 0.4), (0.6, 0.6)), best_mm=0.4)
    supply = Supply({"H20": THIN}, offers=(Offer("North", "H20", (PriceTier(1, 900),)),))
    for thickness_mm, supplier in ((0.6, "North"), (0.4, "")):
        (call,) = calls((two_runs,), supply, (Refused("North", Kind.HEAD_GASKET, "A", thickness_mm),))
        assert call.supplier == supplier


def test_the_most_urgent_is_asked_for_first() -> None:
    urgent = replace(bored(ENGINE, 90.0), name="J11", due=SOON)
    open_ended = replace(bored(ENGINE, 70.0), name="J13", due=None)
    assert [one.by for one in asked(ENGINE, urgent, open_ended)] == [SOON, LATER, None]
