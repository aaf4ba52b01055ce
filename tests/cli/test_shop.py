"""`stackopt shop` as it is called: what is shown, asked, stored and said."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from stackopt.cli import main
from stackopt.cli.shop_commands.group import shop
from stackopt.guide import topic_text
from stackopt.shop.ledger import open_ledger
from tests.cli.loaded import loaded_once

STOCK = """\
part number,kind,fits,thickness (mm),thickness tolerance (mm),opening (mm),on hand,unit cost,bin
B-040,base gasket,KV82,0.40,0.03,,2,3.90,A1
H-050,head gasket,KV82,0.50,0.05,83.0,4,21.00,A2
"""
PRICES = """\
supplier,part number,price,pack,lead days
Quillhaven,B-040,6.40,2,5
"""
ENGINES = """\
engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm)
HC-1,KV82,front,82.00,78.0,0.00,below,0.85,0.95
HC-1,KV82,rear,82.00,78.0,0.00,below,0.85,0.95
HC-2,KV82,front,82.00,78.0,0.00,below,0.85,0.95
HC-2,KV82,rear,82.00,78.0,0.00,below,0.85,0.95
"""


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name, text in (("stock.csv", STOCK), ("prices.csv", PRICES), ("engines.csv", ENGINES)):
        (tmp_path / name).write_text(text)
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STACKOPT_LEDGER", raising=False)
    monkeypatch.setenv("STACKOPT_WHO", "ana")
    return tmp_path


@pytest.fixture
def stocked(bench: Path) -> Path:
    loaded_once(bench, "shop load stock.csv prices.csv engines.csv --yes", said)
    return bench


def call(line: str, answer: str | None = None) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(main, shlex.split(line), input=answer)


def said(line: str) -> str:
    result = call(line)
    assert (result.exit_code, result.stderr) == (0, ""), result.output
    return result.stdout


def wrong(line: str) -> str:
    result = call(line)
    assert (result.exit_code, result.stdout) == (2, ""), result.output
    return result.stderr


def stock(part: str) -> tuple[int, int, int, int]:
    (row,) = json.loads(said(f"shop stock {part} --json"))["parts"]
    return row["on_hand"], row["held"], row["free"], row["on_order"]


def test_a_load_shows_the_differences_and_stores_nothing_until_they_are_accepted(bench: Path) -> None:
    declined = call("shop load stock.csv", "n\n")
    assert "shelf B-040: on hand 0 -> 2" in declined.stdout
    assert "Store 5 differences? [y/N]" in declined.stdout
    assert declined.exit_code == 1
    assert not (bench / "stackopt.db").exists()
    accepted = call("shop load stock.csv", "y\n")
    assert accepted.stdout.endswith("Stored 5 differences.\n")
    assert said("shop load stock.csv") == "Nothing to store: the ledger says the same.\n"


def test_a_file_in_which_nothing_is_yet_becomes_the_ledger(bench: Path) -> None:
    """As a first load leaves it that was cut off."""
    (bench / "stackopt.db").touch()
    assert "found 'nothing', expected a ledger. Make one" in wrong("shop stock")
    assert said("shop load stock.csv --yes").endswith("Stored 5 differences.\n")
    assert stock("B-040")[0] == 2


def test_a_price_list_alone_may_name_parts_that_the_ledger_describes(bench: Path) -> None:
    said("shop load stock.csv --yes")
    assert "offer B-040 Quillhaven: new" in said("shop load prices.csv --yes")
    (bench / "prices.csv").write_text(PRICES.replace("6.40", "7.10"))
    assert "offer B-040 Quillhaven: price 6.40 from 1 -> 7.10 from 1" in said("shop load prices.csv --yes")
    assert [line.split()[3:] for line in said("shop prices B-040").splitlines()[2:]] == [
        ["6.40", "from", "1", "ana"],
        ["7.10", "from", "1", "ana"],
    ]


def test_one_part_of_a_book_may_be_accepted_alone(stocked: Path) -> None:
    (stocked / "stock.csv").write_text(STOCK.replace(",,2,", ",,7,").replace(",83.0,4,", ",83.0,9,"))
    assert said("shop load stock.csv --part H-050 --yes").endswith("Stored 1 difference.\n")
    assert (stock("B-040")[0], stock("H-050")[0]) == (2, 9)


def test_rows_that_are_refused_are_told_and_left_out(bench: Path) -> None:
    (bench / "stock.csv").write_text(STOCK + "B-050,base gasket,KV82,0.50,,,-3,1.00,A3\n")
    result = call("shop load stock.csv --yes")
    assert "row 4" in result.stderr or "G4" in result.stderr
    assert "without the 1 entry refused" in result.stdout
    assert result.exit_code == 2
    again = call("shop load stock.csv --yes")
    assert again.stdout == "Nothing to store: the ledger says the same except for the 1 entry refused.\n"
    assert again.exit_code == 2


def test_the_way_of_an_engine_through_the_shop(stocked: Path) -> None:
    """Chosen and held, fitted, measured, closed; each step told, and all of it on record."""
    held = call("fit HC-1 --hold --today 2027-02-01")
    assert held.stderr == "Held for HC-1, as event 2.\n"
    assert "B-040" in held.stdout
    assert stock("B-040") == (2, 2, 0, 0)
    assert said("shop use HC-1 --why 'mock-up done'") == "Into HC-1: 2 of B-040, 2 of H-050\n"
    measured = said("shop measure HC-1 front '0.91 mm' '0.93 mm'")
    assert measured == "front: measured 0.920 mm, predicted 0.900 mm, difference +0.020 mm\n"
    assert "mistake to look for" in said("shop measure HC-1 rear '1.90 mm'")
    assert re.search(r"^B-040 +0\.4 +0\.40\d+ +0\.0\d+ +1 +0\.4$", said("shop thickness"), re.MULTILINE)
    assert said("shop adopt H-050").startswith("H-050: 0.50")
    assert said("shop close HC-1") == "HC-1 is closed: 2 entries fitted, 2 measured.\n"
    record = said("shop build HC-1")
    assert "proven; closed by ana on" in record
    assert "2 of B-040 fitted by ana on" in record
    document = json.loads(said("shop build HC-1 --json"))
    assert document["chosen"]["engine"]["name"] == "HC-1"
    assert "mock-up done" in said("shop history HC-1")


def test_the_way_of_an_order(stocked: Path) -> None:
    """HC-1 takes the two on the shelf; HC-2 waits for the pack of two."""
    planned = call("plan --hold --today 2027-02-01")
    assert planned.stderr == "Held for HC-1, HC-2, as event 2. Order 1 is drafted: stackopt shop send 1.\n"
    orders = said("shop orders")
    assert "Order 1, Quillhaven: draft, 6.40 with freight" in orders
    assert re.search(r"^HC-[12] waits for 2 of B-040$", orders, re.MULTILINE)
    said("shop send 1")
    assert stock("B-040") == (2, 2, 0, 2)
    assert re.fullmatch(r"Held for HC-[12]: 1 of B-040\n", said("shop receive --order 1 B-040=1"))
    assert "received in part" in said("shop orders")
    said("shop receive --order 1")
    assert said("shop orders") == "No order is open; --all tells those that are done.\n"
    assert "received" in said("shop orders --all")
    assert stock("B-040") == (4, 4, 0, 0)


def test_what_is_held_is_kept_unless_all_is_planned_anew(stocked: Path) -> None:
    """HC-1 holds the only two bases of the shelf. Anew: both engines, HC-1 keeps its own, and HC-2 waits as before."""
    call("fit HC-1 --hold --today 2027-02-01")
    kept = json.loads(call("plan --json --today 2027-02-01").stdout)
    assert [engine["engine"] for engine in kept["engines"]] == ["HC-2"]
    anew = json.loads(call("plan --replan --json --today 2027-02-01").stdout)
    assert {engine["engine"] for engine in anew["engines"]} == {"HC-1", "HC-2"}
    assert [each["value"] for each in anew["passes"] if each["objective"] == "changes"] == [0]
    held = call("plan --replan --hold --today 2027-02-01")
    assert held.stderr.startswith("Held for HC-1, HC-2, as event 3.")
    assert "HC-2 waits for 2 of B-040" in said("shop orders")
    assert "found '--book'" in wrong("plan --replan --book stock.csv")


def test_planned_anew_an_engine_gives_up_what_another_needs_more(stocked: Path) -> None:
    """Two heads are left; HC-2, loaded with a higher priority, takes what HC-1 held, which then holds nothing."""
    said("shop scrap H-050=2")
    call("fit HC-1 --hold --today 2027-02-01")
    lines = ENGINES.strip().splitlines()
    ranked = [f"{line},{'priority' if n == 0 else 5 if 'HC-2' in line else 1}" for n, line in enumerate(lines)]
    (stocked / "engines.csv").write_text("\n".join(ranked) + "\n")
    said("shop load engines.csv --yes")
    call("plan --replan --hold --today 2027-02-01")
    assert stock("H-050") == (2, 2, 0, 0)
    assert said("shop use HC-2") == "Into HC-2: 2 of B-040, 2 of H-050\n"
    assert "nothing held" in wrong("shop use HC-1")


def test_what_is_on_its_way_to_nobody_is_taken_before_more_of_it_is_drafted(stocked: Path) -> None:
    call("plan --hold --today 2027-02-01")
    (waiting,) = re.findall(r"^(HC-[12]) waits for", said("shop orders"), re.MULTILINE)
    said("shop send 1")
    released = said(f"shop release {waiting}")
    assert released.endswith("No longer waits for, and on the shelf when it comes: 2 of B-040\n")
    again = call(f"fit {waiting} --hold --today 2027-02-01").stderr
    assert "drafted" not in again
    assert f"{waiting} waits for 2 of B-040" in said("shop orders")


def test_what_an_engine_was_given_before_is_told_when_all_it_needs_is_held_anew(stocked: Path) -> None:
    said("shop receive H-050=2")
    call("plan --hold --today 2027-02-01")
    (waiting,) = re.findall(r"^(HC-[12]) waits for", said("shop orders"), re.MULTILINE)
    said(f"shop use {waiting} --yes")
    said("shop cancel 1")
    again = call(f"fit {waiting} --hold --today 2027-02-01").stderr
    assert again.endswith(
        f"{waiting} was given 2 of H-050 before; what is not in it: stackopt shop return {waiting} H-050=2.\n"
    )


def test_a_cancelled_order_says_who_waited(stocked: Path) -> None:
    call("plan --hold --today 2027-02-01")
    words = r"Order 1 is cancelled.\n(HC-[12]) waited for it and is to be planned again: stackopt fit \1 --hold\n"
    assert re.fullmatch(words, said("shop cancel 1"))


def test_a_hold_that_comes_too_late_stores_nothing_and_says_who_has_the_pieces(stocked: Path) -> None:
    """Between choice and hold somebody else was quicker: here, the choice came out of books that are older."""
    assert wrong("fit HC-1 --book stock.csv --hold").startswith("--hold: found '--book', expected the ledger alone.")
    call("fit HC-1 --hold --today 2027-02-01")
    assert "B-040: found '2 on the shelf; 2 held for HC-1 by ana on" in wrong("shop scrap B-040=1")


def test_a_blocked_engine_is_answered_and_nothing_is_held_for_it(stocked: Path) -> None:
    said("shop scrap H-050=4")
    result = call("fit HC-1 --hold --today 2027-02-01")
    assert (result.exit_code, result.stderr) == (1, "Nothing is held: no engine can be finished.\n")
    assert "HC-1, family KV82: BLOCKED" in result.stdout
    assert stock("B-040") == (2, 0, 2, 0)


def test_an_engine_may_be_called_as_a_folder_is_or_with_a_point_in_its_name(stocked: Path) -> None:
    (stocked / "HC-1").mkdir()
    (stocked / "engines.csv").write_text(ENGINES.replace("HC-2", "HC 2.1 Ü"))
    said("shop load engines.csv --yes")
    assert call("fit HC-1 --today 2027-02-01").exit_code == 0
    assert "HC 2.1 Ü" in call("fit 'HC 2.1 Ü' --hold --today 2027-02-01").stderr
    assert said("shop use 'HC 2.1 Ü'") == "Into HC 2.1 Ü: 2 of B-040, 2 of H-050\n"


def test_a_long_note_in_several_lines_keeps_the_history_a_table(stocked: Path) -> None:
    note = "line one\nline two " + "and more " * 300
    said(f"shop count B-040=2 --why '{note}'")
    _, rule, *rows = said("shop history").splitlines()
    assert (len(rows), len(rule) < 140) == (2, True)
    assert "line one line two and more" in rows[1]


def test_commands_at_the_shelf(stocked: Path) -> None:
    assert said("shop count B-040=5 H-050=4") == "B-040: +3 against the ledger\nH-050: as expected\n"
    assert said("shop scrap B-040=1") == "Off the shelf: 1 of B-040\n"
    assert said("shop receive B-040=2") == "Free on the shelf: 2 of B-040\n"
    said("shop correct B-040 -1 --why 'one entered twice'")
    assert stock("B-040") == (5, 0, 5, 0)
    assert "needs its reason" in call("shop correct B-040 -1").stderr
    said("shop undo")
    assert stock("B-040") == (6, 0, 6, 0)
    told = said("shop undo 2").splitlines()
    assert told[0].startswith("Event 2, count by ")
    assert told[1:] == ["  3 of B-040 counted", "  0 of H-050 counted", "Event 2, count, is taken back."]
    assert stock("B-040")[0] == 3
    assert said("shop history").splitlines()[-1].split()[2:6] == ["undo", "count,", "event", "2"]


def test_a_part_whose_load_is_undone_stays_listed_for_the_pieces_that_came_since(stocked: Path) -> None:
    """Two came after the load: they keep their description, so that engines can be given them."""
    (stocked / "new.csv").write_text("part number,kind,fits,thickness (mm),on hand\nB-060,base gasket,KV82,0.60,5\n")
    said("shop load new.csv --yes")
    said("shop receive B-060=2")
    assert "Still listed, for pieces of them are there or on their way: B-060." in said("shop undo 2 --yes")
    assert stock("B-060") == (2, 0, 2, 0)
    said("shop load new.csv --yes")
    assert stock("B-060") == (5, 0, 5, 0)


def test_two_undos_go_two_steps_back_and_a_count_stays_though_one_before_it_is_undone(stocked: Path) -> None:
    said("shop count B-040=5")
    said("shop count B-040=3")
    assert "Counted since, and so as they were counted: B-040." in said("shop undo 2")
    assert stock("B-040") == (3, 0, 3, 0)
    said("shop undo")
    assert stock("B-040") == (2, 0, 2, 0)


def test_two_undos_go_two_steps_back(stocked: Path) -> None:
    before = stock("B-040")
    said("shop receive B-040=2")
    said("shop receive B-040=3")
    said("shop undo")
    said("shop undo")
    assert stock("B-040") == before


def test_what_somebody_else_did_is_taken_back_only_when_that_is_said(stocked: Path) -> None:
    said("shop receive B-040=2 --who ana")
    asked = call("shop undo --who ben")
    assert asked.exit_code != 0
    assert "receive by ana" in asked.stdout
    assert "Event 2, receive, is taken back." in said("shop undo --who ben --yes")


def test_pieces_come_back_and_go_back(stocked: Path) -> None:
    call("fit HC-1 --hold --today 2027-02-01")
    assert said("shop release HC-1") == "Free again: 2 of B-040, 2 of H-050\n"
    assert stock("B-040") == (2, 0, 2, 0)
    call("fit HC-1 --hold --today 2027-02-01")
    said("shop use HC-1")
    said("shop return HC-1 H-050=1")
    assert stock("H-050") == (3, 0, 3, 0)


@pytest.mark.parametrize("book", ["out.xlsx", "out.csv"])
def test_an_exported_stock_list_loads_without_a_difference(stocked: Path, book: str) -> None:
    call("fit HC-1 --hold --today 2027-02-01")
    assert said(f"shop export {book}") == f"{book}: 2 parts.\n"
    assert said(f"shop load {book}") == "Nothing to store: the ledger says the same.\n"
    assert "a file that is there already" in wrong(f"shop export {book}")
    said(f"shop export {book} --force")


def test_a_stock_list_is_given_back_in_the_columns_in_which_it_came(bench: Path) -> None:
    own = """\
