"""`stackopt shop board`: a day in the shop, told with commands, as the board tells it."""

from __future__ import annotations

import json
import shlex
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from stackopt.cli import main
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
HEADS = "engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm),due\n"


def rows_of(engine: str, due: str, low: float = 0.85, high: float = 0.95) -> str:
    rest = f"82.00,78.0,0.00,below,{low},{high},{due}\n"
    return "".join(f"{engine},KV82,{side},{rest}" for side in ("front", "rear"))


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "stock.csv").write_text(STOCK)
    (tmp_path / "prices.csv").write_text(PRICES)
    engines = rows_of("HC-1", "2030-02-12") + rows_of("HC-2", "2030-01-20") + rows_of("HC-3", "2030-03-01", 0.15, 0.25)
    (tmp_path / "engines.csv").write_text(HEADS + engines)
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STACKOPT_LEDGER", raising=False)
    monkeypatch.setenv("STACKOPT_WHO", "ana")
    loaded_once(tmp_path, "shop load stock.csv prices.csv engines.csv --yes", said)
    return tmp_path


def call(line: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(main, shlex.split(line))


def said(line: str, code: int = 0) -> str:
    result = call(line)
    assert result.exit_code == code, result.output
    return result.stdout


def board(options: str = "") -> dict[str, dict[str, Any]]:
    return {line["engine"]: line for line in json.loads(said(f"shop board --json {options}"))}


@pytest.mark.usefixtures("bench")
class TestADay:
    def test_before_anything_is_planned_the_most_urgent_engine_stands_first(self) -> None:
        lines = board()
        assert list(lines) == ["HC-2", "HC-1", "HC-3"]
        assert [line["state"] for line in lines.values()] == ["to plan", "to plan", "blocked"]
        assert lines["HC-2"]["due"] == "2030-01-20"

    def test_after_planning_one_is_ready_one_waits_and_nothing_fits_the_third(self) -> None:
        said("plan --hold --today 2029-12-01", 1)
        lines = board("--today 2029-12-01")
        assert lines["HC-2"]["state"] == "ready to build"
        assert (lines["HC-2"]["ready_on"], lines["HC-2"]["late_days"]) == ("2029-12-01", 0)
        assert lines["HC-2"]["holds"] == {"B-040": 2, "H-050": 2}
        assert lines["HC-3"]["state"] == "blocked"
        assert lines["HC-1"]["state"] == "waiting for parts"
        assert lines["HC-1"]["who"] == "ana"
        # A draft would be here five days after today, if it were sent today.
        assert lines["HC-1"]["waits_for"] == [
            {
                "part": "B-040",
                "quantity": 2,
                "order": 1,
                "supplier": "Quillhaven",
                "here_on": "2029-12-06",
                "sent": False,
            }
        ]
        assert lines["HC-1"]["next"] == "send order 1: stackopt shop send 1"

    def test_an_engine_goes_from_ready_to_closed(self) -> None:
        said("fit HC-2 --hold --today 2029-12-01")
        assert board()["HC-2"]["next"] == "build: stackopt shop use HC-2"
        said("shop use HC-2")
        assert board()["HC-2"]["state"] == "being fitted"
        assert board()["HC-2"]["next"] == "measure: stackopt shop measure HC-2 front QUENCH"
        for side in ("front", "rear"):
            said(f'shop measure HC-2 {side} "0.90 mm"')
        assert board()["HC-2"]["next"] == "close: stackopt shop close HC-2"
        said("shop close HC-2")
        assert board()["HC-2"]["state"] == "closed"

    def test_a_cancelled_order_sends_its_engine_back_to_be_planned_with_what_it_keeps(self) -> None:
        said("plan --hold --today 2029-12-01", 1)
        said("shop send 1")
        assert "HC-1 waited for it and is to be planned again" in said("shop cancel 1")
        line = board()["HC-1"]
        assert (line["state"], line["holds"], line["lacks"]) == ("to plan", {"H-050": 2}, {"B-040": 2})
        planned = json.loads(said("plan --hold --json --today 2029-12-01", 1))
        (engine,) = [each for each in planned["engines"] if each["engine"] == "HC-1"]
        assert not engine["blocked"]
        assert board()["HC-1"]["state"] == "waiting for parts"

    def test_plan_answers_where_nothing_is_left_to_plan(self, bench: Path) -> None:
        (bench / "stock.csv").write_text(STOCK.replace("B-040,base", "B-041,base").replace("fits,2", "fits,9"))
        said("fit HC-1 --hold --today 2029-12-01")
        said("fit HC-2 --hold --today 2029-12-01")
        (bench / "engines.csv").write_text(HEADS + rows_of("HC-3", "2030-03-01"))
        (bench / "more.csv").write_text(STOCK.replace(",2,3.90", ",2,3.90").replace(",4,21.00", ",6,21.00"))
        said("shop load engines.csv more.csv --yes")
        said("plan --hold --today 2029-12-01")
        told = said("plan --today 2029-12-01")
        assert told.startswith("Nothing is to plan")
        assert "3 open engines: 1 ready to build, 0 late" in told
        assert json.loads(said("plan --json --today 2029-12-01"))["engines"] == []

    def test_orders_tell_when_they_should_be_here_and_whom_a_late_one_makes_late(self) -> None:
        said("plan --hold --today 2029-12-01", 1)
        drafted = said("shop orders --today 2029-12-01")
        assert "6 Dec 2029 if sent today" in drafted
        assert "HC-1 waits for 2 of B-040, due 12 Feb 2030\n" in drafted
        said("shop send 1")
        late = said("shop orders --today 2030-02-20")
        assert "overdue" in late
        assert "HC-1 waits for 2 of B-040, due 12 Feb 2030: 8 days late" in late


def test_an_engine_out_of_a_file_is_on_the_board_once_parts_are_held_for_it(bench: Path) -> None:
    (bench / "hc-9.toml").write_text(
        'engine = "HC-9"\nfamily = "KV82"\nstroke = "78 mm"\ndue = 2030-05-01\n'
        '[quench]\nmin = "0.85 mm"\nmax = "0.95 mm"\n'
        + "".join(f'[[cylinder]]\nname = "{side}"\nbore = "82 mm"\ndeck = "0 mm"\n' for side in ("front", "rear"))
    )
    said("fit hc-9.toml --hold --today 2029-12-01")
    assert board()["HC-9"]["state"] == "ready to build"
    said("shop release HC-9")
    assert board()["HC-9"]["state"] == "to plan"


def test_an_empty_board_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "stock.csv").write_text(STOCK)
    monkeypatch.chdir(tmp_path)
    said("shop load stock.csv --yes")
    assert said("shop board") == "No engine is on the board\n"
    assert said("plan").startswith("Nothing is to plan")


