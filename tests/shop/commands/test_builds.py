"""Measured quench, the shop's own thicknesses, and build records that never change once closed."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from stackopt.parts.own import with_own_thickness
from stackopt.problems import InputError
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, HEAD, SHOP, THIN, TODAY, chosen_for, from_shelf, twin


@pytest.fixture
def built(ledger: Ledger) -> Ledger:
    ledger.load(SHOP, ANA, [twin("J-104")])
    ledger.hold(*from_shelf("J-104"), ANA)
    ledger.use("J-104", BEN)
    return ledger


def last(ledger: Ledger) -> int:
    return ledger.events(1)[0].number


def test_a_build_record_holds_readings_choice_pieces_and_measurements(built: Ledger) -> None:
    assert built.measure("J-104", "front", (0.91, 0.93), BEN)
    build = built.build("J-104")
    assert build.chosen.engine == twin("J-104")
    assert build.chosen.fitted == from_shelf("J-104")[1].engines[0]
    assert build.chosen.parts == (THIN, HEAD)
    assert (build.chosen_by, build.closed_at) == ("ana", "")
    assert [(taken.part, taken.quantity, taken.who) for taken in build.taken] == [
        ("BG-040", 2, "ben"),
        ("HG-050", 2, "ben"),
    ]
    (measured,) = build.measured
    assert (measured.cylinder, measured.places_mm, measured.predicted_mm) == ("front", (0.91, 0.93), 0.90)
    assert math.isclose(measured.difference_mm, 0.92 - 0.90)
    assert math.isclose(measured.expected_mm, 0.90)


def test_a_measured_difference_moves_both_parts_of_the_stack_in_the_measure_of_their_doubt(built: Ledger) -> None:
    """+0.04 mm on a stack of BG-040 ± 0.03 and HG-050 ± 0.05: the wider tolerance takes 25/9 of the other's share."""
    built.measure("J-104", "front", (0.94,), BEN)
    own = built.own_thicknesses()
    base_mm, head_mm = own["BG-040"].own_mm - 0.40, own["HG-050"].own_mm - 0.50
    assert 0 < base_mm + head_mm < 0.04
    assert math.isclose(head_mm / base_mm, 0.05**2 / 0.03**2)
    assert (own["BG-040"].listed_mm, own["BG-040"].measurements) == (0.40, 1)


def test_an_outlier_is_kept_as_a_mistake_to_look_for_and_not_learned(built: Ledger) -> None:
    assert not built.measure("J-104", "front", (1.60, 1.62), BEN)
    assert built.own_thicknesses() == {}
    assert [measured.learned for measured in built.build("J-104").measured] == [False]


def test_a_cylinder_measured_again_counts_once(built: Ledger) -> None:
    built.measure("J-104", "front", (0.97,), BEN)
    built.measure("J-104", "front", (0.90,), BEN)
    own = built.own_thicknesses()["BG-040"]
    assert (own.measurements, math.isclose(own.own_mm, 0.40)) == (1, True)


def test_a_measurement_that_was_taken_back_is_unlearned(built: Ledger) -> None:
    built.measure("J-104", "front", (0.94,), BEN)
    number = last(built)
    built.undo(number, BEN)
    assert built.own_thicknesses() == {}
    assert built.build("J-104").measured == ()
    built.undo(last(built), BEN)
    assert built.own_thicknesses()["BG-040"].measurements == 1


def test_fit_goes_by_the_shop_s_own_thickness_once_it_is_adopted(built: Ledger) -> None:
    for cylinder in ("front", "rear"):
        built.measure("J-104", cylinder, (0.93, 0.94), BEN)
    assert built.supply().parts["HG-050"] == HEAD
    own = built.adopt("HG-050", ANA)
    assert built.supply(families={"A"}).parts["HG-050"] == with_own_thickness(HEAD, own.own_mm, 2)
    built.count({"BG-040": 2}, ANA)
    request, choice = chosen_for(built.supply(), twin("J-105"))
    assert math.isclose(choice.engines[0].cylinders[0].quench_mm, 0.40 + own.own_mm)
    built.hold(request, choice, ANA)
    assert built.build("J-105").chosen.parts == (THIN, with_own_thickness(HEAD, own.own_mm, 2))


def test_a_thickness_listed_anew_ends_the_shop_s_own(built: Ledger) -> None:
    built.measure("J-104", "front", (0.93,), BEN)
    built.adopt("HG-050", ANA)
    anew = replace(HEAD, thickness_mm=0.52)
    built.load(replace(SHOP, parts=SHOP.parts | {"HG-050": anew}), ANA)
    assert built.supply().parts["HG-050"] == anew


