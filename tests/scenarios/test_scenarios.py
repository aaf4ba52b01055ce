"""Each worked situation comes out as its README works it out by hand.

The sums use only the decks, bores, chambers and gaskets as the books state them, and the formulas of a cylinder's
volumes; nothing here is the program's own earlier output.
"""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from stackopt.cli import main

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
MM_PER_INCH = 25.4  # NIST SP 811, appendix B: exact


def run(command: str, directory: str, *arguments: str, books: tuple[str, ...], today: str = "2027-02-01") -> Result:
    """Run a command on a scenario's books; file names are relative to its directory."""
    home = SCENARIOS / directory
    options = [word for book in books for word in ("--book", str(home / book))]
    return CliRunner().invoke(main, [command, *arguments, *options, "--today", today])


def document(result: Result, exit_code: int = 0) -> dict:
    # On a slow machine a long solve says how far it is, a line now and then.
    assert [line for line in result.stderr.splitlines() if not re.match(r"\d+ s: ", line)] == []
    assert result.exit_code == exit_code
    return json.loads(result.stdout)


def circle_mm2(diameter_mm: float) -> float:
    return math.pi / 4 * diameter_mm**2


def ratio(*, bore: float, stroke: float, deck: float, fixed: float, base: float, head: float, opening: float) -> float:
    """ε = 1 + V_s / V_c (Heywood, eq. 2.1); mm and cm³; fixed is chamber − crown."""
    swept = circle_mm2(bore) * stroke / 1000
    clearance = fixed + circle_mm2(opening) * head / 1000 + circle_mm2(bore) * (deck + base) / 1000
    return 1 + swept / clearance


def fitted(answer: dict, engine: str, cylinder: str) -> tuple[list[str], float, float]:
    (found,) = [each for each in answer["engines"] if each["engine"] == engine]
    (one,) = [each for each in found["cylinders"] if each["cylinder"] == cylinder]
    return [piece["part"] for piece in one["pieces"]], one["quench_mm"], one["compression_ratio"]


def reached(answer: dict, objective: str) -> float:
    return {each["objective"]: each["value"] for each in answer["passes"]}[objective]


def used(answer: dict) -> set[tuple[str, str, int]]:
    return {(each["part"], each["from"], each["quantity"]) for each in answer["use"]}


V_TWIN_BOOKS = ("shop.xlsx", "quillhaven.csv")
PURCHASE_BOOKS = ("shop.xlsx", "price-lists.xlsx", "quillhaven.csv")
SHOP_BOOKS = ("shop.xlsx", "dorfmoos.xlsx", "quillhaven.csv", "varnik.csv")


class TestVTwinUneven:
    engine = str(SCENARIOS / "v-twin-uneven" / "hc-09.toml")

    def answer(self) -> dict:
        return document(run("fit", "v-twin-uneven", self.engine, "--json", books=V_TWIN_BOOKS))

    def test_the_two_cylinders_get_different_gaskets(self) -> None:
        """Front −0.11 + 0.40 + 0.60 = 0.890; rear 0.13 + 0.25 + 0.020 · 25.4 = 0.888."""
        answer = self.answer()
        parts, quench, epsilon = fitted(answer, "HC-09", "front")
        assert (parts, quench) == (["BG82-040", "HG82-060"], pytest.approx(0.890))
        assert epsilon == pytest.approx(
            ratio(bore=82, stroke=78, deck=-0.11, fixed=50.2 - 6.4, base=0.40, head=0.60, opening=83.0), abs=1e-6
        )
        assert epsilon == pytest.approx(9.480, abs=5e-4)
        parts, quench, epsilon = fitted(answer, "HC-09", "rear")
        assert (parts, quench) == (["BG82-025", "HG82-020T"], pytest.approx(0.888))
        opening = 3.27 * MM_PER_INCH
        assert epsilon == pytest.approx(
            ratio(bore=82, stroke=78, deck=0.13, fixed=50.6 - 6.4, base=0.25, head=0.508, opening=opening), abs=1e-6
        )
        assert epsilon == pytest.approx(9.414, abs=5e-4)

    def test_nothing_is_bought_and_all_is_proven(self) -> None:
        """Shelf value: 3.90 + 21.00 + 4.20 + 15.50 = 44.60."""
        answer = self.answer()
        assert (answer["status"], answer["orders"], reached(answer, "spend")) == ("proven", [], 0)
        assert reached(answer, "shelf-value") == 390 + 2100 + 420 + 1550

    def test_the_next_best_is_the_thick_base_on_the_front(self) -> None:
        """−0.11 + 0.50 + 0.508 = 0.898: 0.008 from the aim, where 0.890 is on it."""
        best = self.answer()["engines"][0]["alternatives"]
        assert len(best) == 3
        assert [piece["part"] for piece in best[0]["cylinders"][0]["pieces"]] == ["BG82-050", "HG82-020T"]
        assert best[0]["lost_on"] == "closeness"


