"""What a builder reads: laid out for 80 columns, the same words with and without colour."""

from __future__ import annotations

from datetime import timedelta

import pytest
from msgspec.structs import replace
from rich.console import Console

from stackopt.choose.choice_records import PassResult, Status, Use
from stackopt.choose.model.objectives import FIRST, OBJECTIVES
from stackopt.choose.why.preferences import OtherPreference
from stackopt.parts.part_records import Supplier
from stackopt.report.answer.page import answer_text, terminal
from stackopt.report.answer.proof import WORDINGS
from stackopt.report.wording import written_date
from tests.report import answers


def text(answer, width: int = 80) -> str:
    return answer_text(Console(width=width, highlight=False), answer)


def lines(answer) -> list[str]:
    """Return the lines with single spaces, from a console so wide that nothing wraps."""
    return [" ".join(line.split()) for line in text(answer, 200).splitlines()]


def headings(answer) -> list[str]:
    return [line for line in text(answer).splitlines() if line and not line.startswith(" ")]


def test_an_answer_reads_from_what_goes_on_to_what_to_heed() -> None:
    assert headings(answers.SOLVED) == [
        "What was read of J-1",
        "J-1, family A, parts due 20 Feb 2027",
        "Order from North",
        "Proven best",
        "Next best (the other cylinder stays as it is where only one is named)",
        "Before it runs",
    ]


def test_a_cylinder_says_its_pieces_their_source_and_what_comes_out() -> None:
    """0.9128 mm is 0.023 above the aim of 0.89; 0.9128 / 25.4 = 0.0359 in; 0.974 is 97 of 100."""
    said = lines(answers.SOLVED)
    first = said.index("front base gasket B40, 0.40 mm shelf, bin A1")
    assert said[first + 1 : first + 7] == [
        "head gasket H32, 0.813 mm North",
        "quench 0.913 mm, 0.036 in 0.023 mm above the aim",
        "95 % within not known",
        "ratio 9.47 0.03 below the aim",
        "95 % within not known",
        "chance 97 of 100 quench in its window, an estimate",
    ]


def test_an_order_says_packs_pieces_prices_freight_and_the_day() -> None:
    """One pack of 2 at 38.00 with 9.00 freight is 47.00; six days after 1 February is the 7th."""
    said = lines(answers.SOLVED)
    first = said.index("H32 N 32 1 2 38.00 38.00 7 Feb 2027")
    assert said[first + 1 : first + 3] == ["freight 9.00", "to pay 47.00"]


def test_a_special_order_says_that_a_call_is_needed() -> None:
    order = replace(answers.ORDER, lines=(replace(answers.ORDER.lines[0], offer=answers.CALLED),))
    choice = replace(answers.CHOICE, orders=(order,))
    assert "Special order, ask by telephone: H60" in lines(replace(answers.SOLVED, choice=choice))


def test_orders_to_several_suppliers_are_summed() -> None:
    choice = replace(answers.CHOICE, orders=(answers.ORDER, replace(answers.ORDER, supplier="South")))
    assert "Both orders together: 94.00" in lines(replace(answers.SOLVED, choice=choice))


def test_nothing_to_buy_is_said() -> None:
    choice = replace(answers.CHOICE, orders=())
    assert "Nothing to buy: all of it is on the shelf" in lines(replace(answers.SOLVED, choice=choice))


def test_a_piece_that_no_source_gives_is_already_fitted() -> None:
    choice = replace(answers.CHOICE, use=(Use("H32", "North", 2),))
    assert "front base gasket B40, 0.40 mm already fitted" in lines(replace(answers.SOLVED, choice=choice))


def test_a_tolerance_gives_both_figures_an_interval() -> None:
    """± 0.03 mm on one piece, rectangular: 95 % lie within 0.95 · 0.03 = 0.0285 mm; 0.9128 ± 0.0285 and ± 0.03."""
    parts = answers.PARTS | {"B40": replace(answers.PARTS["B40"], tolerance_mm=0.03)}
    said = lines(replace(answers.SOLVED, supply=replace(answers.SUPPLY, parts=parts)))
    assert "95 % within 0.884 to 0.941 mm an estimate" in said
    assert "worst case 0.883 to 0.943 mm every tolerance at its end" in said
    assert sum(line.startswith("95 % within") for line in said) == 4


