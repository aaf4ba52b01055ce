"""The main job of each of the three people, done without scripts: the builder's, the parts manager's, the owner's."""

from __future__ import annotations

import io
import re
import time
from pathlib import Path

import pytest
from flask import Flask

from stackopt.choose.patience import TimeIsOverError
from stackopt.web.desk import once_each
from stackopt.web.desk.room import Room
from tests.web.presses import Browser, Form

# An engine like those of the demonstration, family KV82: the piston 0.11 mm proud in front, 0.13 mm below in the rear.
READINGS = {
    "engine": "J-1",
    "cylinder[1].reading[1].value": "0.11",
    "cylinder[1].reading[1].side": "proud",
    "cylinder[1].reading[2].value": "0,11",
    "cylinder[1].reading[2].side": "proud",
    "cylinder[2].reading[1].value": "0.13",
    "cylinder[2].reading[1].side": "below",
    "cylinder[2].reading[2].value": "0.13",
    "cylinder[2].reading[2].side": "below",
}
SEE = "Write down and see what fits"


def room_of(app: Flask) -> Room:
    room: Room = app.extensions["room"]
    return room


def test_from_an_empty_shop_to_a_held_stack(empty_app: Flask) -> None:
    """Seven presses and four sides: begin, Bench, new engine like one, four sides, see, hold."""
    browser = Browser(empty_app)
    browser.open("/")
    assert browser.heading == "Board"
    assert "Three steps" in browser.text
    browser.press("Take the demonstration")
    assert browser.heading == "Board"
    browser.open("/bench").open("/bench/new?like=HC-11")
    browser.press(SEE, READINGS)
    assert browser.heading == "J-1"
    assert "BG82-040" in browser.text
    browser.press("Hold these")
    assert "Held for J-1." in browser.text
    assert room_of(empty_app).ledger.build("J-1").chosen.fitted.cylinders


def test_readings_are_kept_as_they_were_typed(app: Flask) -> None:
    browser = Browser(app).open("/bench/new?like=HC-11")
    browser.press(SEE, READINGS).open("/engines/J-1/readings")
    assert 'value="0,11"' in browser.text
    browser.press(SEE, {"cylinder[2].reading[1].value": "0.14"})
    (engine,) = [each for each in room_of(app).ledger.known_engines() if each.name == "J-1"]
    assert round(engine.cylinders[1].deck_height_mm, 4) == 0.135  # (0.14 + 0.13) / 2


def test_a_form_that_is_refused_keeps_what_was_typed_and_says_what_at_the_field(browser: Browser) -> None:
    browser.open("/bench/new?like=HC-11")
    browser.press(SEE, {**READINGS, "cylinder[1].reading[1].side": "", "cylinder[1].reading[2].value": "eleven"})
    assert browser.status == 422
    for name in ("cylinder[1].reading[1]", "cylinder[1].reading[2]"):
        assert browser.text.count(f'id="{name}.value-wrong"') == 1
    assert 'value="eleven"' in browser.text
    assert "Say whether the piston" in browser.text


def test_a_comma_with_two_readings_is_asked_about(browser: Browser) -> None:
    browser.open("/bench/new?like=HC-11")
    browser.press(SEE, {**READINGS, "cylinder[1].reading[1].value": "1,234"})
    assert browser.status == 422
    assert "a number with one reading. Write 1.234 or 1234." in browser.text


def test_a_name_that_is_taken_is_refused(browser: Browser) -> None:
    browser.open("/bench/new?like=HC-11").press(SEE, {**READINGS, "engine": "HC-11"})
    assert browser.status == 422
    assert "a name that no other engine bears" in browser.text


def test_the_decks_are_told_while_readings_are_typed(browser: Browser) -> None:
    browser.open("/bench/new?like=HC-11")
    form = browser.form(SEE)
    form.action = "/bench/look"
    browser.press(SEE, READINGS, form=form)
    assert browser.status == 200
    assert "Piston <strong>0.110 mm</strong> proud" in browser.text
    assert "the 95 % interval from ± 0.014 mm" in browser.text