class TestInchBench:
    engine = str(SCENARIOS / "inch-bench" / "tt-31.toml")

    def test_each_barrel_gets_what_lands_nearest_to_its_aim(self) -> None:
        """−0.004 + 0.020 + 0.020 = 0.036 in; 0.003 + 0.010 + 0.020 = 0.033 in; ratios 9.036 and 9.096."""
        answer = document(run("fit", "inch-bench", self.engine, "--json", books=("shelf.csv",)))
        for name, parts, quench_in, epsilon, deck_in, base_in in (
            ("left", ["BG35-020", "HG35-020"], 0.036, 9.036, -0.004, 0.020),
            ("right", ["BG35-010", "HG35-020"], 0.033, 9.096, 0.003, 0.010),
        ):
            found, quench_mm, found_ratio = fitted(answer, "TT-31", name)
            assert (found, quench_mm) == (parts, pytest.approx(quench_in * MM_PER_INCH))
            assert found_ratio == pytest.approx(
                ratio(
                    bore=3.5 * MM_PER_INCH,
                    stroke=3.25 * MM_PER_INCH,
                    deck=deck_in * MM_PER_INCH,
                    fixed=62.0 - 4.0,
                    base=base_in * MM_PER_INCH,
                    head=0.020 * MM_PER_INCH,
                    opening=3.55 * MM_PER_INCH,
                )
            )
            assert found_ratio == pytest.approx(epsilon, abs=1e-3)

    def test_the_head_gasket_over_the_base_in_the_hand(self) -> None:
        """0.035 + 0.004 − 0.016 = 0.023 in; from 0.018 to 0.028 in."""
        words = ("--try", "left=BG35-016+?", "--json")
        (tried,) = document(run("fit", "inch-bench", self.engine, *words, books=("shelf.csv",)))["tried"]
        needs = tried["needs"]
        assert needs["aim_mm"] == pytest.approx(0.023 * MM_PER_INCH)
        (inside,) = needs["inside_mm"]
        assert inside == pytest.approx([0.018 * MM_PER_INCH, 0.028 * MM_PER_INCH])
        assert needs["listed"] == ["HG35-020", "HG35-027"]

    def test_the_page_is_in_inches(self) -> None:
        printed = run("fit", "inch-bench", self.engine, books=("shelf.csv",)).stdout
        assert "0.0360 in, 0.914 mm" in printed
        beside = ("0.0360 in, 0.914 mm", "0.0330 in, 0.838 mm")
        assert [
            line for line in printed.splitlines() if " mm" in line and not any(both in line for both in beside)
        ] == []


