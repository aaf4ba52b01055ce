"""The telephone list: whom to ring, what to say, and the command that writes down the answer."""

from __future__ import annotations

from datetime import date

from msgspec.structs import replace

from stackopt.choose.asking import Call, ToAsk
from stackopt.parts.part_records import Kind
from stackopt.report.shop.calls import calls_document, calls_text

HEAD = ToAsk(Kind.HEAD_GASKET, "A", ((0.55, 0.70), (0.80, 0.85)), 0.635, 83.0, 2, date(2027, 2, 20), ("J-1", "J-2"))
BASE = ToAsk(Kind.BASE_GASKET, "C 2", ((0.30, 0.36),), 0.33, None, 1, None, ("J-3",))


def test_a_call_says_how_many_of_what_the_best_and_all_that_would_do() -> None:
    """0.635 mm is 0.025 in."""
    assert calls_text([Call("North", HEAD)]).splitlines() == [
        "Ring North",
        "  2 head gaskets for family A, opening 83.0 mm",
        "    best 0.635 mm, 0.025 in; 0.55 mm to 0.70 mm or 0.80 mm to 0.85 mm would do",
        "    for J-1, J-2, here by 20 Feb 2027",
        "    what is said: stackopt shop answered North PART --kind 'head gasket' --fits A --thickness '0.635 mm' "
        "--opening '83 mm' --price MONEY --days N",
    ]


def test_a_base_gasket_has_no_opening_and_what_is_not_due_no_day() -> None:
    assert calls_text([Call("Oak & Son", BASE)]).splitlines() == [
        "Ring Oak & Son",
        "  1 base gasket for family C 2",
        "    best 0.330 mm, 0.013 in; 0.30 mm to 0.36 mm would do",
        "    for J-3",
        "    what is said: stackopt shop answered 'Oak & Son' PART --kind 'base gasket' --fits 'C 2' "
        "--thickness '0.33 mm' --price MONEY --days N",
    ]


def test_what_nobody_sells_is_asked_all_around() -> None:
    first, *rest = calls_text([Call("", BASE)]).splitlines()
    assert first == "Ring around: no list tells who sells the like, or all of them said no"
    assert rest[-1].startswith("    what is said: stackopt shop answered SUPPLIER PART --kind 'base gasket'")


def test_one_call_serves_all_that_one_supplier_is_asked() -> None:
    blocks = calls_text([Call("North", replace(HEAD, engines=("J-1",))), Call("North", BASE)]).split("\n\n")
    assert len(blocks) == 1
    assert blocks[0].count("Ring North") == 1
    assert blocks[0].count("what is said") == 2


def test_an_engine_that_several_calls_would_finish_needs_only_one_of_them() -> None:
    own = replace(HEAD, engines=("J-1",))
    blocks = calls_text([Call("North", own), Call("South", own), Call("South", BASE)]).split("\n\n")
    assert [block.splitlines()[0] for block in blocks] == ["Ring North", "Ring South", "J-1: any one of these will do."]


def test_no_calls_are_said() -> None:
    assert calls_text([]) == "Nothing to ask about: nothing that stands in no list would finish an engine."


def test_the_document_holds_each_call_with_mm_and_days() -> None:
    head, base = calls_document([Call("North", HEAD), Call("", BASE)])
    assert head == {
        "supplier": "North",
        "kind": "head gasket",
        "family": "A",
        "thickness_mm": [[0.55, 0.7], [0.8, 0.85]],
        "best_mm": 0.635,
        "opening_mm": 83,
        "pieces": 2,
        "by": "2027-02-20",
        "for": ["J-1", "J-2"],
    }
    assert (base["supplier"], base["opening_mm"], base["by"]) == ("", None, None)
