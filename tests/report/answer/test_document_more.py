"""What only some answers hold stands in the JSON document too: work, levers, what gives way, what an order joins."""

from __future__ import annotations

import json
from datetime import date

from msgspec.structs import replace

from stackopt.choose.choice_records import GivingWay, Joining, Work
from stackopt.choose.tried.heads import HeadNeeded
from stackopt.choose.tried.stacks import Needs, Tried
from stackopt.choose.why.freeing import Freeing
from stackopt.choose.why.lever_offers import QUENCH_AIM, WINDOWS, LeverOffer
from stackopt.choose.why.preferences import OtherPreference
from stackopt.engine.effects.effect import Effect
from stackopt.engine.effects.figures import Figure
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Kind
from stackopt.report.answer.document import answer_document
from tests.report import answers

NEEDS = Needs(Kind.HEAD_GASKET, 0.635, ((0.55, 0.70),), (answers.PARTS["H60"],), 83.0)
VALVE = Figure("intake valve to piston", 1.54, "mm", "at least 2 mm", False, False)


def engine_of(answer):
    document = answer_document(answer)
    json.dumps(document, allow_nan=False)
    return document["engines"][0]


def test_work_and_other_figures_stand_with_their_cylinder() -> None:
    worked = replace(answers.FITTED.cylinders[0], work=(Work(Lever.DECK_CUT, 0.1, 4500),), figures=(VALVE,))
    fitted = replace(answers.FITTED, cylinders=(worked, answers.FITTED.cylinders[1]))
    front = engine_of(replace(answers.SOLVED, choice=replace(answers.CHOICE, engines=(fitted,))))["cylinders"][0]
    assert front["work"] == [{"work": "deck cut", "amount_mm": 0.1, "price_cents": 4500, "shared": False}]
    assert front["figures"] == [
        {
            "name": "intake valve to piston",
            "value": 1.54,
            "unit": "mm",
            "estimate": False,
            "remark": "at least 2 mm",
        }
    ]


def test_levers_say_what_they_move_and_what_none_does_is_null() -> None:
    does = LeverOffer(
        "front", "head cut", QUENCH_AIM, 0.7054, 10.0, 3800, ("B40", "H60"), Effect(0.95, 9.5, 0.5, False, (VALVE,))
    )
    does_not = LeverOffer("front", "spacer", WINDOWS, None, 0.7, 4500)
    cut, spacer = engine_of(replace(answers.SOLVED, lever_offers={"J-1": (does, does_not)}))["levers"]
    assert (cut["amount_mm"], cut["price_cents"], cut["parts"]) == (0.7054, 3800, ["B40", "H60"])
    assert (cut["quench_mm"], cut["compression_ratio"], cut["inside"]) == (0.95, 9.5, False)
    assert [figure["name"] for figure in cut["figures"]] == ["intake valve to piston"]
    assert {spacer[key] for key in ("amount_mm", "quench_mm", "compression_ratio", "inside")} == {None}
    assert spacer["figures"] == []


def test_what_would_free_an_engine_holds_what_it_is_and_nulls_for_what_it_is_not() -> None:
    things = (
        Freeing(3880, date(2027, 3, 8)),
        Freeing(4500, work=(("rear", Work(Lever.DECK_CUT, 0.14, 4500)),)),
        Freeing(kind=Kind.HEAD_GASKET, pieces=1, thickness_mm=(0.0, 0.36), runs=((0.0, 0.36),), opening_mm=83.0),
    )
    later, cut, gasket = engine_of(replace(answers.BLOCKED, freeing={"J-1": things}))["single_things"]
    assert (later["day"], later["cost_cents"], later["kind"], later["work"]) == ("2027-03-08", 3880, None, [])
    assert cut["work"] == [
        {"cylinder": "rear", "work": "deck cut", "amount_mm": 0.14, "price_cents": 4500, "shared": False}
    ]
    assert (gasket["thickness_min_mm"], gasket["thickness_max_mm"], gasket["opening_mm"]) == (0, 0.36, 83)
    assert (gasket["cost_cents"], gasket["part"], gasket["runs_mm"]) == (None, None, [[0, 0.36]])


def test_what_gives_way_and_what_was_not_looked_for_stand_in_the_document() -> None:
    way = GivingWay("J-1", "J-2", {"H32": 2}, date(2027, 2, 7), 4700)
    document = answer_document(replace(answers.SOLVED, giving_way=(way,), untold=("the next best of J-1",)))
    assert document["giving_way"] == [
        {"engine": "J-1", "holder": "J-2", "pieces": {"H32": 2}, "ready_on": "2027-02-07", "spend_cents": 4700}
    ]
    assert document["not_looked_for"] == ["the next best of J-1"]


def test_what_is_tried_and_the_heads_that_bases_need_stand_there_only_where_asked_for() -> None:
    tried = Tried("front", (answers.PARTS["B40"],), None, None, None, 0.0, (), (), free=True, needs=NEEDS)
    heads = (HeadNeeded("front", ("B40",), NEEDS),)
    document = answer_document(replace(answers.SOLVED, tried=(tried,), heads=heads))
    assert [each["cylinder"] for each in document["tried"]] == ["front"]
    assert document["engines"][0]["heads_for_bases"][0]["needs"]["aim_mm"] == 0.635
    assert "tried" not in answer_document(answers.SOLVED)


def test_an_order_that_can_go_with_another_says_when_and_what_that_saves() -> None:
    joined = replace(answers.ORDER, joining=Joining(date(2027, 2, 10), "H60", 900))
    (order,) = answer_document(replace(answers.SOLVED, choice=replace(answers.CHOICE, orders=(joined,))))["orders"]
    assert order["order_together"] == {"on": "2027-02-10", "part": "H60", "saved_cents": 900}
    assert answer_document(answers.SOLVED)["orders"][0]["order_together"] is None


def test_another_preference_says_what_it_gains_and_loses() -> None:
    other = OtherPreference(
        "spend", replace(answers.CHOICE, engines=(answers.OTHER.engine,)), 3010, "special-orders", 1
    )
    (told,) = answer_document(replace(answers.SOLVED, preferences=(other,)))["preferences"]
    assert {key: told[key] for key in ("first", "gained", "lost_on", "lost_by")} == {
        "first": "spend",
        "gained": 3010,
        "lost_on": "special-orders",
        "lost_by": 1,
    }
    assert [piece["part"] for piece in told["cylinders"][1]["pieces"]] == ["B40", "H60"]


def test_of_several_engines_no_spread_is_worked_out_and_a_later_day_is_told() -> None:
    request = replace(answers.SOLVED.request, engines=(answers.ENGINE, replace(answers.ENGINE, name="J-2")))
    choice = replace(answers.CHOICE, engines=(answers.FITTED, replace(answers.NOTHING.engines[0], engine="J-2")))
    answer = replace(answers.SOLVED, request=request, choice=choice, may_wait_until={"J-2": date(2027, 3, 1)})
    first, second = answer_document(answer)["engines"]
    alone = engine_of(answers.SOLVED)["cylinders"][0].keys()
    assert set(first["cylinders"][0]) < set(alone)
    assert (first["may_wait_until"], second["may_wait_until"]) == (None, "2027-03-01")
    assert "heads_for_bases" not in first
