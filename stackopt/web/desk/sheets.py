"""The sheet of an engine as it stands: of what was chosen for it, or of what fits it now."""

from __future__ import annotations

from datetime import date

from stackopt.choose.built.board import BoardLine, EngineState
from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import Engine
from stackopt.problems import InputError, Place, Problem
from stackopt.report.card.sheet import CardSheet, sheet_of_answer, sheet_of_build
from stackopt.report.drawings.answer_drawings import Ground
from stackopt.web.desk.answers import answer_for, with_defaults
from stackopt.web.desk.remembered import RememberedLedger

STILL_TO_CHOOSE = (EngineState.TO_PLAN, EngineState.BLOCKED)


def board_line(ledger: RememberedLedger, name: str, today: date) -> BoardLine:
    """Return the line of one engine on the board, closed ones too.

    Raises
    ------
    InputError
        When the shop has no such engine.
    """
    for line in ledger.board(today, every=True):
        if line.engine == name:
            return line
    raise InputError(Problem(Place(), name, "an engine of this shop"))


def engine_sheet(ledger: RememberedLedger, name: str, today: date, units: Units | None = None) -> CardSheet:
    """Return the sheet of an engine; lengths in sentences in the units that are asked for, else in its own.

    Raises
    ------
    InputError
        When the shop has no such engine.
    """
    line, (engine,) = board_line(ledger, name, today), with_defaults([ledger.engine(name)], ledger)
    in_units = engine.units if units is None else units
    if line.state in STILL_TO_CHOOSE:
        return sheet_for(engine, ledger, today, in_units)
    return sheet_of_build(ledger.build(name), line, Ground(ledger.supply(today=today), today), in_units)


def sheet_for(engine: Engine, ledger: RememberedLedger, today: date, units: Units) -> CardSheet:
    """Return the sheet of what fits an engine now.

    Raises
    ------
    InputError
        As `answers.answer_for`.
    """

    def work_out() -> CardSheet:
        return sheet_of_answer(engine, answer_for(engine, ledger, today), units)

    return ledger.remembered(("sheet", today, units, repr(engine)), work_out)