@pytest.mark.usefixtures("bench")
class TestAnOrderUnderWay:
    def test_a_draft_whose_price_and_days_changed_says_so_when_it_is_sent(self, bench: Path) -> None:
        said("plan --hold --today 2029-12-01", 1)
        (bench / "prices.csv").write_text(PRICES.replace("6.40,2,5", "7.10,2,8"))
        said("shop load prices.csv --yes")
        told = said("shop send 1")
        assert "B-040: drafted at 6.40 a pack, listed at 7.10 by now: 0.70 more for the line." in told
        assert "B-040: drafted with 5 days, listed with 8 by now." in told
        said("shop confirm 1 B-040 --price 7.10")
        assert "7.10 with freight" in said("shop orders")

    def test_a_confirmed_day_shows_at_once_whom_it_makes_late(self) -> None:
        said("plan --hold --today 2029-12-01", 1)
        said("shop send 1")
        assert said("shop confirm 1 B-040 --day 2030-02-10").splitlines() == ["Order 1, B-040: here on 10 Feb 2030."]
        told = said("shop confirm 1 B-040 --day 2030-02-15")
        assert "HC-1 is 3 days late: due 12 Feb 2030, ready on 15 Feb 2030." in told
        assert board()["HC-1"]["late_days"] == 3
        assert "15 Feb 2030, confirmed" in said("shop orders")
        said("shop undo")
        assert board()["HC-1"]["late_days"] == 0

    def test_what_can_not_be_confirmed_is_refused(self) -> None:
        said("plan --hold --today 2029-12-01", 1)
        assert "expected one of its parts: B-040" in call("shop confirm 1 H-050 --price 3.00").stderr
        assert "expected an amount above 0" in call("shop confirm 1 B-040 --price 0.00").stderr
        assert "Say what is confirmed" in call("shop confirm 1 B-040").stderr
        said("shop cancel 1")
        assert "something is still to come" in call("shop confirm 1 B-040 --price 3.00").stderr

    def test_the_sheet_of_an_order_can_be_had_before_and_after_it_is_sent(self, bench: Path) -> None:
        said("plan --hold --today 2029-12-01", 1)
        before = said("shop sheet 1")
        assert before == (
            "Order 1 to Quillhaven\n  1 pack of 2  B-040  6.40 a pack, 6.40\nFreight 0.00, together 6.40\n"
        )
        said("shop send 1")
        assert said("shop sheet 1") == before
        assert said("shop sheet 1 out.xlsx") == "out.xlsx: order 1 to Quillhaven.\n"
        assert (bench / "out.xlsx").stat().st_size > 0


