"""Ties of closeness broken by chance, where that is asked."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import plan
from stackopt.choose.stacks.chance import left_out, stack_chance
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Spread, Window
from stackopt.parts.part_records import Kind, Part, StockLine, Supply
from tests.choose.situations import TODAY

HEAD = Part("H50", Kind.HEAD_GASKET, thickness_mm=0.50, opening_mm=83.0)
# One thickness at two tolerances; the loose one costs less.
LOOSE = Part("B40L", Kind.BASE_GASKET, thickness_mm=0.40, tolerance_mm=0.10)
TIGHT = Part("B40T", Kind.BASE_GASKET, thickness_mm=0.40, tolerance_mm=0.02)
SUPPLY = Supply(
    {part.number: part for part in (HEAD, LOOSE, TIGHT)},
    {"H50": StockLine("H50", 1), "B40L": StockLine("B40L", 1), "B40T": StockLine("B40T", 1, unit_cost_cents=500)},
)
FRONT = Cylinder("front", 82.0, 78.0, 0.10, quench=Window(0.90, 1.05, 0.95))
ALONE = Engine("E", "A", (FRONT,))


def base_and_chance(*prefer: str, engine: Engine = ALONE) -> tuple[str, float]:
    choice = plan(Request((engine,), TODAY, prefer), SUPPLY)
    (front,) = choice.engines[0].cylinders
    return front.pieces[0].part, front.chance_in_window


def test_of_two_as_close_the_surer_is_taken_where_chance_is_named() -> None:
    """1.00 ± 0.10 mm: of 0.90 to 1.10 a quarter lies past 1.05; ± 0.02 lies inside."""
    assert base_and_chance() == ("B40L", pytest.approx(0.75))
    assert base_and_chance("closeness", "chance") == ("B40T", 1.0)
    assert base_and_chance("spend", "closeness", "chance") == ("B40T", 1.0)


def test_chance_first_cuts_to_where_the_window_is_surest() -> None:
    """With ± 0.02 mm the quench is sure between 0.92 and 1.03 mm: of these the aim of 0.91 mm is nearest to 0.92.

    With ± 0.10 mm no quench is sure, but from 0.95 to 1.00 mm the whole window of 0.15 mm counts: 0.15/0.20.
    """
    for number, aim, surest in (("B40T", 0.91, 0.92), ("B40L", 0.91, 0.95), ("B40L", 0.97, 0.97)):
        supply = Supply(SUPPLY.parts, {part: SUPPLY.stock[part] for part in ("H50", number)})
        cylinder = replace(FRONT, quench=Window(0.90, 1.05, aim))
        engine = Engine("E", "A", (cylinder,), levers=Levers(deck_cut_mm=0.2))
        for prefer, quench_mm in (("chance", surest), ("closeness", aim)):
            choice = plan(Request((engine,), TODAY, (prefer,)), supply)
            (front,) = choice.engines[0].cylinders
            assert front.quench_mm == pytest.approx(quench_mm, abs=2e-5)
            reached = {result.objective: result.value for result in choice.passes}
            missing = 1 - front.chance_in_window
            assert reached.get("chance", missing) == pytest.approx(missing, abs=1e-8)


def test_without_a_band_the_ratio_counts() -> None:
    """48.0 + 2.705 + 5281.0·0.50/1000 = 53.346 cc, ε = 8.722; 0.10 mm are 0.08 of it, 0.02 mm 0.02."""
    bandless = Cylinder("front", 82.0, 78.0, 0.10, chamber_volume_cc=48.0, quench=None, compression=Window(8.68, 8.76))
    engine = Engine("E", "A", (bandless,))
    assert base_and_chance("closeness", "chance", engine=engine)[0] == "B40T"


def test_what_nobody_stated_is_named_as_left_out() -> None:
    """Deck, one of two gaskets, both volumes: then each is stated, one after another."""
    measured = replace(FRONT, chamber_volume_cc=48.0, piston_volume_cc=3.0)
    everything = ("deck readings", "gasket tolerances", "chamber volume", "piston volume")
    assert left_out(measured, (LOOSE, HEAD)) == everything
    assert left_out(FRONT, (LOOSE, HEAD)) == everything[:2]
    for stated, still in (
        (Spread(gasket_mm=0.025), everything[:1] + everything[2:]),
        (Spread(gasket_mm=0.025, deck_mm=0.01), everything[2:]),
        (Spread(gasket_mm=0.025, deck_mm=0.01, chamber_cc=0.1), everything[3:]),
        (Spread(gasket_mm=0.025, deck_mm=0.01, chamber_cc=0.1, piston_cc=0.1), ()),
    ):
        assert left_out(replace(measured, spread=stated), (LOOSE, HEAD)) == still


def test_a_chance_that_nothing_is_known_of_is_none_and_reaches_no_least_chance() -> None:
    """Without a tolerance on either gasket and without readings: None; where 0.5 is asked, the engine is blocked."""
    exact = replace(SUPPLY, parts={number: replace(part, tolerance_mm=0.0) for number, part in SUPPLY.parts.items()})
    (engine,) = plan(Request((ALONE,), TODAY), exact).engines
    assert engine.cylinders[0].chance_in_window is None
    asked = replace(ALONE, least_quench_chance=0.5)
    assert plan(Request((asked,), TODAY), exact).engines[0].blocked


def test_the_default_tolerance_counts_where_a_list_states_none() -> None:
    """1.00 ± 0.10 and ± 0.10: the sum lies past 1.05 with (0.20 − 0.05)²/(2·0.20·0.20)."""
    default = replace(FRONT, spread=Spread(gasket_mm=0.10))
    assert stack_chance(default, (LOOSE, HEAD)) == pytest.approx(1 - 0.15**2 / 0.08 - 0.10**2 / 0.08)