def test_a_chamber_without_a_band_has_no_quench_to_aim_at() -> None:
    cylinders = tuple(replace(cylinder, quench=None) for cylinder in answers.ENGINE.cylinders)
    request = replace(answers.SOLVED.request, engines=(replace(answers.ENGINE, cylinders=cylinders),))
    said = lines(replace(answers.SOLVED, request=request))
    assert "quench 0.913 mm, 0.036 in no quench band" in said
    assert "chance 97 of 100 ratio in its window, an estimate" in said


def test_an_unknown_chamber_volume_leaves_the_ratio_unknown() -> None:
    cylinders = tuple(replace(cylinder, compression_ratio=None) for cylinder in answers.FITTED.cylinders)
    choice = replace(answers.CHOICE, engines=(replace(answers.FITTED, cylinders=cylinders),))
    said = lines(replace(answers.SOLVED, choice=choice))
    assert "ratio not known no chamber volume stated" in said
    assert sum("front and rear: no chamber volume is stated" in line for line in said) == 1


def test_each_pass_says_what_was_reached_and_what_is_proven() -> None:
    said = lines(answers.SOLVED)
    assert "money paid now 47.00 nothing else costs less" in said
    assert "distance from the aims * 0.334 nothing else is closer" in said


def test_what_is_not_proven_says_how_far_it_can_be_off() -> None:
    """47.00 reached, 41.00 proven: at most 6.00 off."""
    passes = (*answers.PASSES[:2], PassResult("spend", 4700, 4100, 1.0), *answers.PASSES[3:])
    choice = replace(answers.CHOICE, status=Status.BEST_FOUND, passes=passes)
    said = lines(replace(answers.SOLVED, choice=choice))
    assert "Best found, not proven" in said
    assert "money paid now 47.00 at most 6.00 from the best possible, after 1.0 s" in said


def test_the_next_best_names_only_what_changes_and_why_it_lost() -> None:
    assert "2. rear B40 + H60 0.690 mm 9.90 costs 11.00 more" in lines(answers.SOLVED)


def test_another_first_preference_says_what_it_brings_and_costs() -> None:
    """30.10 cheaper for one special order more: both as they stand in the record."""
    other = OtherPreference(
        "spend", replace(answers.CHOICE, engines=(answers.OTHER.engine,)), 3010, "special-orders", 1
    )
    said = lines(replace(answers.SOLVED, preferences=(other,)))
    first = said.index("--prefer spend rear B40 + H60 costs 30.10 less")
    assert said[first + 1] == "but special orders: 1 more"


@pytest.mark.parametrize("name", [FIRST.name, *OBJECTIVES])
def test_every_objective_has_its_words(name: str) -> None:
    assert "{}" in WORDINGS[name].more
    assert "{}" in WORDINGS[name].less


def test_a_blocked_engine_says_what_missed_what_to_ask_for_and_the_smallest_cut() -> None:
    """35 days after 1 February is 8 March, 16 days after the 20th. 0.10 mm is 0.0039 in, 0.36 mm 0.0142 in."""
    said = lines(answers.BLOCKED)
    assert headings(answers.BLOCKED) == [
        "What was read of J-1",
        "J-1, family A, parts due 20 Feb 2027: BLOCKED",
        "What would help the rear cylinder",
        "Proven: nothing to be had in time would do",
        "Before it runs",
    ]
    assert "rear: nothing fits." in said
    assert "B40 + H60 1.160 mm, 0.046 in 8.90 0.140 mm too wide" in said
    assert "ratio 0.10 too low" in said
    offer = "South, 16.40, special order, here 8 Mar 2027, 16 days late"
    asked = said.index(f"B40 0.10 to 0.36 mm H60, 0.60 mm: {offer}")
    assert said[asked + 1 : asked + 3] == ["(0.004 to 0.014 in)", "opening 83.0 mm"]
    assert "B90 none: another base is needed" in said
    assert "B50 at most 0.21 mm nobody lists one; ask for it" in said
    (cut,) = [line for line in said if line.startswith("Smallest cut")]
    assert cut.startswith("Smallest cut: 0.140 mm off the cylinder's deck, then B40 + H60 from the shelf give 1.020 mm")