def test_two_who_press_hold_for_one_engine_hold_it_once(app: Flask) -> None:
    """Both look at the same engine; who presses second is told who chose for it, and nothing happens twice."""
    builder, other = Browser(app).open("/engines/HC-14"), Browser(app).open("/engines/HC-14")
    builder.press("Hold these")
    other.press("Hold these")
    assert other.status == 422
    assert "parts chosen by Tester" in other.text
    assert [event.what for event in room_of(app).ledger.events(9)] == ["load", "hold"]


def test_the_second_of_two_who_want_one_gasket_sees_what_is_best_now(app: Flask) -> None:
    one, other = Browser(app).open("/engines/HC-11"), Browser(app).open("/engines/HC-14")
    one.press("Hold these")
    other.press("Hold these")
    assert other.status == 422
    assert "a shelf that has changed since" in other.text
    other.press("Hold these")
    assert "Held for HC-14." in other.text


def test_pressing_twice_does_it_once(app: Flask) -> None:
    browser = Browser(app).open("/shelf/parts/BG82-040")
    form = browser.form("Receive", "bring-in")
    before = room_of(app).ledger.supply().stock["BG82-040"].on_hand
    browser.press("Receive", {"pieces": "2"}, form=form)
    browser.press("Receive", {"pieces": "2"}, form=form)
    assert room_of(app).ledger.supply().stock["BG82-040"].on_hand == before + 2


def test_count_scrap_correct_and_take_back(app: Flask) -> None:
    browser = Browser(app).open("/shelf/parts/BG82-040")
    stock = lambda: room_of(app).ledger.supply().stock["BG82-040"].on_hand  # noqa: E731
    before = stock()
    browser.press("Count", {"pieces": "9"})
    assert stock() == 9
    browser.press("Take it back")
    assert stock() == before
    browser.open("/shelf/parts/BG82-040").press("Correct", {"pieces": "-1", "why": ""}, leading_to="/correct")
    assert "a correction needs its reason" in browser.text
    browser.press("Correct", {"pieces": "-1", "why": "entered twice"}, leading_to="/correct")
    assert stock() == before - 1
    browser.open("/shelf/parts/BG82-040").press("Scrap", {"pieces": "x"}, leading_to="/scrap")
    assert browser.status == 422
    assert "a whole number of pieces" in browser.text
    assert "Look at what is marked below; all that you typed is still here." in browser.text


def test_a_spreadsheet_is_read_asked_about_mended_and_loaded(empty_app: Flask) -> None:
    """The second row's count is below 0; it is mended on the page and loaded."""
    browser = Browser(empty_app).open("/")
    sheet = "part number,kind,fits,thickness (mm),on hand\nB-1,base gasket,KV82,0.4,3\nB-2,base gasket,KV82,0.5,-3\n"
    browser.press("Read them", {"books": (io.BytesIO(sheet.encode()), "our shelf.csv")})
    assert browser.heading == "How it was read"
    assert "Taken for: <strong>stock</strong>" in browser.text
    assert "thickness, mm" in browser.text
    (name,) = re.findall(r'name="(cell\|[^"]+)"', browser.text)
    browser.press("Mend and read again", {name: "5"})
    assert "Mend and read again" not in browser.text
    browser.press("Load")
    # No engine is there yet: the second of the three steps is next.
    assert browser.heading == "Board"
    assert "2. Write down the first engine" in browser.text
    assert {n: line.on_hand for n, line in room_of(empty_app).ledger.supply().stock.items()} == {"B-1": 3, "B-2": 5}
    assert not list((room_of(empty_app).folder / "dropped").iterdir())


def test_what_is_no_spreadsheet_is_said(browser: Browser) -> None:
    browser.open("/shelf").press("Read it", {"books": (io.BytesIO(b"x"), "../../etc/passwd")})
    assert browser.status == 422
    assert "files whose names end in" in browser.text