class TestTiltedDeck:
    engine = str(SCENARIOS / "tilted-deck" / "hc-30.toml")

    def test_the_stack_nearer_to_the_aim_is_not_chosen_where_it_stands_out_at_one_end(self) -> None:
        """0.83 mm in the mean, 0.74 mm at the proud end, window from 0.76: 0.98 mm instead; the rear 0.86 mm."""
        words = ("--try", "front=BG82-025+HG82-051", "--json")
        answer = document(run("fit", "tilted-deck", self.engine, *words, books=("shelf.csv",)))
        assert fitted(answer, "HC-30", "front")[:2] == (["BG82-040", "HG82-051"], pytest.approx(0.98))
        assert fitted(answer, "HC-30", "rear")[:2] == (["BG82-025", "HG82-051"], pytest.approx(0.86))
        (tried,) = answer["tried"]
        assert (tried["quench_mm"], tried["inside"]) == (pytest.approx(0.83), False)
        assert "least quench over the band 0.740 mm" in tried["broken"][0]

    def test_the_deck_is_to_be_checked_first(self) -> None:
        answer = document(run("fit", "tilted-deck", self.engine, "--json", books=("shelf.csv",)))
        tilts = [each for each in answer["engines"][0]["cautions"] if each["about"] == "tilt"]
        assert [each["cylinder"] for each in tilts] == ["front"]
        assert "differ by 0.180 mm" in tilts[0]["text"]


class TestOnePieceGaskets:
    def answer(self) -> dict:
        engine = f"{SCENARIOS / 'one-piece-gaskets' / 'shop.xlsx'}:PT-04"
        return document(run("fit", "one-piece-gaskets", engine, "--json", books=V_TWIN_BOOKS))

    def test_both_cylinders_share_one_piece_of_each(self) -> None:
        answer = self.answer()
        for cylinder, deck, chamber, epsilon in (("left", 0.05, 36.0, 8.999), ("right", 0.12, 35.8, 8.983)):
            parts, quench, found = fitted(answer, "PT-04", cylinder)
            assert (parts, quench) == (["BG72P-030", "HG72P-050"], pytest.approx(deck + 0.80))
            assert found == pytest.approx(
                ratio(bore=72, stroke=80, deck=deck, fixed=chamber + 1.2, base=0.30, head=0.50, opening=73.0), abs=1e-6
            )
            assert found == pytest.approx(epsilon, abs=1e-3)
        assert used(answer) == {("BG72P-030", "shelf", 1), ("HG72P-050", "shelf", 1)}

    def test_the_only_other_pairs_sit_on_the_edge_of_the_window(self) -> None:
        """0.12 + 0.90 = 1.02, the upper end, is inside."""
        others = self.answer()["engines"][0]["alternatives"]
        assert [[piece["part"] for piece in other["cylinders"][1]["pieces"]] for other in others] == [
            ["BG72P-040", "HG72P-050"],
            ["BG72P-020", "HG72P-070"],
        ]
        assert [other["cylinders"][1]["quench_mm"] for other in others] == [pytest.approx(1.02)] * 2