def test_adopting_may_be_taken_back(built: Ledger) -> None:
    built.measure("J-104", "front", (0.93,), BEN)
    built.adopt("HG-050", ANA)
    built.undo(last(built), ANA)
    assert built.supply().parts["HG-050"] == HEAD


def test_a_part_that_was_never_measured_cannot_be_adopted(built: Ledger) -> None:
    with pytest.raises(InputError, match="found 'BG-050', expected a part that was measured"):
        built.adopt("BG-050", ANA)


def test_only_a_cylinder_of_a_chosen_engine_is_measured(built: Ledger) -> None:
    with pytest.raises(InputError, match="J-104: found 'left', expected one of its cylinders: front, rear"):
        built.measure("J-104", "left", (0.9,), BEN)
    with pytest.raises(InputError, match="found 'J-9', expected an engine for which parts were held"):
        built.measure("J-9", "front", (0.9,), BEN)
    with pytest.raises(InputError, match="found 'J-9', expected an engine for which parts were held"):
        built.build("J-9")


def test_a_closed_record_stays_word_for_word_what_it_was(built: Ledger) -> None:
    built.measure("J-104", "front", (0.91,), BEN)
    closed = built.close("J-104", ANA)
    assert (closed.closed_by, closed.closed_at == built.events(1)[0].at) == ("ana", True)
    built.load(replace(SHOP, parts=SHOP.parts | {"HG-050": replace(HEAD, thickness_mm=0.6)}), ANA)
    assert built.build("J-104") == closed


def test_nothing_is_held_used_measured_returned_loaded_or_undone_for_a_closed_engine(built: Ledger) -> None:
    use = last(built)
    built.close("J-104", ANA)
    for command in (
        lambda: built.hold(*from_shelf("J-104"), ANA),
        lambda: built.use("J-104", ANA),
        lambda: built.release("J-104", ANA),
        lambda: built.measure("J-104", "front", (0.9,), ANA),
        lambda: built.bring_back("J-104", {"HG-050": 1}, ANA),
        lambda: built.close("J-104", ANA),
        lambda: built.undo(use, ANA),
    ):
        with pytest.raises(InputError, match="J-104: found 'its build record is closed'"):
            command()
    with pytest.raises(InputError, match="found 'a build record was closed'"):
        built.undo(last(built), ANA)
    assert built.differences(replace(SHOP, stock={}), [replace(twin("J-104"), shims=1)]) == ()
    assert built.engines() == ()


def test_the_database_itself_refuses_rows_of_a_closed_build(built: Ledger) -> None:
    built.close("J-104", ANA)
    row = "INSERT INTO movement VALUES (999, 1, 'HG-050', 'used', 1, 'J-104', 0, 0, '', '')"
    with pytest.raises(IntegrityError, match="this engine is closed"), built.writing() as connection:
        connection.execute(text(row))


def test_a_record_is_closed_only_when_all_is_fitted(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.hold(*from_shelf("J-104"), ANA)
    with pytest.raises(InputError, match="J-104: found 'parts still held or on order'"):
        ledger.close("J-104", ANA)
    ledger.release("J-104", ANA)
    with pytest.raises(InputError, match="J-104: found 'nothing used'"):
        ledger.close("J-104", ANA)


def test_what_was_measured_of_a_use_that_is_undone_is_unlearned_and_measured_anew(built: Ledger) -> None:
    """The use is taken back after the measuring, then the engine is built after all: the old reading stays out."""
    use = last(built)
    built.measure("J-104", "front", (0.94,), BEN)
    built.undo(use, BEN)
    assert built.own_thicknesses() == {}
    assert built.build("J-104").measured == ()
    built.use("J-104", BEN)
    assert built.own_thicknesses() == {}
    (line,) = built.board(TODAY)
    assert (line.step.value, line.cylinder) == ("measure", "front")
    built.measure("J-104", "front", (0.92,), BEN)
    assert built.own_thicknesses()["BG-040"].measurements == 1


def test_a_use_undone_before_the_measuring_is_none_of_its_business(built: Ledger) -> None:
    built.undo(last(built), BEN)
    built.use("J-104", BEN)
    built.measure("J-104", "front", (0.94,), BEN)
    assert built.own_thicknesses()["BG-040"].measurements == 1


def test_a_cylinder_that_got_no_pieces_is_not_measured(built: Ledger) -> None:
    """One base gasket of two came back: one cylinder can be measured, whichever it is, and the other cannot."""
    built.bring_back("J-104", {"BG-040": 1}, BEN)
    built.measure("J-104", "front", (0.92,), BEN)
    built.measure("J-104", "front", (0.93,), BEN)
    with pytest.raises(InputError, match=r"J-104: found 'no BG-040 in its rear cylinder'.*shop use J-104 --took"):
        built.measure("J-104", "rear", (0.92,), BEN)
