"""Units against NIST SP 811, 16 CFR 500.19, ASTM E29 and the pint registry."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stackopt.general_units import registry
from stackopt.problems import UnreadableError
from stackopt.units import (
    ANGLE_UNITS,
    AREA_UNITS,
    LENGTH_UNITS,
    VOLUME_UNITS,
    angle_deg,
    area_mm2,
    cents,
    inches,
    length_mm,
    money,
    split_number,
    volume_cc,
)

REGISTRY = pint.UnitRegistry()

# The name by which pint knows each unit of the trade that it does not know by the trade's own.
# Units that say a share of another, which no registry names: 1 in = 25,400 µm (16 CFR 500.19), 1 mm = 1000 µm.
PARTS_OF_UNITS = {
    **dict.fromkeys(("1/1000 in", "1/1000 inch", '1/1000"', "thousandths of an inch"), Decimal("25.4")),
    **dict.fromkeys(("1/100 mm", "hundredths of a mm"), Decimal(10)),
    **dict.fromkeys(("1/10 mm", "tenths of a mm"), Decimal(100)),
    **dict.fromkeys(("1/100 in", "hundredths of an inch"), Decimal(254)),
    **dict.fromkeys(("1/10000 in", "ten-thousandths of an inch"), Decimal("2.54")),
}
PINT_NAMES = {
    "in.": "inch", '"': "inch", "″": "inch", "”": "inch", "thou": "thou", "mil": "thou", "mils": "thou",
    "microns": "micron", "ccm": "cm^3", "cm3": "cm^3", "cm³": "cm^3", "cu in": "inch^3", "cu. in.": "inch^3",
    "cu.in.": "inch^3", "cuin": "inch^3", "in3": "inch^3", "in³": "inch^3", "cubic inch": "inch^3",
    "cubic inches": "inch^3", "mm2": "mm^2", "mm²": "mm^2", "sq mm": "mm^2", "cm2": "cm^2", "cm²": "cm^2",
    "sq cm": "cm^2", "in2": "inch^2", "in²": "inch^2", "sq in": "inch^2", "sq. in.": "inch^2", "°": "degree",
    "m/m": "mm", "''": "inch", "’’": "inch",
    # The inch in German, French, Italian, Spanish, Swedish, Norwegian and Danish: common knowledge, no source.
    **dict.fromkeys(("zoll", "pouce", "pouces", "pollice", "pollici", "pulgada", "pulgadas", "tum", "tommer"), "inch"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("units", "base"),
    [(LENGTH_UNITS, "mm"), (VOLUME_UNITS, "cm^3"), (AREA_UNITS, "mm^2"), (ANGLE_UNITS, "degree")],
    ids=["length", "volume", "area", "angle"],
)
def test_every_unit_has_the_factor_of_the_registry(units, base):
    named = {unit: factor for unit, factor in units.items() if unit not in PARTS_OF_UNITS}
    for unit, factor in named.items():
        assert float(factor) == pytest.approx(REGISTRY.Quantity(1, PINT_NAMES.get(unit, unit)).m_as(base), rel=1e-14)


@pytest.mark.parametrize(("part", "micrometres"), PARTS_OF_UNITS.items())
def test_a_part_of_a_unit_is_as_much_as_it_says(part: str, micrometres: Decimal) -> None:
    assert LENGTH_UNITS[part] * 1000 == Fraction(micrometres)


def test_the_inch_and_the_mil_are_exact():
    """16 CFR 500.19 and NIST SP 811, app. B.8: 1 in = 2.54 cm exactly, 1 mil = 25.4 µm exactly."""
    assert length_mm("1 in") == 25.4
    assert length_mm("1 mil") == length_mm("25.4 µm") == 0.0254


def test_the_cubic_inch_is_exact():
    """NIST SP 811, app. B.8: 1 cubic inch = 16.387 064 cm³ (printed 1.638 706 E-05 m³)."""
    assert volume_cc("1 cu in") == 16.387064


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("0.020 in", 0.508),
        (".020in", 0.508),
        ("20 thou", 0.508),
        ("1/32 in", 0.79375),
        ("1 1/2 in", 38.1),
        ("1-1/2 in", 38.1),
        ('0.020"', 0.508),
        ("0.5 mm", 0.5),
        ("−0.5 mm", -0.5),
        ("5e-1 mm", 0.5),
        ("  0.5   MM ", 0.5),
        ("400 µm", 0.4),
    ],
)
def test_a_length_is_read_however_the_trade_writes_it(text, mm):
    assert length_mm(text) == mm


def test_the_unit_of_the_text_goes_before_the_unit_of_the_column():
    assert length_mm("0.5", default_unit="mm") == 0.5
    assert length_mm("0.5 in", default_unit="mm") == 12.7


def test_a_decimal_comma_is_read_where_the_sheet_uses_it():
    assert length_mm("0,40 mm", decimal_mark=",") == 0.4
    with pytest.raises(UnreadableError, match="a length with its unit"):
        length_mm("0,40 mm")


@pytest.mark.parametrize(
    ("read", "text", "expected", "mend"),
    [
        (length_mm, "0.5", "a length with its unit", "Write the unit behind the number."),
        (length_mm, "0.5 cc", "a length with its unit", "'cc' is not a unit known here."),
        (length_mm, "", "a length with its unit", ""),
        (length_mm, "thick", "a length with its unit", ""),
        (length_mm, "1/0 in", "a length with its unit", ""),
        (length_mm, "1e99 mm", "a length with its unit", ""),
        (length_mm, "nan mm", "a length with its unit", ""),
        (volume_cc, "54.6 mm", "a volume with its unit", "'mm' is not a unit known here."),
        (area_mm2, "6650 mm", "an area with its unit", "'mm' is not a unit known here."),
        (angle_deg, "45 rev/min", "an angle in degrees", "'rev/min' is not a unit known here."),
    ],
)
def test_what_cannot_be_read_says_what_was_expected(read, text, expected, mend):
    with pytest.raises(UnreadableError) as error:
        read(text)
    problem = error.value.problem
    assert (problem.found, problem.mend) == (text, mend)
    assert problem.expected.startswith(expected)


def test_an_angle_needs_no_unit():
    assert angle_deg("45") == angle_deg("45°") == angle_deg("45 deg") == 45


def test_areas():
    """1 sq in = 645.16 mm² exactly (NIST SP 811, app. B.8: 6.4516 E-04 m²)."""
    assert area_mm2("1 sq in") == 645.16
    assert area_mm2("66.5 cm²") == 6650


@given(st.decimals("-1000", "1000", places=4, allow_nan=False))
def test_a_written_number_is_read_exactly(number):
    assert (
        Decimal(split_number(f"{number:f} mm")[0].numerator) / split_number(f"{number:f} mm")[0].denominator == number
    )


@given(st.integers(-100_000, 100_000))
def test_thou_inches_and_microns_agree(thou):
    text = f"{thou / 1000:.3f} in"
    assert length_mm(text) == length_mm(f"{thou} thou") == length_mm(f"{thou * 254 / 10:.1f} µm")


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("41.30", 4130),
        ("€ 41.30", 4130),
        ("$1,041.30", 104130),
        ("1'041.30 CHF", 104130),
        ("41.–", 4100),
        (".5", 50),
        ("-3.20", -320),
        ("3", 300),
    ],
)
def test_money_is_read_as_whole_cents(text, amount):
    assert cents(text) == amount


def test_money_with_a_decimal_comma():
    assert cents("1.041,30 €", decimal_mark=",") == 104130


@pytest.mark.parametrize(("amount", "rounded"), [("21.350", 2135), ("0.125", 12), ("0.135", 14), ("0.12501", 13)])
def test_half_a_cent_goes_to_the_even_side(amount, rounded):
    """The rule of ASTM E29: ties to even; 21.45 to one decimal is 21.4 and 21.4501 is 21.5."""
    assert cents(amount) == rounded


@pytest.mark.parametrize("text", ["free", "", "nan", "inf", "1,2,3", "1e400", "12.3.4"])
def test_what_is_no_amount_is_refused(text):
    with pytest.raises(UnreadableError, match="an amount of money"):
        cents(text)


def test_money_is_written_with_two_decimals():
    assert money(4130) == "41.30"
    assert money(-5) == "-0.05"
    assert money(104130) == "1,041.30"


@given(st.integers(-(10**9), 10**9))
def test_money_written_and_read_again_is_the_same(amount):
    assert cents(money(amount)) == amount


def test_inches_are_written_with_three_decimals():
    assert inches(0.889) == "0.035 in"


@pytest.mark.parametrize(
    ("text", "mm"),
    # 16 CFR 500.19: 1 ft = 304.8 mm; the SI prefixes.
    [("0.05 ft", 15.24), ("0.5 dm", 50.0), ("0.002 yd", 1.8288), ("500000 nm", 0.5)],
)
def test_a_length_in_a_general_unit_is_looked_up(text: str, mm: float) -> None:
    assert length_mm(text) == pytest.approx(mm, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "cc"),
    [("5 cl", 50.0), ("0.002 cu ft", 56.633693184), ("0.002 ft³", 56.633693184), ("2 fl oz", 59.147059125)],
)
def test_a_volume_in_a_general_unit_is_looked_up(text: str, cc: float) -> None:
    """1 cu ft = 1,728 cu in of 16.387064 cm³; 1 US fl oz = 29.5735295625 cm³ (NIST SP 811, B.8)."""
    assert volume_cc(text) == pytest.approx(cc, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["12 pcs", "3 pt", "2 kg", "0.5 mm mm", "1 mm+1", "5 x", "2 3 mm", "7 degC", "1 () mm"]
)
def test_what_is_no_unit_of_length_is_refused(text: str) -> None:
    """Of another dimension, no unit at all, or one that is put together from a prefix and a letter (pico-parsec)."""
    with pytest.raises(UnreadableError) as refused:
        length_mm(text)
    assert refused.value.problem.expected == "a length with its unit, as 0.5 mm or 0.020 in"


def test_the_trades_own_units_stand_in_the_registry() -> None:
    own = registry()
    assert [float(own(text).to("micrometer").magnitude) for text in ("1 thou", "1 mil")] == pytest.approx([25.4, 25.4])
    assert float(own("1 ccm").to("centimeter**3").magnitude) == 1.0


@pytest.mark.parametrize("unit", ["nan", "NaN"])
def test_no_number_is_a_unit(unit: str) -> None:
    """The general registry takes it for a number, and says so in its own way."""
    with pytest.raises(UnreadableError, match="length"):
        length_mm(f"5 {unit}")


@pytest.mark.parametrize("text", ["50.2.1 mm", "50.2,1 mm"])
def test_two_decimal_marks_are_told_as_such(text: str) -> None:
    with pytest.raises(UnreadableError) as refused:
        length_mm(text)
    assert refused.value.problem.mend == "The number has two decimal marks. Write it with one."