def test_a_hostile_file_name_stays_in_its_folder(app: Flask) -> None:
    browser = Browser(app).open("/shelf")
    browser.press("Read it", {"books": (io.BytesIO(b"part number,on hand\n"), "..\\..\\<b>evil.csv")})
    kept = list(room_of(app).folder.rglob("*.csv"))
    assert [path.name for path in kept] == ["_b_evil.csv"]
    assert "<b>evil" not in browser.text


def test_orders_are_drafted_sent_and_received(app: Flask) -> None:
    browser = Browser(app).open("/engines/SC-21").press("Hold these")
    assert "Order 1 is drafted" in browser.text
    browser.open("/orders/1").press("Mark as sent")
    browser.press("Receive what came")
    assert "2 of HG95-032T held for SC-21" in browser.text
    assert "ready to build" in browser.open("/").text


def test_what_is_to_be_ordered_is_drafted_in_other_packs(app: Flask) -> None:
    browser = Browser(app).open("/orders")
    form = browser.form("Draft the order to Dorfmoos")
    packs = next(name for name, _ in form.fields if name.startswith("packs "))
    browser.press("Draft the order to Dorfmoos", {packs: "3"})
    (order,) = room_of(app).ledger.orders()
    assert {line.packs for line in order.lines if line.part == packs.removeprefix("packs ")} == {3}
    assert browser.heading == "Order 1"


def test_plan_all_is_worked_out_beside_and_taken_whole(app: Flask) -> None:
    browser = Browser(app).open("/").press("Plan all")
    assert browser.heading == "Plan for all"
    wait_for(browser, "Hold this plan")
    assert "To pay now: <strong>75.00</strong>" in browser.text  # whole-shop's README: both orders together 75.00
    browser.press("Hold this plan")
    assert "The plan is held. Orders drafted: 1, 2" in browser.text
    assert "to plan" not in re.findall(r'class="state state-([a-z-]+)"', browser.text)


def wait_for(browser: Browser, button: str) -> None:
    for _ in range(300):
        if button in browser.open(browser.at).text:
            return
        time.sleep(0.1)
    raise AssertionError(browser.text)


def test_a_plan_that_is_old_is_not_taken(app: Flask) -> None:
    browser = Browser(app).open("/").press("Plan all")
    wait_for(browser, "Hold this plan")
    Browser(app).open("/engines/HC-11").press("Hold these")
    browser.press("Hold this plan")
    assert browser.status == 422
    assert "Plan all again" in browser.text


def test_a_plan_stays_good_while_others_press_on_what_it_does_not_take(app: Flask) -> None:
    """A part counted of which enough lies there, an engine written down: the plan is held. Too few pieces: refused."""
    browser = Browser(app).open("/").press("Plan all")
    wait_for(browser, "Hold this plan")
    other = Browser(app)
    other.open("/shelf/parts/BG82-050").press("Receive", {"pieces": "3"}, leading_to="/bring-in")
    other.open("/bench/new?like=HC-11").press(SEE, READINGS)
    plan = browser.at
    browser.press("Hold this plan")
    assert browser.heading == "Board", browser.text[-600:]
    browser.open("/").press("Plan all")
    wait_for(browser, "Hold this plan")
    other.open("/engines/J-1").press("Move the day", {"due": "2027-05-05"})
    assert browser.press("Hold this plan").status == 422
    assert "J-1: changed since" in browser.text
    assert browser.at != plan


def test_a_part_and_an_engine_of_hostile_names_are_shown_as_they_are(app: Flask, tmp_path: Path) -> None:
    name = "<script>alert(1)</script>/..&\"'"
    browser = Browser(app).open("/bench/new?like=HC-11").press(SEE, {**READINGS, "engine": name})
    assert browser.status == 200
    assert browser.heading == name
    assert "<script>alert" not in browser.text
    assert "<script>alert" not in browser.open("/").text


def test_card_page_and_pdf_of_an_engine(browser: Browser) -> None:
    assert browser.open("/engines/HC-11/card").heading == "Card for HC-11"
    assert "measured at mock-up" in browser.text
    browser.open("/engines/HC-11/card.pdf?size=letter")
    assert browser.response is not None
    assert browser.response.get_data().startswith(b"%PDF")


