"""`stackopt fit` as it is called: what goes to which stream, exit codes, and one clear message for wrong input."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result
from python_calamine import CalamineWorkbook

from stackopt.cli import COMMANDS, main

STOCK = """\
part number,kind,fits,thickness (mm),opening (mm),on hand,unit cost
B-025,base gasket,KV82,0.25,,2,4.20
B-040,base gasket,KV82,0.40,,2,3.90
H-060,head gasket,KV82,0.60,83.0,2,21.00
"""
ENGINE = """\
engine = "HC-1"
family = "KV82"
stroke = "78 mm"

[quench]
min = "0.76 mm"
max = "1.02 mm"

[[cylinder]]
name = "front"
bore = "82.00 mm"
deck = "0.11 mm proud"
"""


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A directory with a stock list and an engine file, which is where the command is called."""
    (tmp_path / "stock.csv").write_text(STOCK, encoding="utf-8")
    (tmp_path / "engine.toml").write_text(ENGINE, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def call(*words: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(main, list(words))


def refusal(*words: str, exit_code: int = 2) -> str:
    """The message of a call that is wrong: nothing on standard output, exit code 2, no traceback."""
    result = call(*words)
    assert (result.exit_code, result.stdout) == (exit_code, "")
    assert "Traceback" not in result.stderr
    return " ".join(result.stderr.split())


def refused_engine(bench: Path, old: str, new: str) -> str:
    """The message for the engine file with one line changed."""
    assert old in ENGINE
    (bench / "engine.toml").write_text(ENGINE.replace(old, new), encoding="utf-8")
    return refusal("fit", "engine.toml", "--book", "stock.csv")


def test_an_answer_goes_to_standard_output(bench: Path) -> None:
    """−0.11 + 0.40 + 0.60 = 0.89."""
    result = call("fit", "engine.toml", "--book", "stock.csv")
    assert (result.exit_code, result.stderr) == (0, "")
    assert "0.890 mm, 0.035 in" in result.stdout


def test_a_stack_in_the_hand_is_tried_beside_the_best(bench: Path) -> None:
    """−0.11 + 0.40 + 1.10 = 1.39, past 1.02: exit 0 all the same."""
    result = call("fit", "engine.toml", "--book", "stock.csv", "--try", "front=B-040+1.10 mm", "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    (tried,) = json.loads(result.stdout)["tried"]
    assert tried["pieces"][0] == {"part": "B-040", "role": "base gasket", "thickness_mm": 0.4}
    assert tried["pieces"][1] == {"part": None, "role": "head gasket", "thickness_mm": 1.1}
    assert (tried["quench_mm"], tried["inside"], tried["free"]) == (1.39, False, False)
    assert tried["broken"] == ["quench 1.390 mm, above its window's 1.020 mm"]
    printed = call("fit", "engine.toml", "--book", "stock.csv", "--try", "front=B-040+1.10 mm").stdout
    assert "What you hold in your hand" in printed
    assert "no: quench 1.390 mm, above its window's 1.020 mm" in " ".join(printed.split())


def test_the_piece_that_a_base_needs_is_told(bench: Path) -> None:
    """0.76 to 1.02 and its middle 0.89, plus 0.11, less 0.40: 0.47 to 0.73, 0.60 for the aim; always exit 0."""
    result = call("fit", "engine.toml", "--book", "stock.csv", "--try", "front=B-040+?", "--json")
    (tried,) = json.loads(result.stdout)["tried"]
    needs = tried["needs"]
    assert (needs["role"], needs["aim_mm"], needs["listed"]) == ("head gasket", 0.6, ["H-060"])
    assert needs["inside_mm"] == [[0.47, 0.73]]
    (bench / "engine.toml").write_text(ENGINE.replace("0.11 mm proud", "0.60 mm below"), encoding="utf-8")
    assert call("fit", "engine.toml", "--book", "stock.csv", "--try", "front=B-040+?").exit_code == 0


def test_every_base_on_the_shelf_has_its_line(bench: Path) -> None:
    lines = [" ".join(line.split()) for line in call("fit", "engine.toml", "--book", "stock.csv").stdout.splitlines()]
    assert "front B-025 0.750 mm 0.62 to 0.88 mm H-060, 0.60 mm" not in lines
    assert "front B-025 0.750 mm 0.62 to 0.88 mm nobody lists one" in lines
    assert "B-040 0.600 mm 0.47 to 0.73 mm H-060, 0.60 mm" in lines


@pytest.mark.parametrize(
    ("named", "said"),
    [
        ("left=B-040+?", "found 'left=B-040+?', expected the name of a cylinder of HC-1 before the = sign: front."),
        ("front=B-041+?", "The nearest known: B-040"),
        ("front=B-040+0.45", "Write the unit behind the number."),
    ],
)
def test_a_wrong_try_is_told(bench: Path, named: str, said: str) -> None:
    assert said in refusal("fit", "engine.toml", "--book", "stock.csv", "--try", named)


def test_inches_are_read_first_where_they_are_asked_for(bench: Path) -> None:
    """0.890 / 25.4 = 0.0350."""
    printed = call("fit", "engine.toml", "--book", "stock.csv", "--units", "inch").stdout
    assert "0.0350 in, 0.890 mm" in printed
    assert "front     0.11 mm proud" in printed


def test_json_is_one_document_and_nothing_else(bench: Path) -> None:
    result = call("fit", "engine.toml", "--book", "stock.csv", "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    assert json.loads(result.stdout)["engines"][0]["cylinders"][0]["quench_mm"] == pytest.approx(0.89)


def test_a_blocked_engine_ends_with_exit_code_1(bench: Path) -> None:
    """0.60 mm below: 0.60 + 0.25 + 0.60 = 1.45, past 1.02."""
    (bench / "engine.toml").write_text(ENGINE.replace("0.11 mm proud", "0.60 mm below"), encoding="utf-8")
    result = call("fit", "engine.toml", "--book", "stock.csv")
    assert result.exit_code == 1
    assert "HC-1, family KV82: BLOCKED" in result.stdout


def test_an_engine_in_a_book_is_named_behind_a_colon(bench: Path) -> None:
    (bench / "bench.csv").write_text(
        "engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side\nHC-2,KV82,front,82,78,0.11,proud\n",
        encoding="utf-8",
    )
    apart = call("fit", "bench.csv:HC-2", "--book", "stock.csv", "--json")
    together = call("fit", "bench.csv:HC-2", "--book", "stock.csv", "--book", "bench.csv", "--json")
    assert json.loads(apart.stdout)["engines"][0]["engine"] == "HC-2"
    seconds = re.compile(r'"seconds": [0-9.e-]+')
    assert seconds.sub("", apart.stdout) == seconds.sub("", together.stdout)
    message = refusal("fit", "bench.csv:HC-3", "--book", "stock.csv")
    assert message == (
        "bench.csv: found 'HC-3', expected the name of an engine in this book. It holds HC-2. Write bench.csv:HC-2, "
        "for one."
    )
    assert "expected the name of an engine in this book" in refusal("fit", "bench.csv", "--book", "stock.csv")
    assert "expected a book with an engines sheet" in refusal("fit", "stock.csv:HC-2", "--book", "stock.csv")


def test_without_a_book_the_message_says_how_to_name_one(bench: Path) -> None:
    assert "--book FILE" in refusal("fit", "engine.toml")


@pytest.mark.parametrize("name", ["absent.toml", "absent.xlsx:HC-1", "absent"])
def test_an_engine_that_is_not_there_is_named(bench: Path, name: str) -> None:
    assert name.partition(":")[0] in refusal("fit", name, "--book", "stock.csv")


def test_a_book_that_is_not_there_is_named(bench: Path) -> None:
    assert "absent.xlsx" in refusal("fit", "engine.toml", "--book", "absent.xlsx")


def test_a_book_that_is_no_spreadsheet_is_named(bench: Path) -> None:
    (bench / "letter.xlsx").write_bytes(b"%PDF-1.7 not a spreadsheet")
    assert "letter.xlsx" in refusal("fit", "engine.toml", "--book", "letter.xlsx")


def test_a_family_nobody_knows_is_told_with_the_nearest(bench: Path) -> None:
    message = refused_engine(bench, '"KV82"', '"KV28"')
    assert message.startswith("engine HC-1, family: found 'KV28', expected a family that some part in the books fits.")
    assert message.endswith("The nearest known: KV82.")


@pytest.mark.parametrize(
    ("old", "new", "parts"),
    [
        ("stroke =", "strok =", ("strok", "Did you mean stroke?")),
        ('"78 mm"', '"78"', ("stroke", "'78'", "unit")),
        ("0.11 mm proud", "-0.11 mm", ("cylinder[1].deck", "'-0.11 mm'", "proud of the cylinder's top face or below")),
        ("0.11 mm proud", "5 in proud", ("cylinder[1].deck", "'5 in proud'", "a deck between -0.3937 and 0.3937 in")),
    ],
)
def test_a_wrong_line_of_an_engine_file_is_told(bench: Path, old: str, new: str, parts: tuple[str, ...]) -> None:
    message = refused_engine(bench, old, new)
    assert message.startswith("engine.toml, ")
    assert all(part in message for part in parts), message


def test_a_part_already_fitted_may_be_listed_for_another_family(bench: Path) -> None:
    """The builder has put it on; it takes nothing off the shelf, and only the head gasket is left to find."""
    (bench / "stock.csv").write_text(f"{STOCK}B-X,base gasket,RK88,0.40,,0,3.90\n", encoding="utf-8")
    (bench / "engine.toml").write_text(f'{ENGINE}fitted = ["B-X"]\n', encoding="utf-8")
    answer = json.loads(call("fit", "engine.toml", "--book", "stock.csv", "--json").stdout)
    assert [piece["part"] for piece in answer["engines"][0]["cylinders"][0]["pieces"]] == ["B-X", "H-060"]
    assert answer["use"] == [{"part": "H-060", "from": "shelf", "quantity": 1}]


def test_an_engine_without_cylinders_is_told(bench: Path) -> None:
    (bench / "engine.toml").write_text(ENGINE.partition("[[cylinder]]")[0], encoding="utf-8")
    assert "one [[cylinder]] table for each cylinder" in refusal("fit", "engine.toml", "--book", "stock.csv")


def test_an_unknown_preference_is_told_with_the_known_ones(bench: Path) -> None:
    message = refusal("fit", "engine.toml", "--book", "stock.csv", "--prefer", "speed")
    assert message.startswith("--prefer: found 'speed', expected some of special-orders, spend, closeness")


def test_a_day_that_is_none_is_told(bench: Path) -> None:
    message = refusal("fit", "engine.toml", "--book", "stock.csv", "--today", "1.2.2027")
    assert "found '1.2.2027', expected a date, as 2027-02-01" in message


def test_a_thickness_without_a_unit_is_refused_and_not_guessed(bench: Path) -> None:
    (bench / "stock.csv").write_text(STOCK.replace("thickness (mm)", "thickness"), encoding="utf-8")
    message = refusal("fit", "engine.toml", "--book", "stock.csv")
    assert "stock.csv" in message
    assert "thickness" in message


def test_a_wrong_row_is_told_and_the_good_ones_are_used(bench: Path) -> None:
    (bench / "stock.csv").write_text(f"{STOCK}H-070,head gasket,KV82,0.70,83.0,-2,22.00\n", encoding="utf-8")
    result = call("fit", "engine.toml", "--book", "stock.csv", "--json")
    assert result.exit_code == 0
    assert json.loads(result.stdout)["status"] == "proven"
    assert "stock.csv" in result.stderr
    assert "'-2'" in result.stderr
    assert "1 entry refused; the answer is without it." in result.stderr


def test_a_fault_of_the_program_is_told_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    @click.command()
    def break_down() -> None:
        raise ZeroDivisionError("planted")

    monkeypatch.setattr("tests.cli.test_fit.planted", break_down, raising=False)
    monkeypatch.setitem(COMMANDS, "break-down", ("tests.cli.test_fit", "planted"))
    message = refusal("break-down", exit_code=70)
    assert "a fault of its own, not of your input: ZeroDivisionError: planted" in message
    assert "report it" in message
    monkeypatch.setenv("STACKOPT_TRACEBACK", "1")
    assert isinstance(call("break-down").exception, ZeroDivisionError)


def test_ctrl_c_ends_with_a_word_and_a_code_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    @click.command()
    def interrupted() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("tests.cli.test_fit.planted", interrupted, raising=False)
    monkeypatch.setitem(COMMANDS, "interrupted", ("tests.cli.test_fit", "planted"))
    result = call("interrupted")
    assert result.exit_code == 130
    assert result.stderr == "Ended by Ctrl-C.\n"


def test_a_terminal_that_cannot_show_a_letter_shows_the_rest(bench: Path) -> None:
    """Python's own encoding of the stream is what a terminal or a pipe asks for."""
    (bench / "stock.csv").write_text(STOCK.replace("B-040", "BΩ-040"), encoding="utf-8")
    command = [sys.executable, "-m", "stackopt", "fit", "engine.toml", "--book", "stock.csv"]
    plain = {**os.environ, "PYTHONIOENCODING": "latin-1"}
    tables = subprocess.run(command, capture_output=True, env=plain, text=True, check=True)
    assert "B?-040" in tables.stdout
    document = subprocess.run([*command, "--json"], capture_output=True, env=plain, text=True, check=True)
    assert json.loads(document.stdout)["use"][0]["part"] == "BΩ-040"


def test_help_shows_examples_and_exit_codes() -> None:
    result = call("fit", "--help")
    assert result.exit_code == 0
    assert "stackopt fit hc-09.toml --book shop.xlsx" in result.stdout
    assert "Exit codes: 0 solved" in result.stdout


def test_an_answer_is_written_as_workbooks_where_asked(bench: Path) -> None:
    """Two pieces of the piece that is bought stand on the supplier's own sheet; the whole answer names every piece."""
    (bench / "offers.csv").write_text(
        "supplier,part number,price,pack,lead days\nQuillhaven,H-060,25.00,2,7\n", encoding="utf-8"
    )
    (bench / "stock.csv").write_text(STOCK.replace("83.0,2,", "83.0,0,"), encoding="utf-8")
    files = ("--workbook", "answer.xlsx", "--order-sheets", "orders.xlsx")
    words = ("fit", "engine.toml", "--book", "stock.csv", "--book", "offers.csv", *files)
    assert call(*words).exit_code == 0
    orders = CalamineWorkbook.from_path("orders.xlsx")
    assert orders.sheet_names == ["Quillhaven"]
    cells = [cell for row in orders.get_sheet_by_index(0).to_python() for cell in row]
    assert {"H-060", 25.0} <= set(cells)
    answer = CalamineWorkbook.from_path("answer.xlsx")
    sheets = [answer.get_sheet_by_name(name).to_python() for name in answer.sheet_names]
    written = {cell for rows in sheets for row in rows for cell in row}
    assert {"B-040", "H-060", "HC-1"} <= written
    before = (bench / "answer.xlsx").read_bytes()
    assert "--workbook: found 'answer.xlsx', expected a new file. Name another, or add --force." in refusal(*words)
    assert (bench / "answer.xlsx").read_bytes() == before
    assert call(*words, "--force").exit_code == 0


def test_books_that_disagree_on_a_part_are_both_shown_and_one_is_named_the_master(bench: Path) -> None:
    """−0.11 + 0.40 + 0.60 = 0.89 mm; −0.11 + 0.43 + 0.60 = 0.92 mm."""
    (bench / "stock.csv").write_text(STOCK.replace("B-025,", "C-025,").replace("0.25,,2", "0.25,,0"), encoding="utf-8")
    offer = "supplier,part number,price,kind,fits,thickness (mm)\nQuillhaven,B-040,25.00,base gasket,KV82,0.43\n"
    (bench / "offers.csv").write_text(offer, encoding="utf-8")
    words = ("fit", "engine.toml", "--book", "stock.csv", "--book", "offers.csv", "--json")
    undecided = call(*words)
    assert undecided.exit_code == 1
    assert "offers.csv, B2: found 'B-040: thickness 0.43 mm', expected thickness 0.4 mm, as stock.csv, A3 says." in (
        undecided.stderr
    )
    assert "name the book that is right with --master FILE." in undecided.stderr
    for master, quench_mm in (("stock.csv", 0.89), ("offers.csv", 0.92)):
        decided = call(*words, "--master", master)
        assert (decided.exit_code, decided.stderr) == (0, "")
        (front,) = json.loads(decided.stdout)["engines"][0]["cylinders"]
        assert front["quench_mm"] == pytest.approx(quench_mm)
    said = refusal(*words, "--master", "other.csv")
    assert "--master: found 'other.csv', expected one of the books named: stock.csv, offers.csv." in said


def test_a_workbook_of_another_name_is_refused_before_anything_is_solved(bench: Path) -> None:
    said = refusal("fit", "engine.toml", "--book", "stock.csv", "--workbook", "answer.pdf")
    assert "--workbook: found 'answer.pdf', expected a name that ends in .xlsx." in said
    assert not (bench / "answer.pdf").exists()