class TestOnlyAPurchase:
    engine = str(SCENARIOS / "only-a-purchase" / "sc-21.toml")

    def answer(self, *arguments: str) -> dict:
        return document(run("fit", "only-a-purchase", self.engine, "--json", *arguments, books=PURCHASE_BOOKS))

    def test_the_pack_without_a_special_order_is_bought(self) -> None:
        """38.00 + 9.00 = 47.00; −0.30 + 0.40 + 0.032 · 25.4 = 0.9128 and 0.02 more."""
        answer = self.answer()
        (order,) = answer["orders"]
        (line,) = order["lines"]
        assert (order["supplier"], order["freight_cents"]) == ("Quillhaven", 900)
        assert (line["part"], line["packs"], line["pack"], line["line_cents"]) == ("HG95-032T", 1, 2, 3800)
        assert (reached(answer, "special-orders"), reached(answer, "spend")) == (0, 4700)
        opening = 3.80 * MM_PER_INCH
        for cylinder, deck, chamber, epsilon in (("front", -0.30, 52.4, 10.513), ("rear", -0.28, 52.3, 10.506)):
            parts, quench, found = fitted(answer, "SC-21", cylinder)
            assert (parts, quench) == (["BG95-040", "HG95-032T"], pytest.approx(deck + 0.40 + 0.8128))
            assert found == pytest.approx(
                ratio(bore=95, stroke=70, deck=deck, fixed=chamber - 6.9, base=0.40, head=0.8128, opening=opening),
                abs=1e-6,
            )
            assert found == pytest.approx(epsilon, abs=1e-3)

    def test_it_is_here_in_time_and_the_cheaper_list_is_not(self) -> None:
        """6 days after 1 February is the 7th; Varnik's 28 days end on 1 March, past the 20th of February."""
        (order,) = self.answer()["orders"]
        assert order["lines"][0]["here_on"] == "2027-02-07"

    def test_money_before_special_orders_turns_to_the_one_cut_to_order(self) -> None:
        """2 · 6.20 + 4.50 = 16.90; −0.30 + 0.65 + 0.50 = 0.85."""
        answer = self.answer("--prefer", "spend")
        assert (reached(answer, "spend"), reached(answer, "special-orders")) == (1690, 1)
        assert fitted(answer, "SC-21", "front")[:2] == (["BG95-065", "HG95-050"], pytest.approx(0.85))
        assert [each["objective"] for each in answer["passes"]][:3] == ["blocked", "spend", "special-orders"]

    def test_a_later_round_would_let_the_slow_supplier_in(self) -> None:
        """From 1 January the 28 days end on the 29th: 2 · 11.00 + 6.00 = 28.00, and no special order."""
        result = run("fit", "only-a-purchase", self.engine, "--json", books=PURCHASE_BOOKS, today="2027-01-01")
        answer = document(result)
        assert (reached(answer, "special-orders"), reached(answer, "spend")) == (0, 2800)


