"""Single cells and what a person reads in them: one reading, a question, or no reading at all.

The expected readings were written down by hand before the grammar was, from how lists of the trade look (common
practice, no source). A point is the decimal mark, and something else on the sheet says so, where no other is named.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stackopt.books.files.sheets import Cell, Flaw, WithUnit
from stackopt.books.words import amounts, counts, prices
from stackopt.books.words.describing.kinds import kind
from stackopt.books.words.prices import CellPrice, Marks
from stackopt.problems import UndecidedError, UnreadableError

ASK = "asked"
NO = "refused"
POINT, COMMA, UNTOLD = Marks(".", True), Marks(",", True), Marks(".", False)


def reading(parse: Callable[[Cell], object], cell: Cell) -> object:
    """Return what is read in a cell, or that it is asked about, or refused."""
    try:
        return parse(cell)
    except UndecidedError:
        return ASK
    except UnreadableError:
        return NO


COUNTS = [
    ("3", 3), ("0", 0), (" 3 ", 3), (3, 3), (3.0, 3), ("3.0", 3), ("12 pcs", 12), ("3 pieces", 3), ("3 ea", 3),
    ("3 Stk", 3), ("3 ks", 3), ("2 doz", 24), ("1 dozen", 12), ("1,250", 1250), ("12,500", 12500), ("2 000", 2000),
    ("2'000", 2000), ("1,250,000", 1250000), ("", None), ("-", None), ("—", None), (WithUnit(4.0, "pcs"), 4),
    ("007", 7), ("3,0", 3), ("4/2", ASK), ("12/12", ASK), ("3 packs", ASK), ("1e1", ASK), ("1E+01", ASK),
    ("2,000", ASK), ("2.000", ASK), ("2+1", ASK), ("~3", ASK), ("ca. 3", ASK), ("3?", ASK), ("3+", ASK), (">3", ASK),
    ("3-4", ASK), ("5 or 6", ASK), ("3 x", ASK), ("3x", ASK), ("2 pairs", ASK), ("1 set", ASK), ("3 boxes", ASK),
    ("3 (1 damaged)", ASK), ("3 + 2 reserved", ASK), ("1.2k", ASK), (WithUnit(3.0, "packs"), ASK), ("10%", ASK),
    ("3 mm", ASK), ("12,50,000", ASK), ("#3", ASK), ("3*", ASK), ("3/pack", ASK), ("2.5", NO), (2.5, NO), ("-3", NO),
    (-3, NO), ("five", NO), ("lots", NO), ("n/a", NO), ("yes", NO), (True, NO), (date(2027, 4, 2), NO),
    (time(3, 12), NO), ("#REF!", NO), (1e12, NO), ("+3", ASK), ("3 pcs 2", ASK), (Flaw("=A1", "x", "y"), NO),
]  # fmt: skip
PRICES = [
    ("41.30", 4130), (41.3, 4130), ("€41.30", 4130), ("41.30 €", 4130), ("EUR 41.30", 4130), ("41.30 eur", 4130),
    ("£4.80", 480), ("4.80 kr", 480), ("4.80 zł", 480), ("4.80 Kč", 480), ("R$ 4.80", 480), ("4.80 Ft", 480),
    ("Fr. 4.80", 480), ("Fr.4.80", 480), ("kr.4.80", 480), ("kr .95", 95), ("CHF 4.80", 480), ("4.80 TRY", 480),
    ("US$ 4.80", 480), ("₹ 480", 48000), ("1,041.30", 104130), ("1 041.30", 104130), ("1'041.30", 104130),
    ("1,250", 125000), ("41.-", 4100), ("41,–", 4100), ("41", 4100), (".95", 95), ("free", ASK),
    ("nothing to pay", 0), ("4.80/pc", (480, 1)),
    ("4.80 each", (480, 1)), ("4.80 per piece", (480, 1)), ("480 per 100 pcs", (48000, 100)),
    ("480/100 pcs", (48000, 100)), ("57.60/doz", (5760, 12)), ("57.60 per dozen", (5760, 12)),
    ("9.60 / pack", (960, "pack")), ("9.60 per pack", (960, "pack")), ("€ 4.80 / pc", (480, 1)),
    (WithUnit(4.8, "€"), 480), ("", None), ("-", None), ("95p", ASK), ("85 ct", ASK), ("12.50 doz", ASK),
    ("1.2k", ASK), ("12 pcs", ASK), ("12.50 kg", ASK), ("4/2", ASK), ("0", ASK), (0, ASK), (0.0, ASK), ("0.00", ASK),
    ("€ 0.00", ASK), ("1e1", ASK), ("2+1", ASK), ("ab 4.80", ASK), ("from 4.80", ASK), ("ca. 4.80", ASK),
    ("4.80 net", 480), ("4.80 excl. VAT", 480), ("4.80 - 10%", ASK), ("4.80*", ASK), ("4.80-5.20", ASK),
    ("4.80 / m", ASK), ("480/100", ASK), ("4.80 USD EUR", ASK), ("€ 4.80 $", ASK), ("10%", ASK), ("4.80 xyz", ASK),
    ("4.80 A", ASK), ("12.50 per set", ASK), (WithUnit(4.8, "kg"), ASK), ("1,25,000", ASK), ("85¢", ASK),
    ("4.80 (2 pcs)", ASK), ("4,80", ASK), ("-4.80", NO), ("€-4.80", NO), (-4.8, NO), ("POA", NO), ("on request", NO),
    ("tba", NO), (date(2027, 4, 2), NO), (True, NO), ("#N/A", NO),
]  # fmt: skip
UNTOLD_PRICES = [
    ("1,250", ASK), ("1.250", ASK), ("1250", 125000), ("1,250.00", 125000), ("0.125", 12), ("41.30", 4130),
    ("1,250,000", 125000000),
]  # fmt: skip
COMMA_PRICES = [
    ("41,30", 4130), ("1.041,30", 104130), ("€ 41,30", 4130), ("1.250", 125000), ("41,30 €/St", (4130, 1)),
    ("41.30", ASK), ("41,-", 4100), ("41.–", 4100), (41.3, 4130), ("95 Rp.", ASK),
]  # fmt: skip
LEADS = [
    ("14", 14), (14, 14), ("14 days", 14), ("14 d", 14), ("2 weeks", 14), ("2 wks", 14), ("1 week", 7),
    ("2 Wochen", 14), ("0", 0), ("", None), (WithUnit(2.0, "weeks"), 14), ("3 months", ASK), ("1 month", ASK),
    ("10 working days", ASK), ("5 wd", ASK), ("2-3 weeks", ASK), ("5 to 7 days", ASK), ("4/2 weeks", ASK),
    ("2+1 weeks", ASK), ("ca. 14", ASK), ("14+", ASK), (">14", ASK), ("ex stock", ASK), ("in stock", ASK),
    ("CW 12", ASK), ("week 12", ASK), ("1e1", ASK), ("14 hours", ASK), ("1 quarter", ASK), ("-3", NO), ("tba", NO),
    ("on request", NO), ("4000", NO), (date(2027, 4, 2), NO), ("2.5", NO),
]  # fmt: skip
LENGTHS = [
    ("0.508", 0.508), (0.508, 0.508), ("0.508 mm", 0.508), ("0.020 in", 0.508), ("20 thou", 0.508),
    ("1/32 in", 0.79375), ("3/64 in", 1.190625), ("508 µm", 0.508), ("5.08E-01", 0.508), (WithUnit(0.02, "in"), 0.508),
    ("", None), ("-", None), ("4/2", ASK), ("12/12 mm", ASK), ("5e-1", ASK), ("1e0", ASK), ("3/10", ASK),
    ("0.5/0.6", ASK), ("0.4-0.5", NO), ("0.4 mm uncompressed", NO), ("0.4 (free)", NO), ("0,4", NO), ("0.4 kg", NO),
    ("thin", NO), ("508", NO), (True, NO), ("5 %", NO),
]  # fmt: skip
PACKS = [
    ("2", 2), ("2 pcs", 2), ("pack of 10", 10), ("10/pack", 10), ("10 pcs per pack", 10), ("box of 5", 5), ("each", 1),
    ("ea", 1), ("", None), ("1 pack", ASK), ("2x5", ASK), ("pair", NO), ("set", NO), ("10er", ASK),
]  # fmt: skip


def short(price: object) -> object:
    """Return a price as the tables write it."""
    if not isinstance(price, CellPrice):
        return price
    cents = int(price.cents)
    return (cents, "pack") if price.pack else (cents, price.pieces) if price.pieces else cents


@pytest.mark.parametrize(("cell", "read"), COUNTS)
def test_a_count_has_one_reading_or_is_asked_about(cell: Cell, read: object) -> None:
    assert reading(counts.count(0, "."), cell) == read


@pytest.mark.parametrize(
    ("marks", "cell", "read"),
    [(POINT, *case) for case in PRICES]
    + [(COMMA, *case) for case in COMMA_PRICES]
    + [(UNTOLD, *case) for case in UNTOLD_PRICES],
)
def test_a_price_has_one_reading_or_is_asked_about(marks: Marks, cell: Cell, read: object) -> None:
    assert short(reading(prices.price(marks), cell)) == read


@pytest.mark.parametrize(("cell", "read"), LEADS)
def test_a_lead_time_has_one_reading_or_is_asked_about(cell: Cell, read: object) -> None:
    assert reading(counts.days("", "."), cell) == read


@pytest.mark.parametrize(("cell", "read"), LENGTHS)
def test_a_thickness_has_one_reading_or_is_asked_about(cell: Cell, read: object) -> None:
    """16 CFR 500.19: 1 in = 25.4 mm; 25.4/32 = 0.79375, 3 · 25.4/64 = 1.190625."""
    assert reading(amounts.length("gasket thickness", "mm", "."), cell) == (
        pytest.approx(read) if isinstance(read, float) else read
    )


@pytest.mark.parametrize(("cell", "read"), PACKS)
def test_what_a_pack_holds_has_one_reading_or_is_asked_about(cell: Cell, read: object) -> None:
    assert reading(counts.pieces_a_pack("."), cell) == read


@pytest.mark.parametrize("text", ["10 working days", "5 wd", "1 month", "2-3 weeks", "4/2 weeks"])
def test_the_likely_answer_about_a_lead_time_is_its_longer_end_in_calendar_days(text: str) -> None:
    """Ten working days are two weeks of five; a month is 365.25/12 days, 31 in whole days."""
    longest = {"10 working days": 14, "5 wd": 7, "1 month": 31, "2-3 weeks": 21, "4/2 weeks": 28}
    with pytest.raises(UndecidedError) as asked:
        counts.days("", ".")(text)
    assert asked.value.answers == (f"{longest[text]} days",)
    assert counts.days("", ".")(asked.value.answers[0]) == longest[text]


def test_a_currency_other_than_the_lists_is_asked_about() -> None:
    in_euros = prices.price(POINT._replace(currency="EUR"))
    assert [short(reading(in_euros, cell)) for cell in ("4.80 €", "4.80", "EUR 4.80", "$4.80", "4.80 USD")] == [
        480, 480, 480, ASK, ASK
    ]  # fmt: skip
    in_kronor = prices.price(POINT._replace(currency="SEK"))
    assert [short(reading(in_kronor, cell)) for cell in ("4.80 kr", "4.80 SEK", "4.80 NOK")] == [480, 480, ASK]


def spoken(text: str) -> Fraction | None:
    """State apart from the grammar what a person reads in digits, commas and points, the point being decimal.

    A person reads a number from left to right: digits, perhaps in threes behind commas, perhaps a point and decimals.
    """
    whole, point, decimals = text.partition(".")
    if point and (not decimals or not decimals.isdigit()):
        return None
    threes = whole.split(",")
    if len(threes) > 1:
        if any(len(group) != 3 for group in threes[1:]) or not 1 <= len(threes[0]) <= 3 or threes[0][0] == "0":
            return None
    elif not whole and not point:
        return None
    if not all(group.isdigit() for group in threes if group or len(threes) > 1):
        return None
    total = Fraction(int("".join(threes) or "0"))
    return total + (Fraction(int(decimals), 10 ** len(decimals)) if decimals else 0)


@given(st.text(alphabet="0123456789,.", min_size=1, max_size=9))
def test_amounts_of_digits_and_marks_are_read_as_a_person_reads_them(text: str) -> None:
    read = reading(prices.money(POINT), text)
    said = spoken(text)
    assert read == (round(said * 100) if said is not None else read if read in (ASK, NO) else ASK)


@given(st.text(alphabet="0123456789,.' /+-exkp%€$~()", min_size=1, max_size=8))
def test_a_count_that_is_read_is_the_one_number_that_stands_there(text: str) -> None:
    """Whatever stands there: the digits, with nothing but grouping marks and zeros of decimals, or no reading."""
    read = reading(counts.count(0, "."), text)
    if isinstance(read, int):
        digits = "".join(letter for letter in text if letter.isdigit())
        zeros = digits[len(str(read)) :] if digits.startswith(str(read)) else None
        assert int(digits) == read or (zeros is not None and set(zeros) == {"0"})
        assert not set(text) & set("/+exkp%€$~()")


@given(st.floats(0.01, 99999.99).map(lambda amount: round(amount, 2)), st.sampled_from(["€", "kr", "PLN", "Fr."]))
def test_an_amount_with_its_currency_on_either_side_is_read_alike(amount: float, sign: str) -> None:
    texts = [f"{amount:.2f}", f"{amount:,.2f} {sign}", f"{sign} {amount:.2f}", f"{amount:,.2f}".replace(",", " ")]
    assert {reading(prices.money(POINT), text) for text in texts} == {round(amount * 100)}


def test_the_table_is_long_enough_to_be_worth_its_name() -> None:
    assert sum(map(len, (COUNTS, PRICES, UNTOLD_PRICES, COMMA_PRICES, LEADS, LENGTHS, PACKS))) >= 150


def test_a_kind_is_no_number() -> None:
    assert reading(kind, "4/2") == NO