def test_build_measure_and_close(app: Flask) -> None:
    browser = Browser(app).open("/engines/HC-11").press("Hold these")
    browser.press("Take parts to build")
    assert "being fitted" in browser.text
    browser.press("Write it down", {"cylinder": "front", "places": ["0.90", "0,89", "", ""]})
    assert "HC-11 front: 0.895 mm as built is written down." in browser.text
    browser.press("Write it down", {"cylinder": "rear", "places": ["", "", "", ""]})
    assert "the quench at one place of the band or more" in browser.text
    browser.press("Close the record")
    assert "HC-11 is closed" in browser.text


def test_what_is_in_the_hand_is_tried_and_held(app: Flask) -> None:
    """Front −0.11 + 0.40 + 0.508 = 0.798 mm, inside 0.76 to 1.02; the answer itself has HG82-060 there."""
    browser = Browser(app).open("/engines/HC-11")
    hand = {"base.1": "BG82-040", "head.1": "HG82-020T", "base.2": "BG82-040", "head.2": "HG82-060"}
    browser.press("Try it", hand)
    assert browser.text.count("It does</strong>") == 2
    browser.press("Hold what I have in my hand")
    fitted = room_of(app).ledger.build("HC-11").chosen.fitted
    assert [[piece.part for piece in each.pieces] for each in fitted.cylinders] == [
        ["BG82-040", "HG82-020T"],
        ["BG82-040", "HG82-060"],
    ]


def test_a_plain_thickness_in_the_hand_and_one_that_is_sought(browser: Browser) -> None:
    browser.open("/engines/HC-11").press("Try it", {"base.1": "BG82-040", "head.1": "1.5", "base.2": "BG82-040"})
    assert "It does not do" in browser.text
    assert "head gasket for the aim" in browser.text
    assert "Hold what I have in my hand" not in browser.text
    browser.press("Try it", {"base.1": "no such part"})
    assert 'role="alert"' in browser.text
    assert browser.status == 200


def blocked_engine(app: Flask) -> str:
    """An engine that nothing fits: the thinnest pair, 0.25 and 0.508, brings −0.11 + 0.758 = 0.648 mm."""
    browser = Browser(app).open("/bench/new?like=HC-11")
    narrow = {"quench.min": "0.55", "quench.aim": "0.58", "quench.max": "0.62", "engine": "B-1", "due": "2027-03-01"}
    narrow |= {
        f"cylinder[2].reading[{n}].{key}": value
        for n in (1, 2)
        for key, value in (("value", "0.11"), ("side", "proud"))
    }
    narrow |= {"compression.min": "", "compression.aim": "", "compression.max": ""}
    browser.press(SEE, {**READINGS, **narrow})
    return browser.text


def test_a_blocked_engine_is_told_what_would_do_and_whom_to_ring(app: Flask) -> None:
    text = blocked_engine(app)
    assert "No go:</strong></span> nothing that fits can be had in time." in text
    assert "what came nearest" in text
    browser = Browser(app).open("/orders")
    assert "Write down the offer" in browser.text
    browser.press("Write down the offer", {"part": "HG-NEW", "price": "free", "days": "4"})
    assert browser.status == 422
    assert "an amount of money" in browser.text
    assert 'value="HG-NEW"' in browser.text
    browser.press("Write down the offer", {"part": "HG-NEW", "price": "21,50", "days": "4"})
    assert "an offer from now on" in browser.text
    (offer,) = [offer for offer in room_of(app).ledger.supply().offers if offer.part == "HG-NEW"]
    assert offer.price_cents(1) == 2150
    assert offer.special_order