class TestBeyondGaskets:
    """Quench and ratio cannot both be had with gaskets; a head cut takes the bore's area of the chamber along."""

    engine = str(SCENARIOS / "beyond-gaskets" / "hc-23.toml")
    swept = circle_mm2(82) * 78 / 1000
    wanted = swept / 8.5

    def answer(self, *prefer: str) -> dict:
        words = ["--prefer", ",".join(prefer)] if prefer else []
        return document(run("fit", "beyond-gaskets", self.engine, "--json", *words, books=V_TWIN_BOOKS))

    def clearance(self, deck: float, chamber: float) -> float:
        return chamber - 3.0 + circle_mm2(83.0) * 0.50 / 1000 + circle_mm2(82) * (deck + 0.40) / 1000

    def work(self, answer: dict) -> list[dict[str, float]]:
        (engine,) = answer["engines"]
        return [{one["work"]: one["amount_mm"] for one in cylinder["work"]} for cylinder in engine["cylinders"]]

    def test_gaskets_alone_leave_it_blocked(self, tmp_path: Path) -> None:
        alone = tmp_path / "hc-23.toml"
        text = Path(self.engine).read_text(encoding="utf-8")
        before, _, after = text.partition("[levers]")
        alone.write_text(before + after[after.index("[[cylinder]]") :], encoding="utf-8")
        answer = document(run("fit", "beyond-gaskets", str(alone), "--json", books=V_TWIN_BOOKS), exit_code=1)
        assert answer["engines"][0]["blocked"]

    def test_a_head_cut_on_each_is_the_cheapest_that_does(self) -> None:
        """2 · 38.00 = 76.00; the pistons would be 2 · 46.00 + 9.00 = 101.00."""
        answer = self.answer()
        cuts = [self.clearance(0.05, 50.0) - self.wanted, self.clearance(0.02, 50.2) - self.wanted]
        assert self.work(answer) == [{"head cut": pytest.approx(lost * 1000 / circle_mm2(82))} for lost in cuts]
        assert [round(one["head cut"], 3) for one in self.work(answer)] == [0.686, 0.693]
        assert (answer["spend_cents"], reached(answer, "spend"), answer["orders"]) == (7600, 7600, [])

    def test_both_aims_at_once_need_both_cuts(self) -> None:
        answer = self.answer("closeness")
        assert [{name: round(mm, 3) for name, mm in one.items()} for one in self.work(answer)] == [
            {"head cut": 0.626, "deck cut": 0.060},
            {"head cut": 0.663, "deck cut": 0.030},
        ]
        for cylinder in answer["engines"][0]["cylinders"]:
            assert cylinder["quench_mm"] == pytest.approx(0.89)
            assert cylinder["compression_ratio"] == pytest.approx(9.5)
        assert (reached(answer, "closeness"), answer["spend_cents"]) == (pytest.approx(0, abs=1e-6), 16600)

    def test_what_levers_would_do_is_told_with_price_and_effect(self) -> None:
        """The least head cut on the front: (52.082 − 411.92/8.2) · 1000/5281.0 = 0.350 mm, for the lower end of 9.2."""
        result = run("fit", "beyond-gaskets", self.engine, "--json", "--levers", books=V_TWIN_BOOKS)
        told = document(result)["engines"][0]["levers"]
        least = next(one for one in told if one["lever"] == "head cut" and one["reaches"] == "the windows")
        lost = self.clearance(0.05, 50.0) - self.swept / 8.2
        assert least["amount_mm"] == pytest.approx(lost * 1000 / circle_mm2(82))
        assert (least["price_cents"], least["compression_ratio"]) == (3800, pytest.approx(9.2))
        text = run("fit", "beyond-gaskets", self.engine, "--levers", books=V_TWIN_BOOKS).stdout
        assert "head cut  the windows    at least 0.350 mm  38.00  BG82-040 +" in text

    def test_no_metal_needs_both_pistons(self) -> None:
        answer = self.answer("metal")
        for name, deck, chamber in (("front", 0.05, 50.0), ("rear", 0.02, 50.2)):
            parts, _, epsilon = fitted(answer, "HC-23", name)
            assert parts == ["PS82-66", "BG82-040", "HG82-050"]
            assert epsilon == pytest.approx(1 + self.swept / (self.clearance(deck, chamber) - 3.6))
        assert (reached(answer, "metal"), answer["spend_cents"]) == (0, 10100)