@pytest.mark.usefixtures("bench")
class TestClearMessages:
    def test_a_number_of_five_thousand_digits_is_refused_and_not_said_back(self) -> None:
        digits = "9" * 5000
        for line in (f"shop count B-040={digits}", f"shop correct B-040 {digits} --why x", f"shop undo {digits}"):
            result = call(line)
            assert result.exit_code == 2
            assert "5000" in result.stderr
            assert digits not in result.stderr

    @pytest.mark.parametrize("line", ["shop use \udcff", "fit a\udcff", "shop count \udcff=2", "shop history \udcff"])
    def test_a_name_that_is_no_utf_8_is_refused(self, line: str) -> None:
        result = call(line)
        assert result.exit_code == 2
        assert "expected text in UTF-8" in result.stderr

    def test_the_database_of_another_program_is_left_alone(self, bench: Path) -> None:
        with closing(sqlite3.connect(bench / "other.db")) as other, other:
            other.execute("CREATE TABLE alembic_version (version_num TEXT)")
            other.execute("INSERT INTO alembic_version VALUES ('abc')")
        before = (bench / "other.db").read_bytes()
        for line in ("shop board --ledger other.db", "shop load stock.csv --yes --ledger other.db"):
            assert "found 'the tables of another program'" in call(line).stderr
        assert (bench / "other.db").read_bytes() == before

    def test_verify_tells_that_all_is_whole_and_ends_otherwise_where_it_is_not(self, bench: Path) -> None:
        assert "all as they were written" in said("shop verify")
        content = bytearray((bench / "stackopt.db").read_bytes())
        content[content.index(b"Quillhaven") + 1] ^= 4
        (bench / "stackopt.db").write_bytes(content)
        result = call("shop verify")
        assert (result.exit_code, result.stdout) == (2, "")
        assert "which is not as it was written" in result.stderr

    def test_a_backup_is_for_its_owner_alone(self, bench: Path) -> None:
        said("shop backup copy.db")
        assert (bench / "copy.db").stat().st_mode & 0o777 == 0o600


@pytest.mark.usefixtures("bench")
class TestAnOldListLoadedAgain:
    def test_yes_leaves_what_moved_since_and_the_name_of_the_part_accepts_the_list(self) -> None:
        said("fit HC-2 --hold --today 2029-12-01")
        said("shop use HC-2")
        told = said("shop load stock.csv --yes")
        assert "B-040: left as it is, since the list is older than what moved (-2 used)." in told
        assert "Nothing is stored: what moved since stays as it is." in told
        assert "B-040        0" in said("shop stock B-040")
        said("shop load stock.csv --yes --part B-040")
        assert "B-040        2" in said("shop stock B-040")

    def test_a_list_with_another_count_was_counted_anew(self, bench: Path) -> None:
        said("shop scrap B-040=1")
        (bench / "stock.csv").write_text(STOCK.replace(",2,3.90", ",7,3.90"))
        assert "Stored 1 difference." in said("shop load stock.csv --yes")
        assert "B-040        7" in said("shop stock B-040")

    def test_without_yes_each_part_is_asked_for(self) -> None:
        said("shop scrap B-040=1")
        asked = CliRunner().invoke(main, ["shop", "load", "stock.csv"], input="n\n")
        assert "B-040: undo what moved since (-1 scrapped)? [y/N]" in asked.output
        assert "B-040        1" in said("shop stock B-040")


@pytest.mark.usefixtures("bench")
def test_use_of_an_engine_that_lacks_a_piece_names_it_and_asks() -> None:
    said("plan --hold --today 2029-12-01", 1)
    asked = CliRunner().invoke(main, ["shop", "use", "HC-1"], input="n\n")
    assert "HC-1 lacks 2 of B-040, which its choice needs. Take the rest all the same? [y/N]" in asked.output
    assert asked.exit_code == 1
    assert board()["HC-1"]["state"] == "waiting for parts"
    assert said("shop use HC-1 --yes") == "Into HC-1: 2 of H-050\n"
    assert said("shop use HC-2") == "Into HC-2: 2 of B-040, 2 of H-050\n"
