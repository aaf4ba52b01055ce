"""An engine file to fill in: every line commented, in mm or in inches, with an invented engine as its example."""

from __future__ import annotations

from pathlib import Path

from stackopt.books.files.writing import write_whole

# By units, the words of the example: the same invented engine twice, in round figures of each.
_EXAMPLE = {
    "mm": {
        "stroke": "78 mm",
        "rod": "150 mm",
        "quench_min": "0.76 mm",
        "quench_max": "1.02 mm",
        "quench_aim": "0.89 mm",
        "bore": "82.00 mm",
        "chamber_front": "50.2 cc",
        "chamber_rear": "50.6 cc",
        "piston": "6.4 cc dome",
        "deck_front": "0.11 mm proud",
        "deck_rear": "0.13 mm below",
        "tolerance": "0.025 mm",
    },
    "inch": {
        "stroke": "3.070 in",
        "rod": "5.900 in",
        "quench_min": "0.030 in",
        "quench_max": "0.040 in",
        "quench_aim": "0.035 in",
        "bore": "3.228 in",
        "chamber_front": "50.2 cc",
        "chamber_rear": "50.6 cc",
        "piston": "6.4 cc dome",
        "deck_front": "0.0045 in proud",
        "deck_rear": "0.005 in below",
        "tolerance": "0.001 in",
    },
}
UNITS = tuple(_EXAMPLE)
COMMENT_COLUMN = 30

_TEXT = """\
# An engine file. Put your own measures in place of these; every length and volume says its unit.
# Then: stackopt fit {name} --book YOUR-STOCK.xlsx
# All that may stand here: stackopt guide engine-files

engine = "HC-00"             # the name or job number of this engine
family = "KV82"              # the family code that your stock list uses in its column `fits`
stroke = "{stroke}"
rod_length = "{rod}"         # centre to centre; may be left out
# due = 2027-03-19           # parts that come later than this day do not count; left out, any day will do

[quench]                     # piston flat to quench band at top dead centre; left out: 0.030 to 0.040 in
min = "{quench_min}"
max = "{quench_max}"
aim = "{quench_aim}"         # left out: the middle

[compression]                # static ratio; the whole table may be left out
min = 9.0
max = 10.0
aim = 9.5

# [gasket]
# tolerance = "{tolerance}"  # counts for each gasket whose list states none; left out, it is not known

# One [[cylinder]] for each cylinder. Read the deck on the wrist-pin axis, without a base gasket:
# `proud` is above the deck, `below` is below it.

[[cylinder]]
name = "front"
bore = "{bore}"
chamber_volume = "{chamber_front}"   # of the head, to the gasket face
piston_volume = "{piston}"           # of the crown: a dome takes space away, a dish adds
deck = "{deck_front}"

[[cylinder]]
name = "rear"
bore = "{bore}"
chamber_volume = "{chamber_rear}"
piston_volume = "{piston}"
deck = "{deck_rear}"
"""


def write_engine_template(path: Path, units: str, *, replace: bool) -> None:
    """Write an engine file to fill in; `units` is one of `UNITS`.

    Raises
    ------
    InputError
        When a file stands there and `replace` is not set, or the file cannot be written.
    """
    text = "\n".join(map(_aligned, _TEXT.format(name=path.name, **_EXAMPLE[units]).split("\n")))
    write_whole(path, text.encode(), replace=replace)


def _aligned(line: str) -> str:
    """Return a line with its comment, if one follows a value, in the column of all comments."""
    fact, mark, comment = line.partition("  #")
    return f"{fact.rstrip():<{COMMENT_COLUMN}}#{comment}" if mark else line