class TestBlocked:
    engine = str(SCENARIOS / "blocked" / "rk-02.toml")
    books = ("shop.xlsx", "varnik.csv")

    def answer(self) -> dict:
        return document(run("fit", "blocked", self.engine, "--json", books=self.books), exit_code=1)

    def test_it_is_blocked_and_takes_nothing(self) -> None:
        answer = self.answer()
        (engine,) = answer["engines"]
        assert (engine["blocked"], engine["cylinders"]) == (True, [])
        assert engine["reasons"][0].startswith("rear: ")
        assert (answer["use"], answer["orders"], reached(answer, "blocked")) == ([], [], 1)

    def test_waiting_for_the_slow_supplier_would_free_it(self) -> None:
        """35 days after 1 February is 8 March."""
        assert "8 March 2027" in self.answer()["engines"][0]["reasons"][1]

    def test_the_nearest_miss_is_0_14_mm_too_wide(self) -> None:
        """0.41 + 0.25 + 0.50 = 1.16; 1.16 − 1.02 = 0.14."""
        (rear,) = self.answer()["engines"][0]["would_free"]
        assert rear["near_misses"][0]["parts"] == ["BG88-025", "HG88-050"]
        assert rear["near_misses"][0]["quench_miss_mm"] == pytest.approx(0.14)

    def test_the_head_gasket_to_ask_for_and_who_lists_it(self) -> None:
        """With 0.25 mm: 0.76 − 0.66 = 0.10 to 1.02 − 0.66 = 0.36; with 0.40 mm: at most 1.02 − 0.81 = 0.21."""
        (rear,) = self.answer()["engines"][0]["would_free"]
        thin, thick = rear["head_gaskets"]
        assert (thin["base"], thick["base"]) == (["BG88-025"], ["BG88-040"])
        assert (thin["thickness_min_mm"], thin["thickness_max_mm"]) == (pytest.approx(0.10), pytest.approx(0.36))
        assert (thick["thickness_min_mm"], thick["thickness_max_mm"]) == (0, pytest.approx(0.21))
        assert thin["listed"] == [{"part": "HG88-030", "suppliers": ["Varnik"]}]
        assert thick["listed"] == []

    def test_the_single_things_that_would_free_it_stand_the_cheapest_first(self) -> None:
        """HG88-030 on 8 March: 16.40 and Varnik's freight of 22.40; a deck cut 45.00; a gasket has no price yet.

        A head gasket of at most 1.02 - 0.66 = 0.36 mm, a base gasket of at most 1.02 - 0.91 = 0.11 mm.
        """
        day, cut, head, base = self.answer()["engines"][0]["single_things"]
        assert (day["day"], day["cost_cents"]) == ("2027-03-08", 1640 + 2240)
        assert ([work["work"] for work in cut["work"]], cut["cost_cents"]) == (["deck cut"], 4500)
        assert [(each["kind"], each["pieces"]) for each in (head, base)] == [("head gasket", 1), ("base gasket", 1)]
        assert (head["thickness_max_mm"], base["thickness_max_mm"]) == (pytest.approx(0.36), pytest.approx(0.11))

    def test_the_smallest_deck_cut_is_0_14_mm(self) -> None:
        """1.16 − 1.02; the ratio then is that of a deck at 0.41 − 0.14 = 0.27 mm."""
        cut = self.answer()["engines"][0]["would_free"][0]["deck_cut"]
        assert (cut["parts"], cut["cut_mm"]) == (["BG88-025", "HG88-050"], pytest.approx(0.14))
        expected = ratio(bore=88, stroke=82, deck=0.27, fixed=56.0 - 5.6, base=0.25, head=0.50, opening=89.5)
        assert cut["compression_ratio"] == pytest.approx(expected, abs=1e-6)
        assert expected == pytest.approx(9.795, abs=5e-4)