def test_a_machine_with_too_much_to_do_says_so_instead_of_whom_to_ring(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The time for asking runs out: the page stands, and says that."""
    blocked_engine(app)

    def no_time(*_: object) -> object:
        raise TimeIsOverError

    monkeypatch.setattr(once_each, "what_to_ask", no_time)
    browser = Browser(app).open("/orders")
    assert browser.status == 200
    assert "too much to do just now" in browser.text
    assert "Nobody:" not in browser.text


def test_who_does_not_make_it_is_not_asked_again(app: Flask) -> None:
    blocked_engine(app)
    browser = Browser(app).open("/orders")
    button = next(name for form in browser.parsed.forms for name in form.buttons if name.endswith("does not make it"))
    browser.press(button)
    assert button not in [name for form in browser.parsed.forms for name in form.buttons]


def test_making_an_engine_urgent_shows_what_it_would_take_before_anything_is_done(app: Flask) -> None:
    Browser(app).open("/engines/HC-11").press("Hold these")
    browser = Browser(app).open("/engines/HC-14")
    browser.press("Show what making it urgent would take from others")
    wait_for(browser, "Hold this plan")
    assert "With HC-14 before all others." in browser.text
    assert room_of(app).ledger.engine("HC-14").priority == 1


def test_pages_in_a_hundred_milliseconds_and_the_bench_in_three_hundred(app: Flask) -> None:
    """The aims on two idle cores, with what a second look takes; four times as much where others work beside."""
    browser = Browser(app)
    for path, most_ms in (("/", 100), ("/bench", 100), ("/shelf", 100), ("/orders", 100), ("/engines/HC-11", 300)):
        browser.open(path)
        taken = []
        for _ in range(3):
            began = time.perf_counter()
            browser.open(path)
            taken.append(1000 * (time.perf_counter() - began))
        assert min(taken) < 4 * most_ms, path


def test_other_packs_are_priced_before_they_are_ordered(app: Flask) -> None:
    """Two packs at 31.00, one at 38.00 and 9.00 freight are proposed: 109.00. Four, 124.00 and 38.00, are 162.00.

    From 150.00 on Quillhaven sends it free of freight.
    """
    browser = Browser(app).open("/orders")
    assert room_of(app).ledger.supply().supplier("Quillhaven").free_freight_over_cents == 15000
    before = len(room_of(app).ledger.orders())
    form = at(browser.form("Draft the order to Quillhaven"), "/orders/cost")
    browser.press("Say what these packs cost", {"packs HG82-020T": "4"}, form=form)
    assert "Quillhaven: 162.00" in browser.text
    assert "53.00 more than proposed (109.00)" in browser.text
    assert len(room_of(app).ledger.orders()) == before
    browser.press("Draft the order to Quillhaven")
    (order,) = [one for one in room_of(app).ledger.orders() if one.supplier == "Quillhaven"]
    assert order.total_cents == 16200


def test_packs_that_are_no_number_are_said_and_kept(app: Flask) -> None:
    browser = Browser(app).open("/orders")
    browser.press("Draft the order to Quillhaven", {"packs HG82-020T": "some"})
    assert browser.status == 422
    assert "a whole number of packs" in browser.text
    assert 'value="some"' in browser.text


def at(form: Form, action: str) -> Form:
    """The same form, sent to another address, as a button of its own does."""
    form.action = action
    return form


def test_pieces_measured_when_they_come_are_doubted_where_they_are_far_off(app: Flask) -> None:
    """BG82-040 is listed as 0.40 mm: 0.41 is likely, 0.91 is asked about at its field, and stored once it is ticked."""
    browser = Browser(app).open("/shelf/parts/BG82-040")
    came = {"pieces": "2", "measured": "0.91 0.92"}
    browser.press("Receive", came, leading_to="/bring-in")
    assert browser.status == 422
    assert 'id="bring-in-measured-wrong">0.910 mm? Expected about 0.4' in browser.text
    assert 'value="0.91 0.92"' in browser.text
    browser.press("Receive", {**came, "sure": "yes"}, leading_to="/bring-in")
    assert "BG82-040: 0.915 mm over 2 pieces as measured." in browser.text
    browser.press("Receive", {"pieces": "1", "measured": "0,41 mm"}, leading_to="/bring-in")
    assert "BG82-040: 0.410 mm over 1 piece as measured." in browser.text