Bin,Item no.,Type,Fits,Thk (in),Qty,Remarks
A1,B-016,base gasket,KV82,0.016,2,odd box
A2,H-020,head gasket,KV82,0.0205,4,
"""
    (bench / "stock.csv").write_text(own)
    loaded = said("shop load stock.csv --yes")
    assert "not understood, kept as they stand: Remarks" in loaded
    said("shop export out.csv")
    assert (bench / "out.csv").read_text(encoding="utf-8-sig").splitlines() == own.splitlines()
    said("shop count B-016=5")
    said("shop export out.csv --force")
    assert "A1,B-016,base gasket,KV82,0.016,5,odd box" in (bench / "out.csv").read_text(encoding="utf-8-sig")


def test_a_backup_is_read_back_and_restored(stocked: Path) -> None:
    assert re.fullmatch(r"copy\.db: \d+ rows, read back and the same\.\n", said("shop backup copy.db"))
    assert said("shop stock --ledger copy.db") == said("shop stock")
    said("shop restore copy.db --ledger new.db")
    assert said("shop stock --ledger new.db") == said("shop stock")


def test_where_the_ledger_lies_may_be_said_by_a_variable(stocked: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (stocked / "stackopt.db").rename(stocked / "elsewhere.db")
    assert "expected a ledger. Make one" in wrong("shop stock")
    monkeypatch.setenv("STACKOPT_LEDGER", "elsewhere.db")
    assert stock("B-040")[0] == 2


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("shop stock B-999", "found 'B-999', expected a part number of the ledger"),
        ("shop history B-999", "found 'B-999', expected a part or an engine that something happened to"),
        ("shop count B-040", "found 'B-040', expected a part and its pieces, as BG-040=2"),
        ("shop count B-040=-1", "expected a part and its pieces"),
        ("shop count B-040=5 B-040=3", "found B-040=5 and B-040=3, expected each part once, with all its pieces"),
        ("shop receive B-040=1 B-040=1", "expected each part once, with all its pieces"),
        ("shop receive B-040=0", "found 'B-040=0', expected 1 to 1,000,000 pieces"),
        ("shop count B-040=99999999999999999999", "expected 0 to 1,000,000 pieces"),
        ("shop correct B-040 99999999999999999999 --why typed", "is not in the range"),
        ("shop send 99999999999999999999", "is not in the range"),
        ("shop return HC-1 B-040=1", "HC-1: found '1 of B-040', expected a part that went into it"),
        ("shop prices B-999", "found 'B-999', expected a part that a supplier lists, or once listed"),
        ("shop receive", "Say what arrived"),
        ("shop measure HC-1 front 0.9", "Write the unit behind the number"),
        ("shop measure HC-1 front '90 mm'", "a quench between 0 and 5 mm"),
        ("shop use HC-1", "HC-1: found 'nothing held'"),
        ("shop load stock.csv --part B-999 --yes", "--part: found 'B-999', expected a part of these books"),
        ("shop use 'HC 3'", "Hold its parts first: stackopt fit 'HC 3' --hold"),
        ("shop count B-040=2 --who ' '", "on record stands who did it"),
        ("fit HC-1.5", "found 'HC-1.5', expected an engine of the ledger: HC-1, HC-2"),
        ("fit none.toml", "none.toml"),
        ("shop export out.pdf", "expected a name that ends in .xlsx or .csv"),
        ("fit HC-9", "found 'HC-9', expected an engine of the ledger: HC-1, HC-2"),
        ("plan --ledger none.db", "none.db: expected the shop's ledger, or at least one book"),
    ],
)
def test_a_wrong_call_says_what_was_expected(stocked: Path, line: str, message: str) -> None:
    assert message in " ".join(wrong(line).split())


def test_a_shop_without_engines_has_nothing_to_plan(bench: Path) -> None:
    said("shop load stock.csv --yes")
    assert said("plan").startswith("Nothing is to plan")


def test_every_command_of_the_shop_is_in_the_guide() -> None:
    text = topic_text("shop")
    assert [name for name in shop.commands if f"stackopt shop {name}" not in text] == []


def test_books_are_answered_without_importing_sql(bench: Path) -> None:
    """SQLAlchemy takes longer to import than one engine to solve."""
    program = (
        "import sys\n"
        "from click.testing import CliRunner\n"
        "from stackopt.cli import main\n"
        "result = CliRunner().invoke(main, ['fit', 'engines.csv:HC-1', '--book', 'stock.csv', '--json'])\n"
        "assert result.exit_code == 0, result.output\n"
        "assert 'sqlalchemy' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


def test_one_engine_is_answered_out_of_the_ledger_without_importing_sqlalchemy_or_books(stocked: Path) -> None:
    program = (
        "import sys\n"
        "from click.testing import CliRunner\n"
        "from stackopt.cli import main\n"
        "result = CliRunner().invoke(main, ['fit', 'HC-1', '--json'])\n"
        "assert result.exit_code == 0, result.output\n"
        "assert not {'sqlalchemy', 'alembic', 'stackopt.books', 'python_calamine'} & sys.modules.keys()\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)
    assert open_ledger("stackopt.db").balances()["B-040"].held == 0


def test_what_work_costs_counts_without_a_book(stocked: Path) -> None:
    """Decks 0.10 mm below with 0.40 and 0.50 mm stand at 1.00 mm; two cuts at 45.00 bring them to 0.90 mm."""
    (stocked / "work.csv").write_text("service,price,per\nDeck cut,45.00,cylinder\n")
    assert "service deck cut: new" in said("shop load work.csv --yes")
    cylinders = "".join(
        f'[[cylinder]]\nname = "{name}"\nbore = "82 mm"\ndeck = "0.10 mm below"\n' for name in ("front", "rear")
    )
    (stocked / "tall.toml").write_text(
        'engine = "HC-9"\nfamily = "KV82"\nstroke = "78 mm"\n[quench]\nmin = "0.85 mm"\nmax = "0.95 mm"\n'
        f'[levers]\ndeck_cut_max = "0.3 mm"\n{cylinders}'
    )
    passes = {each["objective"]: each["value"] for each in json.loads(said("fit tall.toml --json"))["passes"]}
    assert (passes["blocked"], passes["spend"]) == (0, 9000)


def test_who_is_asked_for_where_the_system_knows_no_account(stocked: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def nobody() -> str:
        raise KeyError("uid not found")

    monkeypatch.delenv("STACKOPT_WHO")
    monkeypatch.setattr("getpass.getuser", nobody)
    assert "--who: expected a name. Say who does it: --who NAME" in wrong("shop count B-040=2")


def test_a_question_that_nobody_answers_ends_with_the_question_and_what_answers_it(stocked: Path) -> None:
    """The input is empty, as where no terminal is: exit code 2, and nothing is stored."""
    (stocked / "prices.csv").write_text(PRICES.replace("6.40", "6.90"))
    told = call("shop load prices.csv")
    assert told.exit_code == 2
    assert "asked: found 'Store 1 difference?'" in told.stderr
    assert "the same command with --yes" in told.stderr
    said("shop receive B-040=1 --who bo")
    told = call("shop undo")
    assert told.exit_code == 2
    assert "bo did that, and you are ana" in told.stderr
    assert stock("B-040") == (3, 0, 3, 0)


def test_orders_and_history_are_given_as_json(stocked: Path) -> None:
    call("plan --hold --today 2027-02-01")
    (order,) = json.loads(said("shop orders --today 2027-02-01 --json"))
    assert (order["order"], order["supplier"], order["state"]) == (1, "Quillhaven", "draft")
    (line,) = order["lines"]
    assert (line["part"], line["packs"], line["quantity"], line["to_come"]) == ("B-040", 1, 2, 2)
    assert line["here_on"] == "2027-02-06"
    assert order["waiting"] == [{"engine": "HC-2", "part": "B-040", "quantity": 2, "late_days": 0}]
    acts: list[tuple[Any, ...]] = [
        (each["act"], each["quantity"], each["part"], each["order"]) for each in history("HC-2")
    ]
    assert sorted(acts) == [("held", 2, "H-050", None), ("promised", 2, "B-040", 1)]
    assert [each["what"] for each in json.loads(said("shop history --json"))] == ["load", "hold"]


def history(about: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(said(f"shop history {about} --json"))
    return found


def test_a_count_says_who_loses_and_scrapping_held_pieces_needs_a_yes(stocked: Path) -> None:
    call("fit HC-1 --hold --today 2027-02-01")
    assert "HC-1 loses 1 of B-040, to be planned again: stackopt fit HC-1 --hold" in said("shop count B-040=1")
    assert "With --yes these go all the same: HC-1 loses 1 of B-040." in wrong("shop scrap B-040=1")
    assert "HC-1 loses 1 of B-040" in said("shop scrap B-040=1 --yes")
    assert stock("B-040") == (0, 0, 0, 0)


def test_two_books_loaded_in_turn_do_not_turn_a_description_back_and_forth(stocked: Path) -> None:
    (stocked / "branch.csv").write_text(STOCK.replace("3.90,A1", "3.90,B7"))
    said("shop load branch.csv --yes")
    for _ in range(2):
        told = said("shop load stock.csv --yes")
        assert "B-040: left as it is, ana stored otherwise on" in told
        assert "If the book is right: --part B-040" in told
        assert "Nothing to store" in said("shop load branch.csv --yes")
    assert "part B-040: bin B7 -> A1" in said("shop load stock.csv --part B-040 --yes")
    assert "Nothing to store" in said("shop load stock.csv --yes")


def test_a_usage_sheet_is_loaded_once_and_restock_counts_by_it(stocked: Path) -> None:
    days = "".join(f"B-040,2026-{month:02}-03,2\n" for month in range(1, 13))
    (stocked / "usage.csv").write_text(f"part number,date,quantity\n{days}")
    assert "usage B-040: 12 days from 2026-01-03 to 2026-12-03, 24 pieces" in said("shop load usage.csv --yes")
    assert "Nothing to store" in said("shop load usage.csv --yes")
    books = "--book stock.csv --book prices.csv --book usage.csv"
    by_ledger, by_books = (
        {row["part"]: row["reorder_point"] for row in json.loads(call(line).stdout)["parts"]}
        for line in ("restock --today 2027-01-10 --json", f"restock {books} --today 2027-01-10 --json")
    )
    assert by_ledger["B-040"] == by_books["B-040"] > 0