def test_a_cut_above_a_thickness_that_was_worked_out_says_so() -> None:
    parts = answers.BLOCKED.supply.parts
    supply = replace(answers.BLOCKED.supply, parts={**parts, "B40": replace(parts["B40"], estimated=True)})
    words = "an estimate. Metal does not grow back"
    assert any(words in line for line in lines(replace(answers.BLOCKED, supply=supply)))
    assert not any(words in line for line in lines(answers.BLOCKED))


def test_where_no_gasket_at_all_goes_on_there_is_nothing_to_measure_against() -> None:
    bare = replace(answers.STUCK, near_misses=(), would_do=(), deck_cut=None)
    assert "What would help the rear cylinder" not in headings(replace(answers.BLOCKED, blocked={"J-1": (bare,)}))


def test_several_engines_take_a_line_a_cylinder_and_name_only_what_is_bought() -> None:
    request = replace(answers.SOLVED.request, engines=(answers.ENGINE, replace(answers.ENGINE, name="J-2")))
    stuck = replace(answers.NOTHING.engines[0], engine="J-2")
    choice = replace(answers.CHOICE, engines=(answers.FITTED, stuck))
    said = lines(replace(answers.SOLVED, request=request, choice=choice, alternatives={}))
    assert "J-1 front B40 + H32 (North) 0.913 mm 9.47" in said
    assert "J-2, family A, parts due 20 Feb 2027: BLOCKED" in said


@pytest.mark.parametrize("answer", [answers.SOLVED, answers.BLOCKED])
def test_no_line_is_wider_than_80_columns(answer) -> None:
    assert max(len(line) for line in text(answer).splitlines()) <= 80


def test_without_colour_nothing_but_text_comes_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b[31" not in answer_text(terminal(colour=True), answers.BLOCKED)
    monkeypatch.delenv("NO_COLOR")
    assert "\x1b[1;31m" in answer_text(terminal(colour=True), answers.BLOCKED)
    assert "\x1b[1;31m" not in answer_text(terminal(colour=False), answers.BLOCKED)


@pytest.mark.parametrize(
    ("terms", "reason"),
    [
        (Supplier("North", 900, minimum_order_cents=5000), "so that the minimum order of 50.00 is met"),
        (Supplier("North", 900, free_freight_over_cents=6000), "so that the freight of 9.00 is free"),
        (Supplier("North"), "so that a lower price is reached"),
    ],
)
def test_an_order_says_for_whom_each_line_is_and_why_it_is_filled(terms: Supplier, reason: str) -> None:
    """Two packs of 38.00, of which an engine needs one: 38.00 without the other, 76.00 with it; freight is waived."""
    line = replace(answers.ORDER.lines[0], packs=2, engines=("J-1",), filler_packs=1)
    choice = replace(answers.CHOICE, orders=(replace(answers.ORDER, freight_cents=0, lines=(line,)),))
    supply = replace(answers.SUPPLY, suppliers={"North": terms})
    said = lines(replace(answers.SOLVED, choice=choice, supply=supply))
    assert "H32: for J-1" in said
    assert f"H32: 1 pack for no engine, {reason}" in said


def test_an_order_says_until_when_it_can_wait_and_what_that_saves_at_least() -> None:
    """Its line takes 7 days and its engine is due in 12: five days are left; freight is paid once for two orders."""
    offer = replace(answers.ORDER.lines[0].offer, lead_days=7)
    line = replace(answers.ORDER.lines[0], offer=offer, engines=(answers.ENGINE.name,))
    order = replace(answers.ORDER, freight_cents=900, lines=(line,))
    choice = replace(answers.CHOICE, orders=(order,))
    today = answers.SOLVED.request.today
    for days, said in ((12, True), (7, False)):
        engine = replace(answers.ENGINE, due=today + timedelta(days=days))
        request = replace(answers.SOLVED.request, engines=(engine,))
        printed = " ".join(" ".join(lines(replace(answers.SOLVED, choice=choice, request=request))).split())
        last = today + timedelta(days=5)
        words = f"Can wait until {last:%A} {written_date(last)}, nobody late; sent together with another order to"
        assert (words in printed) == said
        assert (f"{order.supplier} by then, 9.00 less" in printed) == said