class TestWholeShop:
    def answer(self) -> dict:
        return document(run("plan", "whole-shop", "--json", books=SHOP_BOOKS))

    @pytest.mark.parametrize(
        ("engine", "cylinder", "parts", "quench_mm"),
        [
            ("HC-11", "front", ["BG82-040", "HG82-060"], -0.11 + 0.40 + 0.60),
            ("HC-11", "rear", ["BG82-040", "HG82-020T"], 0.02 + 0.40 + 0.508),
            ("HC-14", "front", ["BG82-040", "HG82-060"], -0.09 + 0.40 + 0.60),
            ("HC-14", "rear", ["BG82-025", "HG82-020T"], 0.13 + 0.25 + 0.508),
            ("HC-17", "front", ["BG82-040", "HG82-060"], -0.10 + 0.40 + 0.60),
            ("HC-17", "rear", ["BG82-040", "HG82-060"], -0.08 + 0.40 + 0.60),
            ("PT-04", "left", ["BG72P-030", "HG72P-050"], 0.05 + 0.80),
            ("PT-04", "right", ["BG72P-030", "HG72P-050"], 0.12 + 0.80),
            ("PT-06", "left", ["BG72P-020", "HG72P-070"], -0.02 + 0.90),
            ("PT-06", "right", ["BG72P-020", "HG72P-070"], 0.04 + 0.90),
            ("SC-21", "front", ["BG95-040", "HG95-032T"], -0.30 + 0.40 + 0.8128),
            ("SC-21", "rear", ["BG95-040", "HG95-032T"], -0.28 + 0.40 + 0.8128),
            ("SC-23", "front", ["BG95-040", "HG95-080"], -0.27 + 1.20),
            ("SC-23", "rear", ["BG95-040", "HG95-080"], -0.31 + 1.20),
            ("RK-05", "front", ["BG88-025", "HG88-060"], 0.05 + 0.85),
            ("RK-05", "rear", ["BG88-025", "HG88-060"], 0.08 + 0.85),
        ],
    )
    def test_every_cylinder_gets_what_was_worked_out(
        self, engine: str, cylinder: str, parts: list[str], quench_mm: float
    ) -> None:
        assert fitted(self.answer(), engine, cylinder)[:2] == (parts, pytest.approx(quench_mm))

    def test_the_last_thin_base_goes_where_nothing_else_fits(self) -> None:
        """Alone, HC-11's rear would take it: with HG82-060 it is 0.02 + 0.25 + 0.60 = 0.87, 0.02 from the aim."""
        engine = f"{SCENARIOS / 'whole-shop' / 'shop.xlsx'}:HC-11"
        alone = document(run("fit", "whole-shop", engine, "--json", books=SHOP_BOOKS))
        assert fitted(alone, "HC-11", "rear")[:2] == (["BG82-025", "HG82-060"], pytest.approx(0.87))
        assert ("BG82-025", "shelf", 1) in used(self.answer())

    def test_the_plan_says_who_stood_back_for_whom(self) -> None:
        """HC-11 for HC-14, which can use nothing else: else Dorfmoos would have to make one, on special order."""
        stood_back = {contest["engine"]: contest for contest in self.answer()["stood_back"]}
        assert list(stood_back) == ["HC-11", "PT-06"]
        wanted = {part["part"]: part for part in stood_back["HC-11"]["wanted"]}
        assert wanted["BG82-025"]["can_use_nothing_else"] == ["HC-14"]
        assert (stood_back["HC-11"]["all_lose_on"], stood_back["HC-11"]["all_lose"]) == ("special-orders", 1)
        assert stood_back["PT-06"]["wanted"][0]["has_it"] == ["PT-04"]

    def test_the_words_name_the_part_who_has_it_and_what_the_exchange_would_cost(self) -> None:
        printed = run("plan", "whole-shop", books=SHOP_BOOKS).stdout
        told = " ".join(printed.partition("Who stood back for whom")[2].partition("Proven best")[0].split())
        assert "BG82-025: HC-14, which" in told
        assert "can use nothing else" in told
        assert "all together: special" in told

    def test_two_orders_cost_75(self) -> None:
        """38.00 + 9.00 from Quillhaven for SC-21, 2 · 11.00 + 6.00 from Varnik for SC-23, which may wait."""
        answer = self.answer()
        assert {order["supplier"]: order["total_cents"] for order in answer["orders"]} == {
            "Quillhaven": 4700,
            "Varnik": 2800,
        }
        assert (answer["status"], reached(answer, "spend"), reached(answer, "special-orders")) == ("proven", 7500, 0)


class TestKeptRange:
    """The shelf's money, and what must come out whatever the draws: the sums stand in its README."""

    def test_season(self) -> None:
        """838.60 = Σ on hand · price a piece; fewer draws than in the README, so that it is quick."""
        home = SCENARIOS / "kept-range"
        arguments = ("--outlook", str(home / "season.toml"), "--engines=3", "--scenarios=5", "--time-limit=4", "--json")
        result = run("range", "kept-range", *arguments, books=("shelf.csv", "varnik.csv", "past.csv"))
        assert result.exit_code == 0
        answer = json.loads(result.stdout)
        ranges = answer["ranges"]
        assert ranges["today"]["tied_up_cents"] == 83_860
        assert ranges["chosen"]["tied_up_cents"] <= answer["budget_cents"] == 70_000
        (thick,) = [part for part in answer["parts"] if part["part"] == "HG82-100"]
        assert thick["sell_off"] >= 3
