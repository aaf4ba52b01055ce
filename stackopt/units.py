"""Text with a unit to millimetres, cubic centimetres, square millimetres, degrees and whole cents.

The factors are exact: NIST SP 811 (2008), appendix B.8; 16 CFR 500.19. A dozen factors serve the trade, and a
general unit registry costs more start-up time than the whole of `fit`; it is asked only for a unit that stands in no
table here (`general_units`).
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from functools import lru_cache

from stackopt.general_units import general_factor
from stackopt.problems import UnreadableError

MM_PER_INCH = 25.4

_INCH = Fraction("25.4")
LENGTH_UNITS: dict[str, Fraction] = {
    **dict.fromkeys(("mm", "m/m", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1)),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), Fraction(10)),
    **dict.fromkeys(("µm", "μm", "um", "micron", "microns", "micrometre", "micrometres"), Fraction(1, 1000)),
    **dict.fromkeys(("in", "in.", "inch", "inches", '"', "″", "”", "''", "’’"), _INCH),
    **dict.fromkeys(("zoll", "pouce", "pouces", "pollice", "pollici", "pulgada", "pulgadas", "tum", "tommer"), _INCH),
    **dict.fromkeys(("thou", "mil", "mils"), _INCH / 1000),
    **dict.fromkeys(("1/1000 in", "1/1000 inch", '1/1000"', "thousandths of an inch"), _INCH / 1000),
    **dict.fromkeys(("1/100 mm", "hundredths of a mm"), Fraction(1, 100)),
    **dict.fromkeys(("1/10 mm", "tenths of a mm"), Fraction(1, 10)),
    **dict.fromkeys(("1/100 in", "hundredths of an inch"), _INCH / 100),
    **dict.fromkeys(("1/10000 in", "ten-thousandths of an inch"), _INCH / 10000),
}
VOLUME_UNITS: dict[str, Fraction] = {
    **dict.fromkeys(("cc", "ccm", "cm3", "cm³", "ml", "millilitre", "millilitres", "milliliter"), Fraction(1)),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), Fraction(1000)),
    **dict.fromkeys(
        ("cu in", "cu. in.", "cu.in.", "cuin", "in3", "in³", "cubic inch", "cubic inches"), _INCH**3 / 1000
    ),
}
AREA_UNITS: dict[str, Fraction] = {
    **dict.fromkeys(("mm2", "mm²", "sq mm"), Fraction(1)),
    **dict.fromkeys(("cm2", "cm²", "sq cm"), Fraction(100)),
    **dict.fromkeys(("in2", "in²", "sq in", "sq. in."), _INCH**2),
}
ANGLE_UNITS: dict[str, Fraction] = dict.fromkeys(("deg", "°", "degree", "degrees"), Fraction(1))

_NUMBER = re.compile(
    r"""\s*(?P<sign>[-+−–]?)\s*
    (?: (?:(?P<whole>\d+)[\s-]+)? (?P<top>\d+)\s*/\s*(?P<bottom>\d+)      # 1/32, 1 1/2
      | (?P<decimal>\d+(?:[.,]\d*)?|[.,]\d+) (?P<power>[eE][-+]?\d+)? )   # 0.020, .020, 0,40
    \s*(?P<unit>.*?)\s*$""",
    re.VERBOSE,
)
_CURRENCY = r"(?:[€£$¥]|[A-Za-z]{1,3}\.?)?"
_MONEY = re.compile(
    rf"""\s*(?P<sign>[-−]?\s*{_CURRENCY}\s*[-−]?)\s*
    (?P<digits>\d[\d.,'’\s]*?|\.\d+)(?P<power>[eE][-+]?\d{{1,2}})?
    (?:[.,][-–])?\s*{_CURRENCY}\s*$""",
    re.VERBOSE,
)


@lru_cache(maxsize=65536)
def split_number(text: str, decimal_mark: str = ".") -> tuple[Fraction, str]:
    """Split a text into its exact number and the unit as written (lower case, may be empty).

    Raises
    ------
    UnreadableError
        When the text does not start with a number, or uses the other decimal mark.
    """
    match = _NUMBER.match(text)
    if match is None:
        raise UnreadableError(text, "a number with its unit")
    other_mark = "," if decimal_mark == "." else "."
    decimal = match["decimal"] or ""
    if other_mark in decimal:
        raise UnreadableError(text, f"a number written with {decimal_mark!r} as decimal mark")
    if match["top"]:
        if int(match["bottom"]) == 0:
            raise UnreadableError(text, "a fraction whose lower part is not 0")
        value = Fraction(int(match["whole"] or 0)) + Fraction(int(match["top"]), int(match["bottom"]))
    else:
        value = _power_of_ten(text, match["power"]) * Fraction("0" + decimal.replace(",", "."))
    return (-value if match["sign"] in ("-", "−", "–") else value), " ".join(match["unit"].lower().split())


def _power_of_ten(text: str, power: str | None) -> Fraction:
    exponent = int(power[1:]) if power else 0
    if abs(exponent) > 30:
        raise UnreadableError(text, "a number of ordinary size")
    return Fraction(10) ** exponent


def length_mm(text: str, default_unit: str = "", decimal_mark: str = ".") -> float:
    """Read a length such as ``0.020 in``, ``20 thou``, ``1/32 in`` or ``0.5 mm``; return millimetres.

    `default_unit` is the unit said elsewhere (a column header); a unit in the text itself is used before it.

    Raises
    ------
    UnreadableError
        When there is no number, no unit, or a unit that is not one of length.
    """
    expected = "a length with its unit, as 0.5 mm or 0.020 in"
    return _measure(text, ("length", LENGTH_UNITS), default_unit, decimal_mark, expected)


def volume_cc(text: str, default_unit: str = "", decimal_mark: str = ".") -> float:
    """Read a volume such as ``54.6 cc`` or ``3.3 cu in``; return cubic centimetres. Raises as `length_mm`."""
    expected = "a volume with its unit, as 54.6 cc or 3.3 cu in"
    return _measure(text, ("volume", VOLUME_UNITS), default_unit, decimal_mark, expected)


def area_mm2(text: str, default_unit: str = "", decimal_mark: str = ".") -> float:
    """Read an area such as ``6650 mm²`` or ``10.3 sq in``; return square millimetres. Raises as `length_mm`."""
    expected = "an area with its unit, as 6650 mm² or 10.3 sq in"
    return _measure(text, ("area", AREA_UNITS), default_unit, decimal_mark, expected)


def angle_deg(text: str, default_unit: str = "deg", decimal_mark: str = ".") -> float:
    """Read an angle such as ``45 deg`` or ``45°``; return degrees. Raises as `length_mm`."""
    return _measure(text, ("angle", ANGLE_UNITS), default_unit, decimal_mark, "an angle in degrees, as 45 deg")


def _measure(
    text: str, measure: tuple[str, dict[str, Fraction]], default_unit: str, decimal_mark: str, expected: str
) -> float:
    try:
        value, unit = split_number(text, decimal_mark)
    except UnreadableError as error:
        raise UnreadableError(text, expected, error.problem.mend) from None
    name, units = measure
    factor = units.get(unit or default_unit) or _general(unit or default_unit, name)
    if factor is None:
        raise UnreadableError(text, expected, _mend_of_unit(unit))
    return float(value * factor)


def _mend_of_unit(unit: str) -> str:
    if not unit:
        return "Write the unit behind the number."
    if unit[0] in ".,":
        return "The number has two decimal marks. Write it with one."
    return f"{unit!r} is not a unit known here."


def _general(unit: str, measure: str) -> Fraction | None:
    """Return the factor of a unit that no table here holds, if there is such a unit of this measure."""
    if not unit:
        return None

    return general_factor(unit, measure)


def cents(value: str | float | Decimal, decimal_mark: str = ".") -> int:
    """Read an amount of money in whole currency units; return whole cents, half a cent to the even side.

    A currency sign or code on either side, spaces and thousands separators are passed over.

    Raises
    ------
    UnreadableError
        When no finite amount can be read.
    """
    expected = f"an amount of money, as 41{decimal_mark}30"
    match = _MONEY.match(str(value))
    if match is None:
        raise UnreadableError(str(value), expected)
    thousands_mark = "," if decimal_mark == "." else "."
    whole, _, fraction = match["digits"].partition(decimal_mark)
    groups = re.split(rf"[{re.escape(thousands_mark)}\s'’]", whole)
    if any(len(group) != 3 for group in groups[1:]) or not "".join([*groups, fraction]).isdigit():
        raise UnreadableError(str(value), expected)
    amount = Decimal(f"{''.join(groups) or '0'}.{fraction or '0'}") * Decimal(f"1{match['power'] or ''}")
    rounded = int((amount * 100).quantize(Decimal(1), rounding=ROUND_HALF_EVEN))
    return -rounded if "-" in match["sign"].replace("−", "-") else rounded


def money(amount_cents: int) -> str:
    """Write whole cents as an amount with two decimals, ``4130`` as ``41.30``."""
    sign = "-" if amount_cents < 0 else ""
    return f"{sign}{abs(amount_cents) // 100:,}.{abs(amount_cents) % 100:02d}"


def inches(length: float) -> str:
    """Write millimetres as inches with three decimals, ``0.889`` as ``0.035 in``."""
    return f"{length / MM_PER_INCH:.3f} in"
