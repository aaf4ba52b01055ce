"""Why an engine is blocked, in sentences; each situation small enough to see the answer."""

from __future__ import annotations

from datetime import date, timedelta

from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import make_task, solved
from stackopt.choose.why.explain import explained
from stackopt.choose.why.reasons import earliest_day
from stackopt.engine.engine_records import Cylinder, Engine, Match, Window
from stackopt.engine.moving import PortSpan
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supply, UnderWay
from tests.choose.situations import TODAY

WINDOW = Window(0.76, 1.02)
FRONT = Cylinder("front", 88.0, 82.0, 0.05, quench=WINDOW)
REAR = Cylinder("rear", 88.0, 82.0, 0.05, quench=WINDOW)
ENGINE = Engine("E", "A", (FRONT, REAR), due=TODAY + timedelta(days=10))
BASE = Part("B25", Kind.BASE_GASKET, thickness_mm=0.25)
HEAD = Part("H60", Kind.HEAD_GASKET, thickness_mm=0.60, opening_mm=89.0)
PARTS = {"B25": BASE, "H60": HEAD}


def reasons(engine: Engine, supply: Supply, *others: Engine) -> tuple[str, ...]:
    request = Request((engine, *others), TODAY)
    task = make_task(request, supply)
    return explained(request, task, solved(task)).choice.engines[0].reasons


def held(**pieces: int) -> dict[str, StockLine]:
    return {number: StockLine(number, count) for number, count in pieces.items()}


def offer(part: str, lead_days: int) -> Offer:
    return Offer("South", part, (PriceTier(1, 1900),), lead_days=lead_days)


def test_a_cylinder_that_nothing_fits_gives_its_own_reason() -> None:
    """0.75 + 0.25 + 0.60 = 1.60 mm: past 1.02 mm."""
    tall = replace(ENGINE, cylinders=(FRONT, replace(REAR, deck_height_mm=0.75)))
    assert reasons(tall, Supply(PARTS, held(B25=2, H60=2))) == (
        "rear: none of 1 pairs of base and head gasket brings the quench into its window.",
    )


def test_too_few_pieces_for_both_cylinders_are_said_to_be_too_few() -> None:
    assert reasons(ENGINE, Supply(PARTS, held(B25=2, H60=1))) == (
        "Each cylinder could be fitted, but there are too few pieces for all of them at once.",
    )


def test_an_engine_that_another_one_outranks_is_told_so() -> None:
    """Two pieces of each, two engines that need two each; the other counts three times as much."""
    other = replace(ENGINE, name="F", priority=3)
    (reason,) = reasons(ENGINE, Supply(PARTS, held(B25=2, H60=2)), other)
    assert reason == "By itself it could be finished; its parts go to other engines, which count as much or more."


def test_a_match_that_cannot_be_kept_is_named() -> None:
    """Quench 0.90 mm and 0.97 mm with the only pair: 0.07 mm apart, 0.05 mm allowed."""
    uneven = replace(
        ENGINE, cylinders=(FRONT, replace(REAR, deck_height_mm=0.12)), match=Match(quench_mm=0.05), due=None
    )
    assert reasons(uneven, Supply(PARTS, held(B25=2, H60=2))) == (
        "Each cylinder could be fitted, but they would differ by more than the match between them allows.",
    )


def test_ports_that_the_manifold_cannot_follow_are_named() -> None:
    """Both stacks 0.85 mm, 0.25 mm thicker than the 0.60 mm that fitted: 2 · 0.25 · sin 45° = 0.354 mm, 0.3 allowed."""
    wide = replace(ENGINE, ports=PortSpan(included_angle_deg=90.0, at_stack_mm=0.60, limit_mm=0.3), due=None)
    assert reasons(wide, Supply(PARTS, held(B25=2, H60=2))) == (
        "Each cylinder could be fitted, but together they would move the ports of the V apart by more than the "
        "0.3 mm that the manifold takes.",
    )


def test_a_shared_piece_that_suits_only_one_cylinder_is_named() -> None:
    """One piece for both: H60 gives 0.05 + 0.85 = 0.90 and 0.25 + 0.85 = 1.10; H40 gives 0.70 and 0.90."""
    both = Part("H60", Kind.HEAD_GASKET, thickness_mm=0.60, opening_mm=89.0, covers=2)
    thin = replace(both, number="H40", thickness_mm=0.40)
    uneven = replace(ENGINE, cylinders=(FRONT, replace(REAR, deck_height_mm=0.25)), due=None)
    supply = Supply({"B25": BASE, "H60": both, "H40": thin}, held(B25=2, H60=2, H40=2))
    assert reasons(uneven, supply) == (
        "Each cylinder could be fitted by itself, but no piece that they share suits all of them.",
    )


def test_the_first_day_that_would_do_is_that_of_the_last_part_needed() -> None:
    """Due in 10 days. The base gasket comes after 12, a head gasket after 20 or 35: both are here after 20."""
    supply = Supply(PARTS, {}, (offer("B25", 12), offer("H60", 35), offer("H60", 20)))
    assert earliest_day(Request((ENGINE,), TODAY), supply, ENGINE) == TODAY + timedelta(days=20)
    assert reasons(ENGINE, supply)[-1] == "If it may wait until 21 March 2027, it can be finished with what is listed."


def test_no_day_is_named_where_waiting_brings_nothing() -> None:
    supply = Supply(PARTS, held(B25=2), (offer("B25", 40),))
    assert earliest_day(Request((ENGINE,), date(2027, 1, 1)), supply, ENGINE) is None


def test_pieces_under_way_have_days_too() -> None:
    """Due in 10 days; the head gaskets are under way and here after 15, a supplier's only after 20."""
    coming = UnderWay("H60", 2, TODAY + timedelta(days=15))
    supply = Supply(PARTS, held(B25=2), (offer("H60", 20),), ordered=(coming,))
    assert earliest_day(Request((ENGINE,), TODAY), supply, ENGINE) == TODAY + timedelta(days=15)


def test_reasons_and_what_frees_an_engine_name_the_same_day() -> None:
    """The two H60 go to the engine that counts more; more come after 20 days. By itself 12 days would have done."""
    other = replace(ENGINE, name="E2", priority=5)
    supply = Supply(PARTS, held(B25=4, H60=2), (offer("B25", 12), offer("H60", 20)))
    request = Request((ENGINE, other), TODAY)
    task = make_task(request, supply)
    answer = explained(request, task, solved(task))
    (blocked,) = answer.choice.blocked
    day = answer.may_wait_until[blocked.engine]
    assert day == TODAY + timedelta(days=20)
    assert [thing.day for thing in answer.freeing[blocked.engine] if thing.day] == [day]
    assert f"{day.day} {day:%B %Y}" in blocked.reasons[-1]
